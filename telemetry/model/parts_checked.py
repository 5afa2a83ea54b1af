"""What parts are stated to push with, beside what a restoring-force map shows they did."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from .finding import End

Part: TypeAlias = Literal["spring", "damper"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedForce:
    """One force of an end, as stated and as the trail shows it, N per kg that the end carries, upward at the wheel.

    Attributes
    ----------
    part : {"spring", "damper"}
    at : float
        Depth, % of full travel; or speed of the damper, m/s, compression positive.
    stated, stated_low, stated_high : float
        By the parts, with the 90 % band of how well they are known. A damper's holds its friction; in rebound it is
        negative.
    trail, trail_low, trail_high : float
        By the maps, with their 90 % band and what such maps are known to be off by.
    fits : bool
        Whether the two may be one.
    """

    part: Part
    at: float
    stated: float
    stated_low: float
    stated_high: float
    trail: float
    trail_low: float
    trail_high: float
    fits: bool

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        return {
            {"spring": "depth_percent", "damper": "speed_m_s"}[self.part]: self.at,
            "unit": "N/kg",
            "stated": self.stated,
            "stated_low": self.stated_low,
            "stated_high": self.stated_high,
            "trail": self.trail,
            "trail_low": self.trail_low,
            "trail_high": self.trail_high,
            "fits": self.fits,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedEnd:
    """An end's stated parts beside the maps of the baseline's runs.

    Attributes
    ----------
    end : End
    runs : tuple of str
        Whose maps it rests on.
    forces : tuple of CheckedForce
    unchecked : tuple of str
        What isn't checked, and why.
    rides_by_map : tuple of {"spring", "damper"}
        Which parts are ridden on paper as the maps show them: they aren't stated, or contradict them.
    sentences : tuple of str
    """

    end: End
    runs: tuple[str, ...]
    forces: tuple[CheckedForce, ...]
    unchecked: tuple[str, ...] = ()
    rides_by_map: tuple[Part, ...] = ()
    sentences: tuple[str, ...] = ()

    def of(self, part: Part) -> tuple[CheckedForce, ...]:
        """Return the forces of one part."""
        return tuple(force for force in self.forces if force.part == part)

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        return {
            "end": self.end,
            "runs": list(self.runs),
            "spring": [force.to_dict() for force in self.of("spring")],
            "damper": [force.to_dict() for force in self.of("damper")],
            "unchecked": list(self.unchecked),
            "rides_by_map": list(self.rides_by_map),
            "sentences": list(self.sentences),
        }
