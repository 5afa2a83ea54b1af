"""The restoring-force map of an end: spring, damper and friction out of travel and the chassis' acceleration."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from telemetry.measures.view import RunMotion
from telemetry.model.arrays import Floats, read_only
from telemetry.model.finding import ENDS, End
from telemetry.model.force import BAND_LEVEL, ForceCells, ForceCurve, ForceMap, NoForceMap, RiderBody
from telemetry.model.ride import EndSignal
from telemetry.units import STANDARD_GRAVITY_M_S2

from .bending import Smoothing, force_as_felt
from .chassis import Columns, Shifted, shifted
from .coverage import LEAST_SPEED_M_S, covered
from .fitting import Blocks, blocks_of, with_half_width
from .knots import Knots, force_columns, friction_shape
from .sampling import Sampled, chassis_of, counting, sampled
from .search import MOST_LAG_S, Found, Rider, search, with_slopes

LEAST_S = 60.0
"""Of riding: ten stretches. Own choice."""
LEAST_EXPLAINED = 0.5
"""Share of the chassis' acceleration that travel and speed have to explain. Own choice: else they aren't of one end."""
LEAST_SHARE = 0.2
"""What the chassis above an end weighs at least, as a share of what moves with it. Own choice: below, it is no mass."""
MODEL_SHARE = 0.04
MODEL_PER_KG = 0.1
"""Band that no length of ride takes away, of a force less its value at rest, and N per kg: filters, noise of speed and
what a rider does move a map by so much in simulation. Own choice."""
MODEL_LEFT = 2.2
"""That share is at least so many times the root of what is left unexplained: what a rider and the ground do beside the
equation scales a whole map. Own choice: on simulated natural trails it does so by one to two such roots."""
LEVEL_SHARE = 0.2
"""Of that share, by which the load at which a spring rests is uncertain too: brakes load an end throughout a ride.
Own choice, from simulated natural trails."""
FRICTION_SHARE = 0.5
"""Band of friction that no length of ride takes away: near rest a steep damper and friction look alike. Own choice."""
NO_MASS = "what the end carries can't be told from how the chassis moves: check both sensors' scale and mounting"
WRONG_WAY = "spring or damper would push the wrong way: check the direction of both sensors of this end"
NOT_COVERED = (
    "the ride doesn't cover travel and speed: adjacent depths have to be ridden at several speeds each, and "
    f"faster than {LEAST_SPEED_M_S:g} m/s both ways; a longer or rougher ride may"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Figures:
    """Spring, damper and friction from the coefficients: those of the chassis say what share of its load is its own."""

    travels: int
    speed: Floats
    at_rest: Floats

    def shares(self, found: Floats) -> Floats:
        """Return, in times what moves with the sensor, what the end carries."""
        chassis = found[..., found.shape[-1] - self.at_rest.shape[0] :]
        return np.asarray(1.0 + chassis @ self.at_rest)

    def __call__(self, found: Floats) -> Floats:
        """Return spring, damper with friction at every knot, friction; N per kg that the end carries."""
        forces = found[..., : found.shape[-1] - self.at_rest.shape[0]] / self.shares(found)[..., None]
        spring, damper, friction = np.split(forces, [self.travels, forces.shape[-1] - 1], axis=-1)
        damper = np.insert(damper, int(np.flatnonzero(self.speed == 0)[0]), 0.0, axis=-1)
        return np.concatenate([spring, damper + friction * friction_shape(self.speed), friction], axis=-1)


def _curve(at: Floats, figures: Floats, half: Floats, *, rest: float, model: float) -> ForceCurve:
    """Return a curve without its outermost points, which hang on what lies to one side only.

    `model` is the share of a force less its value at `rest` that no length of ride takes away.
    """
    inner = slice(1, -1)
    level = MODEL_PER_KG if rest == 0 else MODEL_PER_KG + LEVEL_SHARE * model * rest
    width = np.hypot(half, model * np.abs(figures - rest) + level)
    parts = (at, figures, figures - width, figures + width)
    at, per_kg, low, high = (read_only(part[inner]) for part in parts)
    return ForceCurve(at=at, per_kg=per_kg, low=low, high=high)


def _why_not(found: Found) -> str:
    if abs(found.lag_s) > 0.98 * MOST_LAG_S:
        return (
            f"travel and acceleration don't fit at any lag up to {1e3 * MOST_LAG_S:.0f} ms: check that both are of "
            "this end and on one clock"
        )
    if found.explained < LEAST_EXPLAINED:
        return (
            f"travel and speed explain {100 * found.explained:.0f} % of the chassis' acceleration, at least "
            f"{100 * LEAST_EXPLAINED:.0f} % needed: check end, direction and mounting of both sensors"
        )
    return ""


def _rider(found: Found, columns: Columns, solved: Floats, carried: float) -> RiderBody | None:
    if found.follower is None:
        return None
    beside = solved[solved.shape[0] - columns.at_rest.shape[0] :]
    first = 1 if columns.at_rest.size and columns.at_rest[0] else 0  # what the other end shares at once isn't the rider
    follows = float(beside[first:] @ columns.at_rest[first:])
    return RiderBody(share=follows / carried, hz=found.follower.hz, damping=found.follower.damping)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Covered:
    """What an end did wherever its map is told: samples, cells, knots, and the columns of its forces."""

    signal: EndSignal
    chassis: Shifted
    taken: Sampled
    cells: ForceCells
    knots: Knots
    forces: Floats
    limits: tuple[str, ...]

    def found(self, rider: Rider | None) -> Found:
        """Return lag and body."""
        return search(self.chassis, self.taken.samples, self.forces, rider)


def _covered(run: RunMotion, end: End, smoothing: Smoothing) -> _Covered | NoForceMap:
    signal, rate = run.ride.ends[end], run.ride.rate_hz
    riding_s = run.time.riding_s
    if riding_s < LEAST_S:
        return NoForceMap(end=end, reason=f"{riding_s:.0f} s of riding, at least {LEAST_S:.0f} s needed")
    chassis, limits = chassis_of(run, end, smoothing.low)
    taken = sampled(run, signal, counting(run, chassis), chassis.every, smoothing.low)
    cells, knots = covered(taken.travel_mm, taken.speed_m_s, taken.blocks, rate / chassis.every, signal.full_travel_mm)
    if knots is None:
        return NoForceMap(end=end, reason=NOT_COVERED, cells=cells)
    (first, *_, last), (slowest, *_, fastest) = knots
    inside = (taken.travel_mm >= first) & (taken.travel_mm <= last)
    inside &= (taken.speed_m_s >= slowest) & (taken.speed_m_s <= fastest)
    taken = taken.where(inside)
    return _Covered(
        signal=signal,
        chassis=shifted(chassis),
        taken=taken,
        cells=cells,
        knots=knots,
        forces=force_columns(taken.travel_mm, taken.speed_m_s, taken.lever, taken.rubbing, knots),
        limits=limits,
    )


def _fitted(felt: Callable[[Floats], Floats], side: Columns, where: _Covered) -> Blocks:
    """Return the normal equations, the force's bends as the low-pass left them.

    `felt` gives the force of hardly smoothed travel through the low-pass, at the samples, of its coefficients.
    """
    forces, blocks = where.forces, where.taken.blocks
    columns = np.hstack([forces, -side.beside])
    bending = forces[:, :-1]
    first = blocks_of(columns, side.own, blocks).solved()[0][: bending.shape[1]]
    bent = felt(first) - bending @ first
    return blocks_of(columns, side.own - bent, blocks)


def _mapped(where: _Covered, found: Found, felt: Callable[[Floats], Floats]) -> ForceMap | NoForceMap:
    signal, chassis = where.signal, where.chassis
    reason = _why_not(found)
    if reason:
        return NoForceMap(end=signal.end, reason=reason, cells=where.cells)
    side = with_slopes(chassis, where.taken.samples, where.forces, found)
    blocks = _fitted(felt, side, where)
    travels, speeds = where.knots
    figures = _Figures(travels=travels.shape[0], speed=speeds, at_rest=side.at_rest)
    solved = blocks.solved()[0]
    carried = float(figures.shares(solved))
    if carried < LEAST_SHARE:
        return NoForceMap(end=signal.end, reason=NO_MASS, cells=where.cells)
    values, half = with_half_width(blocks, figures, BAND_LEVEL)
    stop = travels.shape[0]
    if not values[stop - 2] > values[1] or not values[-2] > 0 > values[stop]:
        return NoForceMap(end=signal.end, reason=WRONG_WAY, cells=where.cells)
    friction, wide = float(values[-1]), float(np.hypot(half[-1], FRICTION_SHARE * values[-1]))
    model = max(MODEL_SHARE, MODEL_LEFT * math.sqrt(max(1 - found.explained, 0.0)))
    return ForceMap(
        end=signal.end,
        full_travel_mm=signal.full_travel_mm,
        spring=_curve(travels, values[:stop], half[:stop], rest=STANDARD_GRAVITY_M_S2, model=model),
        damper=_curve(speeds, values[stop:-1], half[stop:-1], rest=0.0, model=model),
        speed_of="wheel" if signal.shaft_ratio is None else "shaft",
        friction=friction,
        friction_low=friction - wide,
        friction_high=friction + wide,
        lag_ms=1e3 * found.lag_s,
        rider=_rider(found, side, solved, carried),
        cells=where.cells,
        minutes=where.taken.samples.shape[0] * chassis.chassis.every / chassis.chassis.rate_hz / 60.0,
        explained=found.explained,
        limits=where.limits,
    )


def force_map(run: RunMotion, end: End, smoothing: Smoothing, rider: Rider | None = None) -> ForceMap | NoForceMap:
    """Return the map of an end that has a displacement sensor and a chassis inertial sensor, or why there is none.

    Parameters
    ----------
    run : RunMotion
    end : {"front", "rear"}
    smoothing : Smoothing
    rider : Rider, optional
        As the day's rides show it together; else this ride by itself does.

    Notes
    -----
    Upward specific force above the end, m/s2, against hat functions of travel and speed and friction's shape, and
    beside them whatever else accelerates the chassis there: a restoring-force surface [MasriCaughey1979] that is the
    sum of two curves. Scaled by what the end carries at rest: 9.81 N per kg.
    """
    where = _covered(run, end, smoothing)
    if isinstance(where, NoForceMap):
        return where

    def felt(coefficients: Floats) -> Floats:
        return force_as_felt(run, where.signal, smoothing, where.knots, coefficients)[where.taken.samples]

    return _mapped(where, where.found(rider), felt)


def _mapped_ends(run: RunMotion) -> tuple[End, ...]:
    return tuple(end for end in ENDS if end in run.ride.ends and (end, "chassis") in run.ride.inertial)


def bodies_seen(run: RunMotion, smoothing: Smoothing) -> tuple[Found, ...]:
    """Return how a rider's body follows the chassis, as each end of one ride that gives a map shows it."""
    ends = (_covered(run, end, smoothing) for end in _mapped_ends(run))
    found = (where.found(None) for where in ends if isinstance(where, _Covered))
    return tuple(one for one in found if not _why_not(one))


def force_maps(run: RunMotion, smoothing: Smoothing, rider: Rider | None = None) -> tuple[ForceMap | NoForceMap, ...]:
    """Return the map of each end that has a displacement sensor and a chassis inertial sensor; see `force_map`."""
    return tuple(force_map(run, end, smoothing, rider) for end in _mapped_ends(run))
