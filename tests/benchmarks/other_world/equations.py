"""What an end's parts push with, written apart from the product's own: SI units, travel along the leg or the shaft.

Gas has a temperature of its own, that strokes heat and walls even out; friction is a bristle that bends before it
slips; a damper's knee is a hyperbolic tangent; bumpers grow with the third power; a tyre that meets its rim is five
times as stiff. Figures of bumpers, rims and top-outs are from memory.

Plain functions, compiled where `motion` calls them.
"""

from __future__ import annotations

import math
from typing import NamedTuple, TypeAlias

import numpy as np
from numba.extending import register_jitable
from numpy.typing import NDArray

G = 9.80665
"""Standard gravity, m/s²."""
FULL_RATE_N_M, FULL_LOSS_N_S_M = 1.2e6, 800.0
"""Past full travel: metal on metal."""
FORK_TOP_N_M, SHOCK_TOP_N_M, TOP_LOSS_N_S_M = 500e3, 5e6, 300.0
"""At full extension: a fork's top-out springs are softer than a shock's."""
BUMPER_LINEAR = 0.35
"""Share of a bumper's force at full travel that grows with its squeeze; the rest with the third power."""
RIM_TIMES = 4.0
"""How many times its own stiffness a tyre's gains where the rim is met."""
LEAST_M3 = 1e-7
"""No gas gets smaller: what is compressed into it would have burst."""

Floats: TypeAlias = NDArray[np.float64]


class End(NamedTuple):
    """One end: lengths in m, areas in m², gas in m³ and absolute Pa, forces in N, slopes in N s/m, masses in kg.

    `ratio_start` and `ratio_full` are wheel travel per stroke at full extension and full stroke, even in between over
    the stroke: of a fork the sine of its angle, twice. Without a part its area or rate is 0.
    """

    ratio_start: float
    ratio_full: float
    stroke_m: float
    positive_m2: float = 0.0
    positive_m3: float = 1.0
    positive_pa: float = 0.0
    negative_m2: float = 0.0
    negative_m3: float = 1.0
    negative_pa: float = 0.0
    beside_m2: float = 0.0
    """Of gas beside the spring: in lower legs, or over oil."""
    beside_m3: float = 1.0
    beside_pa: float = 0.0
    rate_n_m: float = 0.0
    preload_m: float = 0.0
    touch_m: float = 1.0
    """Stroke at which the bumper is met."""
    bumper_n: float = 0.0
    friction_n: float = 0.0
    bristle_m: float = 2e-4
    """Stroke over which friction turns round. From memory."""
    compression_low_n_s_m: float = 0.0
    compression_knee_m_s: float = 1.0
    compression_high_n_s_m: float = 0.0
    rebound_low_n_s_m: float = 0.0
    rebound_knee_m_s: float = 1.0
    rebound_high_n_s_m: float = 0.0
    gas_exponent: float = 1.4
    cooling_s: float = 1.0
    """In which a gas loses most of its warmth to the walls."""
    atmosphere_pa: float = 101325.0
    unsprung_kg: float = 1.0
    tyre_n_m: float = 1e5
    tyre_n_s_m: float = 0.0
    rim_m: float = 1.0
    """How far a tyre gives way until the rim is met."""


@register_jitable
def stroke_of(end: End, travel_m: float) -> tuple[float, float]:
    """Return the stroke, m, and the ratio of wheel travel to it where the wheel has travelled so far."""
    falls = end.ratio_start - end.ratio_full
    if abs(falls) < 1e-9:
        return travel_m / end.ratio_start, end.ratio_start
    ratio = math.sqrt(max(end.ratio_start**2 - 2 * travel_m * falls / end.stroke_m, 0.04))
    return (end.ratio_start - ratio) * end.stroke_m / falls, ratio


def travel_of(end: End, stroke_m: float) -> float:
    """Return wheel travel at a stroke, m: the other way round."""
    return end.ratio_start * stroke_m - (end.ratio_start - end.ratio_full) * stroke_m**2 / (2 * end.stroke_m)


@register_jitable
def gas_n(end: End, stroke_m: float, warmth: Floats) -> float:
    """Return what gas pushes with; `warmth` is absolute temperature over the air's: positive, negative, beside."""
    force = 0.0
    if end.positive_m2 > 0:
        room = max(end.positive_m3 - end.positive_m2 * stroke_m, LEAST_M3)
        force += end.positive_m2 * (end.positive_pa * end.positive_m3 / room * warmth[0] - end.atmosphere_pa)
        room = max(end.negative_m3 + end.negative_m2 * stroke_m, LEAST_M3)
        force -= end.negative_m2 * (end.negative_pa * end.negative_m3 / room * warmth[1] - end.atmosphere_pa)
    if end.beside_m2 > 0:
        room = max(end.beside_m3 - end.beside_m2 * stroke_m, LEAST_M3)
        force += end.beside_m2 * (end.beside_pa * end.beside_m3 / room * warmth[2] - end.atmosphere_pa)
    return force


