"""How much of what a ride on paper expects came on the trail."""

from __future__ import annotations

from dataclasses import dataclass

from .finding import End


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareCame:
    """How much of an expected change came, of sag and travel of all ends weighed into one number; 1 is all of it.

    Attributes
    ----------
    share, low, high : float
        With its 90 % interval.
    as_expected : bool
        Whether 1 is no less likely than chance explains.
    end : End
        Which end the change was expected of most.
    """

    share: float
    low: float
    high: float
    as_expected: bool
    end: End

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        percent = {name: 100 * getattr(self, name) for name in ("share", "low", "high")}
        return {
            "percent": percent["share"],
            "low": percent["low"],
            "high": percent["high"],
            "as_expected": self.as_expected,
        }
