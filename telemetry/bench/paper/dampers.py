"""A damper on paper: as measured, else as usual; in thinner oil, at other clicks, as far as these can be told."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from telemetry.bench.clicks import WAYS, Way
from telemetry.bench.damper import measured_damper, viscosity_share
from telemetry.bench.parts import EndSprings
from telemetry.bench.stated import Stated
from telemetry.mechanics.damper import Damper, DamperSide
from telemetry.model.setting import AdjusterPosition

from .turned import turned

MM = 1e-3
USUAL_BELOW = (0.35, 0.6)
"""Of critical, compression and rebound, up to the knee, of a damper that nobody measured; own choice."""
USUAL_KNEE_M_S = 0.25
"""At the wheel."""
USUAL_ABOVE = 0.4
"""Slope above the knee over the one below; own choice."""


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


def damper_of(
    stated: Stated,
    base: Stated,
    springs: EndSprings,
    sprung_kg: float,
    others: Sequence[Stated] = (),
    shown: Damper | None = None,
) -> tuple[Damper, tuple[tuple[Way, str], ...]]:
    """Return an end's damper, and by what its turned adjusters were told, a direction each.

    Parameters
    ----------
    stated : Stated
    base : Stated
        The baseline's; the same as `stated` for the baseline itself.
    springs : EndSprings
    sprung_kg : float
    others : sequence of Stated
        The same end of the day's setups: at which positions forces were measured.
    shown : Damper, optional
        The baseline's, as its force maps show it: in place of a usual one where nobody measured it.

    Notes
    -----
    A setup with points of its own is as measured. One that shares the baseline's points differs from it by its oil,
    force going with most of the viscosity. Where an adjuster stands elsewhere than the points were measured, damping
    goes by what was measured at two positions or more, in even steps of its logarithm between them; else from open to
    closed by a usual factor.
    """
    measured = measured_damper(stated)
    fitted = None
    if measured is not None:
        knees = [stated.number(key) for key in ("knee_compression_mm_s", "knee_rebound_mm_s")]
        first, second = (None if knee is None else knee * MM for knee in knees)
        fitted = measured.fitted((first, second))
    known = fitted or shown or _usual(base, springs, sprung_kg)
    shared = fitted is None or stated.setup.value("damper_points") == base.setup.value("damper_points")
    sides, told = [], []
    for way, side in zip(WAYS, (known.compression, known.rebound), strict=True):
        low = turned(stated, base, others, way, side)
        high = _turned(stated, base, f"high_speed_{way}") if shared else 1.0
        sides.append(
            DamperSide(
                slope_below_n_s_m=low.below * side.slope_below_n_s_m,
                knee_m_s=side.knee_m_s,
                slope_above_n_s_m=low.above * high * side.slope_above_n_s_m,
            )
        )
        told += [(way, low.words)] if low.words else []
    share = viscosity_share(stated, base, riding=True) if shared else 1.0
    if share != 1.0:  # orifices go with density: viscosity moves what laminar flow makes
        share **= max(stated.assumed("goes_with_viscosity"), 0.0)
    return Damper(compression=sides[0], rebound=sides[1], viscosity_share=share), tuple(told)