@register_jitable
def warm(end: End, stroke_m: float, speed_m_s: float, warmth: Floats, step_s: float) -> None:
    """Move gas temperatures on by a step: what is squeezed gets warmer, and all goes back to the air's."""
    gain = end.gas_exponent - 1
    if end.positive_m2 > 0:
        swept = end.positive_m2 * speed_m_s / max(end.positive_m3 - end.positive_m2 * stroke_m, LEAST_M3)
        warmth[0] += step_s * (gain * warmth[0] * swept - (warmth[0] - 1) / end.cooling_s)
        swept = end.negative_m2 * speed_m_s / max(end.negative_m3 + end.negative_m2 * stroke_m, LEAST_M3)
        warmth[1] += step_s * (-gain * warmth[1] * swept - (warmth[1] - 1) / end.cooling_s)
    if end.beside_m2 > 0:
        swept = end.beside_m2 * speed_m_s / max(end.beside_m3 - end.beside_m2 * stroke_m, LEAST_M3)
        warmth[2] += step_s * (gain * warmth[2] * swept - (warmth[2] - 1) / end.cooling_s)


@register_jitable
def stops_n(end: End, stroke_m: float, speed_m_s: float) -> float:
    """Return what bumper, full travel and top-out push with."""
    force = 0.0
    if stroke_m > end.touch_m:
        into = (stroke_m - end.touch_m) / (end.stroke_m - end.touch_m)
        force += end.bumper_n * (BUMPER_LINEAR * into + (1 - BUMPER_LINEAR) * into**3)
    if stroke_m > end.stroke_m:
        force += max(FULL_RATE_N_M * (stroke_m - end.stroke_m) + FULL_LOSS_N_S_M * speed_m_s, 0.0)
    if stroke_m < 0:
        top = SHOCK_TOP_N_M if end.ratio_start > 1.5 else FORK_TOP_N_M
        force += min(top * stroke_m + TOP_LOSS_N_S_M * speed_m_s, 0.0)
    return force


@register_jitable
def spring_n(end: End, stroke_m: float, warmth: Floats) -> float:
    """Return what gas and coil push with; a coil never pulls."""
    return gas_n(end, stroke_m, warmth) + max(end.rate_n_m * (stroke_m + end.preload_m), 0.0)


@register_jitable
def damper_n(end: End, speed_m_s: float) -> float:
    """Return what the damper pushes with: against compression (+) and rebound (-)."""
    if speed_m_s >= 0:
        low, knee, high = end.compression_low_n_s_m, end.compression_knee_m_s, end.compression_high_n_s_m
    else:
        low, knee, high = end.rebound_low_n_s_m, end.rebound_knee_m_s, end.rebound_high_n_s_m
    return high * speed_m_s + (low - high) * knee * math.tanh(speed_m_s / knee)


@register_jitable
def bend(end: End, bristle: Floats, speed_m_s: float, step_s: float) -> None:
    """Move friction's bristle of an end on by a step: bent by the stroke, never past where it slips, from -1 to 1."""
    side = 1.0 if speed_m_s > 0 else -1.0
    bristle[0] = side + (bristle[0] - side) * math.exp(-abs(speed_m_s) * step_s / end.bristle_m)


@register_jitable
def tyre_n(end: End, pressed_m: float, pressing_m_s: float) -> float:
    """Return what a tyre pushes with, upward on the wheel; it never pulls."""
    if pressed_m <= 0:
        return 0.0
    push = end.tyre_n_m * pressed_m + end.tyre_n_s_m * pressing_m_s
    if pressed_m > end.rim_m:
        push += RIM_TIMES * end.tyre_n_m * (pressed_m - end.rim_m)
    return max(push, 0.0)


def rest_travel_m(end: End, load_n: float, friction: float = 0.0) -> float:
    """Return the wheel travel at which an end rests under a load.

    Parameters
    ----------
    end : End
    load_n : float
        Vertical, at the wheel; below 0 where the wheel hangs.
    friction : float
        Share of it that holds up (+) or down (-).
    """
    low, high = -0.01, 1.02 * travel_of(end, end.stroke_m)
    even = np.ones(3)
    for _ in range(60):
        travel = (low + high) / 2
        stroke, ratio = stroke_of(end, travel)
        push = (spring_n(end, stroke, even) + stops_n(end, stroke, 0.0) + friction * end.friction_n) / ratio
        low, high = (travel, high) if push < load_n else (low, travel)
    return (low + high) / 2
