"""Lower legs: what each pushes with at full travel, what a crossover makes of it, how much oil a wished force takes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.optimize import brentq

from telemetry.mechanics.lower_leg import LowerLegs
from telemetry.model.bench_springs import Legs, OilForForce

from .parts import ML, MM, lower_legs_of
from .stated import Stated

END_FORCES_N = (200.0, 500.0, 1000.0, 1500.0, 2000.0, 3000.0)
"""Both legs together, for which the oil is told; own choice."""


def legs_part(stated: Stated) -> Legs | None:
    """Return the lower legs at full travel, pressed once from where they were shut.

    None where volume, oil, stanchion or travel isn't stated.
    """
    legs, full = lower_legs_of(stated), stated.setup.full_travel_mm
    if legs is None or full is None:
        return None
    fast_exponent = stated.assumed("fast_exponent")
    end = np.array(full * MM)
    apart, joined = replace(legs, crossover=False), replace(legs, crossover=True)
    spring, damper = (float(chamber.force_n(end, fast_exponent)) for chamber in apart.chambers)
    spacing = stated.assumed("leg_spacing_mm")
    least = [legs.volume_each_m3[0], legs.volume_each_m3[-1]]
    return Legs(
        sides_n=(spring, damper),
        joined_n=float(joined.force_n(end, fast_exponent)),
        crossover=legs.crossover,
        couple_nm=(spring - damper) / 2 * spacing * MM,
        spacing_mm=spacing,
        most_oil_ml=(min(least) - legs.area_each_m2[0] * full * MM) / ML,
        oil=tuple(
            OilForForce(end_force_n=force, oil_each_ml=oil / ML)
            for force in END_FORCES_N
            if (oil := oil_for_m3(legs, full * MM, force, fast_exponent)) is not None
        ),
    )


def oil_for_m3(legs: LowerLegs, full_m: float, end_force_n: float, exponent: float) -> float | None:
    """Return the oil a leg, alike in both, with which both together push so much at full travel, m³.

    None where even without oil they push more.

    Notes
    -----
    A (p − p_atm) = F/2 gives p, V₁/V₂ = (p/p₀)^(1/n) with V₁ the gas where it was shut and V₂ = V₁ − A (x − x₀); so
    V₁ = A (x − x₀) r/(r − 1), and the oil is what of the empty leg, less A x₀, V₁ leaves. Unlike legs that a crossover
    joins are two of mean volume; apart, the oil is sought between none and what the smaller one holds.
    """
    area, closed = legs.area_each_m2[0], legs.closed_at_m
    ratio = ((end_force_n / 2 / area + legs.atmosphere_pa) / legs.closed_pa) ** (1 / exponent)
    if ratio <= 1:
        return None
    taken = area * (full_m - closed)
    shut = [volume - area * closed for volume in (legs.volume_each_m3[0], legs.volume_each_m3[-1])]
    oil = sum(shut) / 2 - taken * ratio / (ratio - 1)
    if shut[0] != shut[1] and not legs.crossover:

        def beyond_n(each: float) -> float:
            grown = sum((empty - each) ** exponent / (empty - each - taken) ** exponent for empty in shut)
            return float(area * (legs.closed_pa * grown - 2 * legs.atmosphere_pa)) - end_force_n

        most = (min(shut) - taken) * (1 - 1e-9)
        oil = -1.0 if most <= 0 or beyond_n(0.0) > 0 else float(brentq(beyond_n, 0.0, most))
    return oil if oil >= 0 else None
