"""What every figure of acceleration rests on at a log's rate: said with the results."""

from __future__ import annotations

from dataclasses import dataclass

from .band import LOWEST_HZ, upper_edge_hz
from .third_octaves import bands_between, centre_hz, name_of
from .unloading import UNSPRUNG_SHARE
from .weighting import HAND_ARM, WHOLE_BODY, Weighting, bands_lacking, is_held


@dataclass(frozen=True, slots=True, kw_only=True)
class ShakingBasis:
    """Band of shaking, Hz; share of static load below the spring; and the highest bands weighted, "" without any."""

    lowest_hz: float
    highest_hz: float
    unsprung_share: float
    hands_to_hz: str
    body_to_hz: str

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        return {
            "band_hz": [self.lowest_hz, self.highest_hz],
            "unsprung_share": self.unsprung_share,
            "hands_weighted_to_hz": float(self.hands_to_hz) if self.hands_to_hz else None,
            "body_weighted_to_hz": float(self.body_to_hz) if self.body_to_hz else None,
        }


def shaking_basis(rate_hz: float) -> ShakingBasis:
    """Return what the figures of acceleration rest on in a log of this rate.

    Examples
    --------
    >>> shaking_basis(500.0).hands_to_hz, shaking_basis(100.0).body_to_hz
    ('200', '')
    """
    return ShakingBasis(
        lowest_hz=LOWEST_HZ,
        highest_hz=upper_edge_hz(rate_hz),
        unsprung_share=UNSPRUNG_SHARE,
        hands_to_hz=_highest(HAND_ARM, rate_hz),
        body_to_hz=_highest(WHOLE_BODY, rate_hz),
    )


def _highest(weighting: Weighting, rate_hz: float) -> str:
    if not is_held(weighting, rate_hz):
        return ""
    lacking = bands_lacking(weighting, rate_hz)
    held = [number for number in bands_between(*weighting.nominal_hz) if number not in lacking]
    return name_of(max(held, key=centre_hz))
