"""What every figure of acceleration rests on at a log's rate: said with the results."""

from __future__ import annotations

from dataclasses import dataclass

from .band import LOWEST_HZ, upper_edge_hz
from .third_octaves import bands_between, centre_hz, name_of
from .unloading import BIKE_SHARE, RIDER_HZ
from .weighting import HAND_ARM, WHOLE_BODY, Weighting, bands_lacking, is_held


@dataclass(frozen=True, slots=True, kw_only=True)
class ShakingBasis:
    """Band of shaking, Hz; what an end's load is made of; and the highest bands weighted, "" without any.

    `masses_stated` tells whether the bike's share of the load is by stated masses.
    """

    lowest_hz: float
    highest_hz: float
    bike_share: float
    masses_stated: bool
    rider_hz: float
    hands_to_hz: str
    body_to_hz: str

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        return {
            "band_hz": [self.lowest_hz, self.highest_hz],
            "bike_share": round(self.bike_share, 3),
            "masses_stated": self.masses_stated,
            "rider_follows_to_hz": self.rider_hz,
            "hands_weighted_to_hz": float(self.hands_to_hz) if self.hands_to_hz else None,
            "body_weighted_to_hz": float(self.body_to_hz) if self.body_to_hz else None,
        }


def shaking_basis(rate_hz: float, bike_share: float | None = None) -> ShakingBasis:
    """Return what the figures of acceleration rest on in a log of this rate, and by how much of the load is bike.

    Examples
    --------
    >>> shaking_basis(500.0).hands_to_hz, shaking_basis(100.0).body_to_hz
    ('200', '')
    """
    return ShakingBasis(
        lowest_hz=LOWEST_HZ,
        highest_hz=upper_edge_hz(rate_hz),
        bike_share=BIKE_SHARE if bike_share is None else bike_share,
        masses_stated=bike_share is not None,
        rider_hz=RIDER_HZ,
        hands_to_hz=_highest(HAND_ARM, rate_hz),
        body_to_hz=_highest(WHOLE_BODY, rate_hz),
    )


def _highest(weighting: Weighting, rate_hz: float) -> str:
    if not is_held(weighting, rate_hz):
        return ""
    lacking = bands_lacking(weighting, rate_hz)
    held = [number for number in bands_between(*weighting.nominal_hz) if number not in lacking]
    return name_of(max(held, key=centre_hz))
