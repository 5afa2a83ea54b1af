"""A damper on paper: as measured, else as usual; in thinner oil, at other clicks, as far as these can be told."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from telemetry.bench.damper import measured_damper, viscosity_share
from telemetry.bench.parts import EndSprings
from telemetry.bench.stated import Stated
from telemetry.mechanics.damper import Damper, DamperSide
from telemetry.model.setting import AdjusterPosition

MM = 1e-3
USUAL_BELOW = (0.35, 0.6)
"""Of critical, compression and rebound, up to the knee, of a damper that nobody measured; own choice."""
USUAL_KNEE_M_S = 0.25
"""At the wheel."""
USUAL_ABOVE = 0.4
"""Slope above the knee over the one below; own choice."""
CLICKS = {
    "compression": (("low_speed_compression", True, False), ("high_speed_compression", False, True)),
    "rebound": (("low_speed_rebound", True, False), ("high_speed_rebound", False, True)),
}
"""Adjusters of a direction, and whether each moves the slope below and above the knee; one of no speed moves both."""


@dataclass(frozen=True, slots=True)
class _Factors:
    below: float = 1.0
    above: float = 1.0


def _open_share(stated: Stated, key: str) -> float | None:
    """Return how far open an adjuster stands, from 0 to 1; None where its range isn't stated."""
    value = stated.setup.value(key)
    if not isinstance(value, AdjusterPosition) or not value.of:
        return None
    return value.from_closed / value.of


def _turned(stated: Stated, base: Stated, key: str) -> float:
    """Return what turning an adjuster makes of its damping: even steps of its logarithm over the whole range."""
    own, was = _open_share(stated, key), _open_share(base, key)
    if own is None or was is None or own == was:
        return 1.0
    return float(max(stated.assumed("adjuster_range"), 1.0) ** (was - own))


def _factors(stated: Stated, base: Stated, way: str) -> _Factors:
    both = _turned(stated, base, way)
    below = above = both
    for key, moves_below, moves_above in CLICKS[way]:
        turned = _turned(stated, base, key)
        below *= turned if moves_below else 1.0
        above *= turned if moves_above else 1.0
    return _Factors(below, above)


def _usual(stated: Stated, springs: EndSprings, sprung_kg: float) -> Damper:
    """Return a damper of usual strength for what an end carries, at its shaft."""
    third = springs.full_mm / 3
    ratio = float(springs.ratio(np.array(third)))
    rate = 1e3 * max(springs.rate_n_mm(third, springs.fast_exponent, third), 0.1)
    critical = 2 * math.sqrt(rate * sprung_kg) * stated.assumed("unknown_damping") * ratio**2 * springs.sine
    knee = USUAL_KNEE_M_S / ratio
    sides = [
        DamperSide(slope_below_n_s_m=share * critical, knee_m_s=knee, slope_above_n_s_m=USUAL_ABOVE * share * critical)
        for share in USUAL_BELOW
    ]
    return Damper(compression=sides[0], rebound=sides[1])


def damper_of(stated: Stated, base: Stated, springs: EndSprings, sprung_kg: float) -> Damper:
    """Return an end's damper.

    Parameters
    ----------
    stated : Stated
    base : Stated
        The baseline's; the same as `stated` for the baseline itself.
    springs : EndSprings
    sprung_kg : float

    Notes
    -----
    A setup with points of its own is as measured. One that shares the baseline's points differs from it by its oil,
    force going with viscosity, and by its clicks: from open to closed damping grows by a usual factor, in even steps of
    its logarithm.
    """
    measured = measured_damper(stated)
    fitted = None
    if measured is not None:
        knees = [stated.number(key) for key in ("knee_compression_mm_s", "knee_rebound_mm_s")]
        first, second = (None if knee is None else knee * MM for knee in knees)
        fitted = measured.fitted((first, second))
    known = fitted if fitted is not None else _usual(base, springs, sprung_kg)
    if fitted is not None and stated.setup.value("damper_points") != base.setup.value("damper_points"):
        return known
    sides = []
    for way, side in (("compression", known.compression), ("rebound", known.rebound)):
        factors = _factors(stated, base, way)
        sides.append(
            DamperSide(
                slope_below_n_s_m=factors.below * side.slope_below_n_s_m,
                knee_m_s=side.knee_m_s,
                slope_above_n_s_m=factors.above * side.slope_above_n_s_m,
            )
        )
    return Damper(compression=sides[0], rebound=sides[1], viscosity_share=viscosity_share(stated, base))
