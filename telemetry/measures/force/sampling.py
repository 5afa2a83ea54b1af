"""Which samples of a ride a restoring-force map rests on, and what end and chassis do at them."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from telemetry.measures.view import RunMotion
from telemetry.model.arrays import Bools, Floats, Ints
from telemetry.model.finding import OTHER_END, End
from telemetry.model.ride import EndSignal
from telemetry.units import STANDARD_GRAVITY_M_S2

from .along import along_the_ground, leaning, levelled, middle_forward
from .bending import Smooth, in_pieces, leverage
from .chassis import USUAL_BODY, Chassis
from .knots import friction_shape

BLOCK_S = 6.0
"""Stretches of the ride that scatter is told from. Own choice: a few swings of the body."""
SETTLES_S = 1.0
"""After a gap: until the low-pass and the body that follows know what went before. Own choice."""
ENDS_S = 0.1
"""Before a gap, and to either side of a saturated sample. Own choice: a few periods of the low-pass."""
LANDS_S = 0.5
"""After a flight, or after a rider has floated. Own choice: a period of the body."""
FLOATS_G = 0.2
"""A rider who follows the chassis with less than this floats: legs push and never pull. Own choice."""
FEW_ROWS_HZ = 400.0
"""Own choice: simulated heavy frames were told wrongly at 200 rows a second, and not at 500."""
THINNED_HZ = 150.0
"""Rate to which samples are thinned at most: the low-pass leaves nothing that more would show."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampled:
    """Samples that count, and what this end does at them.

    Attributes
    ----------
    samples : int array, shape (n,)
    travel_mm : float array, shape (n,)
        Of the wheel.
    speed_m_s : float array, shape (n,)
        Of the damper's shaft where its motion is known, else of the wheel; compression positive.
    lever : float array, shape (n,)
        Wheel speed over that speed.
    rubbing : float array, shape (n,)
        Friction's shape over `lever`, through the low-pass: the force that jumps went through it too.
    blocks : int array, shape (n,)
        Which stretch of the ride each lies in.
    """

    samples: Ints
    travel_mm: Floats
    speed_m_s: Floats
    lever: Floats
    rubbing: Floats
    blocks: Ints

    def where(self, keep: Bools) -> Sampled:
        """Return those of the samples."""
        return Sampled(
            samples=self.samples[keep],
            travel_mm=self.travel_mm[keep],
            speed_m_s=self.speed_m_s[keep],
            lever=self.lever[keep],
            rubbing=self.rubbing[keep],
            blocks=self.blocks[keep],
        )


def chassis_of(run: RunMotion, end: End, smooth: Smooth) -> tuple[Chassis, tuple[str, ...]]:
    """Return what the chassis' sensors tell of an end, and what they can't."""
    signals, rate = run.ride.inertial, run.ride.rate_hz
    own = signals[end, "chassis"]
    other = signals.get((OTHER_END[end], "chassis"))
    upward = in_pieces(run, own.specific_force_m_s2[:, 2], smooth)
    beside, followed, limits = dict[str, Floats](), {"own": upward}, list[str]()
    rate_of_pitch = None if own.rotation_rad_s is None else in_pieces(run, own.rotation_rad_s[:, 1], smooth)
    if other is not None:
        beside["other"] = followed["other"] = in_pieces(run, other.specific_force_m_s2[:, 2], smooth)
    elif rate_of_pitch is not None:
        beside["pitching"] = np.gradient(rate_of_pitch) * rate
    else:
        limits.append("what the other end does to the chassis above this one isn't taken out: no gyroscope there")
    lean = None if rate_of_pitch is None else leaning(run, own.attitude.pitch_rad)
    if not own.mounting.heading_known:
        limits.append("braking and slope aren't taken out: which way the sensor faces isn't known")
    elif lean is None or rate_of_pitch is None:
        beside["forward"] = in_pieces(run, own.specific_force_m_s2[:, 0], smooth)
    else:
        up = np.mean(list(followed.values()), axis=0)
        forward = levelled(run, middle_forward(run, smooth), rate_of_pitch)
        beside["driven"], beside["braked"] = along_the_ground(run, forward, up, lean)
        beside["whirling"] = rate_of_pitch**2
    if rate < FEW_ROWS_HZ:
        limits.append(
            f"under {FEW_ROWS_HZ:g} rows a second: on a heavy frame with sensors high above the axle forces can read "
            "up to twice too firm, beyond their bands"
        )
    chassis = Chassis(
        rate_hz=rate,
        own=upward,
        beside=MappingProxyType(beside),
        followed=MappingProxyType(followed),
        lean_rad=lean,
        pitch_rate=rate_of_pitch,
        every=max(1, int(rate / THINNED_HZ)),
    )
    return chassis, tuple(limits)


def _spread(where: Bools, before: int, after: int) -> Bools:
    """Return where anything lies within so many samples ahead or behind."""
    edges = np.zeros(where.shape[0] + 1, dtype=np.int64)
    at = np.flatnonzero(where)
    np.add.at(edges, np.maximum(at - before, 0), 1)
    np.add.at(edges, np.minimum(at + after + 1, where.shape[0]), -1)
    return np.asarray(np.cumsum(edges[:-1]) > 0)


def floating(chassis: Chassis) -> Bools:
    """Return where a rider, following the chassis as riders do, would have to be pulled down by it."""
    upward = np.mean(list(chassis.followed.values()), axis=0)
    follows = USUAL_BODY.pushing(upward, STANDARD_GRAVITY_M_S2, chassis.rate_hz)
    return _spread(follows < FLOATS_G * STANDARD_GRAVITY_M_S2, 0, round(LANDS_S * chassis.rate_hz))


def counting(run: RunMotion, chassis: Chassis) -> Bools:
    """Return the samples that count: ridden, clear of gaps, saturation, flights, floating riders, and landings."""
    rate, time = run.ride.rate_hz, run.time
    counts = time.riding.copy()
    settles, ends = round(SETTLES_S * rate), round(ENDS_S * rate)
    for start, stop in run.ride.segments:
        counts[start : min(start + settles, stop)] = False
        counts[max(stop - ends, start) : stop] = False
    for sensor in run.ride.inertial.values():
        if sensor.on == "wheel":
            continue
        if sensor.saturated.any():
            counts &= ~_spread(sensor.saturated, ends, ends)
    for start, stop in time.flights:
        counts[start : stop + round(LANDS_S * rate)] = False
    return np.asarray(counts & ~floating(chassis))


def sampled(run: RunMotion, signal: EndSignal, counts: Bools, every: int, smooth: Smooth) -> Sampled:
    """Return what an end does at the samples that count, thinned to every so manieth."""
    lever = leverage(signal, signal.travel_mm)
    speed = np.asarray(signal.speed_mm_s * 1e-3 / lever, dtype=float)
    rubbing = in_pieces(run, friction_shape(speed) / lever, smooth)
    samples = np.flatnonzero(counts[::every]) * every
    return Sampled(
        samples=samples,
        travel_mm=signal.travel_mm[samples],
        speed_m_s=speed[samples],
        lever=lever[samples],
        rubbing=rubbing[samples],
        blocks=(samples / (BLOCK_S * run.ride.rate_hz)).astype(np.int64),
    )
