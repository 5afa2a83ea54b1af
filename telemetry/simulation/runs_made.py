"""Runs and recordings of a scenario: the continuous signals, and the truth of each run."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from telemetry.dynamics.car import Bike
from telemetry.dynamics.given import Given, faster_m_s
from telemetry.dynamics.half_car import Motion, axle_loads_n, ride, travel_under_m
from telemetry.model.arrays import Floats

from .body import BodyMotion
from .body_made import body_of, stood, with_body
from .full_truth import WholeMotion
from .path import Path, along_course, straight
from .pushes import ThreePushes, pushed
from .recordings import TREMOR_MM, Levels, held
from .scenario import ReadScenario, SimulatedSetup
from .scenario_parts import RATE_HZ
from .signals import Signals
from .trail import profile, wheel_path
from .true_phases import TruePhases, true_phases, with_load_transfer
from .truth import TrueRun, true_run

STANDING_S = 2.5
RECORDING_S = 6.0
BOUNCE_N = 900.0
IMBALANCE, LEAST_J = 0.02, 5.0
UNBALANCED_WITHIN_S = 0.1
BOUNCE_PUSH_S = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeRun:
    """One run: signals with standing or pushes around it, and its truth.

    `starts_s` and `ends_s` say where the trail lies in the signals, `marks_s` when the front wheel passes its marks;
    `whole` is the motion that the truth is of;
    `phases` are counted from the trail's beginning, and None of a bike that isn't braked or driven.
    """

    signals: Signals
    truth: TrueRun
    phases: TruePhases | None
    whole: WholeMotion
    starts_s: float
    ends_s: float
    marks_s: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Course:
    roads_m: Floats
    path: Path
    marks_s: Floats


def _course(scenario: ReadScenario, setup: SimulatedSetup, rng: np.random.Generator) -> _Course:
    """Return heights under both wheels and ground speed at every step of one run."""
    line_rng, speed_rng, crank_rng = rng.spawn(3)
    trail = scenario.tables.trail
    ground = profile(scenario.trail, line_rng=line_rng, line_share=trail.line_percent / 100)
    pace = 1 + scenario.tables.day.speed_spread_percent / 100 * float(np.clip(speed_rng.standard_normal(), -3, 3))
    speed = ground.speed_m_s * pace
    seconds = np.concatenate([[0.0], np.cumsum(ground.step_m / speed[:-1])])
    bike, where = setup.bike, ground.distance_m
    time_s = np.arange(int(seconds[-1] * RATE_HZ)) / RATE_HZ
    at_m = np.interp(time_s, seconds, where)
    behind_m = bike.frame.wheelbase_m
    front, rear = (wheel_path(ground.height_m, ground.step_m, radius) for radius in bike.wheel_radius_m)
    roads = np.column_stack([np.interp(at_m, where, front), np.interp(at_m - behind_m, where, rear)])
    forward = np.gradient(speed**2 / 2, ground.step_m)
    path = straight(np.interp(at_m, where, speed), np.interp(at_m, where, forward))
    if scenario.trail.course is not None:
        path = along_course(scenario.trail.course, at_m, path, RATE_HZ, crank_rng)
    marks_s = np.interp([mark.at_m for mark in trail.marks], where, seconds)
    return _Course(roads_m=roads - roads[0], path=path, marks_s=marks_s)


def _levels(setup: SimulatedSetup, front_m: float, rear_m: float) -> Levels:
    stroke_m = float(setup.bike.rear.stroke_of_m(np.array([rear_m]))[0])
    return Levels(fork_travel_mm=1e3 * front_m, shock_stroke_mm=1e3 * stroke_m)


def levels_of(setup: SimulatedSetup) -> Levels:
    """Return where both ends rest with the rider aboard."""
    return _levels(setup, *setup.bike.sag_m())


def _read_speed_m_s(speed_m_s: Floats, motion: Motion, bike: Bike, given: Given | None) -> Floats:
    """Return the speed a sensor reads: its slope is what is felt along the ground, which may lag what is asked."""
    if given is None:
        return speed_m_s
    along, asked = motion.front_along_n + motion.rear_along_n, given.front_n + given.rear_n
    faster = faster_m_s(along / bike.mass_kg, asked / bike.mass_kg, motion.rate_hz)
    return np.maximum(speed_m_s + faster, 0.0)


def _signals(setup: SimulatedSetup, motion: Motion, speed_m_s: Floats, body: BodyMotion | None) -> Signals:
    return Signals(
        time_s=np.arange(motion.front_m.shape[0]) / motion.rate_hz,
        fork_travel_mm=1e3 * motion.front_m,
        shock_stroke_mm=1e3 * setup.bike.rear.stroke_of_m(motion.rear_m),
        ground_speed_m_s=speed_m_s,
        body=body,
    )


def _has_inertial(scenario: ReadScenario) -> bool:
    return bool(scenario.tables.logger.inertial())


def _around(signals: Signals, setup: SimulatedSetup, *, with_pushes: bool) -> tuple[Signals, float, float]:
    """Return the run with pushes, or a bike that stands, before and after it, and where the run lies."""
    standing = levels_of(setup)
    if with_pushes:
        suspension = setup.bike
        full = Levels(fork_travel_mm=1e3 * suspension.front.stroke_m, shock_stroke_mm=1e3 * suspension.rear.stroke_m)
        made = pushed(signals, standing, full, ThreePushes())
        first = round(made.run_starts_s * RATE_HZ)
        whole = with_body(setup.bike, made.signals, signals.body, first, made.joining)
        return whole, made.run_starts_s, made.run_ends_s
    still = round(STANDING_S * RATE_HZ)
    count = signals.time_s.shape[0]

    def held_around(signal: Floats, level: float) -> Floats:
        return np.concatenate([np.full(still, level), signal, np.linspace(signal[-1], level, still // 4)])

    speed = signals.ground_speed_m_s
    made_signals = Signals(
        time_s=np.arange(count + still + still // 4) / RATE_HZ,
        fork_travel_mm=held_around(signals.fork_travel_mm, standing.fork_travel_mm),
        shock_stroke_mm=held_around(signals.shock_stroke_mm, standing.shock_stroke_mm),
        ground_speed_m_s=None if speed is None else np.pad(speed, (still, still // 4)),
    )
    whole = with_body(setup.bike, made_signals, signals.body, still, still // 4)
    return whole, still / RATE_HZ, (still + count - 1) / RATE_HZ


def _zero_m(scenario: ReadScenario, setup: SimulatedSetup) -> tuple[float, float]:
    """Return where a lifted recording puts zero, if there is one, front and rear."""
    if all(item.kind != "lifted" for item in scenario.tables.recordings):
        return 0.0, 0.0
    return setup.bike.hanging_m()


def _from_zero(motion: Motion, zero_m: tuple[float, float]) -> Motion:
    return replace(motion, front_m=motion.front_m - zero_m[0], rear_m=motion.rear_m - zero_m[1])


TAKERS = ("dampers", "friction", "tyres", "rider")


def _energies_j(motion: Motion) -> tuple[float, float]:
    """Return what a motion was given and what it lost or stored, J."""
    work = motion.work_j
    return work["road"] + work["pushes"], sum(work[name] for name in (*TAKERS, "stored"))


def _balanced(motion: Motion) -> bool:
    """Tell whether energies balance: to 2 % of what was lost, for on a descent far more passes into height."""
    given, taken = _energies_j(motion)
    return abs(given - taken) <= LEAST_J + IMBALANCE * sum(abs(motion.work_j[name]) for name in TAKERS)


def _unbalanced_after_s(bike: Bike, roads_m: Floats, given: Given | None) -> float:
    """Return about when the energies of a motion part that don't balance at its end, s: halved down to 0.1 s."""
    good, bad = 1, roads_m.shape[0]
    while bad - good > UNBALANCED_WITHIN_S * RATE_HZ:
        middle = (good + bad) // 2
        part = None if given is None else given.until(middle)
        if _balanced(ride(bike, roads_m[:middle], RATE_HZ, given=part)):
            good = middle
        else:
            bad = middle
    return float(bad / RATE_HZ)


def _require_balance(motion: Motion, bike: Bike, roads_m: Floats, given: Given | None) -> None:
    """Refuse a motion whose steps made or lost energy: parts too stiff for the step, short of growing without bound.

    Raises
    ------
    ValueError
    """
    if not _balanced(motion):
        put_in, taken = _energies_j(motion)
        when = _unbalanced_after_s(bike, roads_m, given)
        raise ValueError(
            f"energies that part after {when:.1f} s, {put_in:.0f} J put in and {taken:.0f} J taken out or stored by "
            "the run's end: parts too stiff for the step"
        )


def made_run(scenario: ReadScenario, setup: SimulatedSetup, rng: np.random.Generator) -> MadeRun:
    """Simulate one run.

    Parameters
    ----------
    scenario : ReadScenario
    setup : SimulatedSetup
    rng : numpy Generator
        Draws the rider's line, pace and stance.

    Raises
    ------
    DivergedError
    ValueError
        If the energies of the motion don't balance.
    """
    course_rng, stance_rng = rng.spawn(2)
    course = _course(scenario, setup, course_rng)
    spread_m = 1e-3 * scenario.tables.day.stance_spread_mm
    shift_m = spread_m * float(np.clip(stance_rng.standard_normal(), -3, 3))
    ridden = setup.bike.riding().leaning(shift_m)
    given = None if setup.bike.heights is None else course.path.given(ridden)
    motion = ride(ridden, course.roads_m, RATE_HZ, given=given)
    _require_balance(motion, ridden, course.roads_m, given)
    speed_m_s = course.path.speed_m_s
    everything = slice(0, speed_m_s.shape[0])
    bike = setup.bike
    full = bike.front.full_travel_m, bike.rear.full_travel_m
    zero_m = _zero_m(scenario, setup)
    phases = None if given is None else true_phases(motion, course.path)
    truth = true_run(_from_zero(motion, zero_m), everything, speed_m_s, full)
    if phases is not None:
        truth = with_load_transfer(truth, ridden, full)
    body = body_of(setup.bike, motion, ridden, given, course.path) if _has_inertial(scenario) else None
    signals = _signals(setup, motion, _read_speed_m_s(speed_m_s, motion, ridden, given), body)
    around, starts_s, ends_s = _around(signals, setup, with_pushes=scenario.tables.day.pushes)
    whole = WholeMotion(
        motion=motion, bike=ridden, dampers=(bike.front, bike.rear), zero_m=zero_m, roads_m=course.roads_m
    )
    return MadeRun(
        signals=around,
        phases=phases,
        truth=truth,
        whole=whole,
        starts_s=starts_s,
        ends_s=ends_s,
        marks_s=tuple(starts_s + float(mark) for mark in course.marks_s),
    )


Settled = Literal["compressed", "extended"]


def loaded(setup: SimulatedSetup, load: str | None, seat_ahead_m: float) -> SimulatedSetup:
    """Return a setup as it stands under another load than a rider on the pedals.

    Parameters
    ----------
    setup : SimulatedSetup
    load : {"standing", "seated", "bike_alone"} or None
        Seated, what stood on the pedals weighs on the saddle; alone, the bike carries nobody.
    seat_ahead_m : float
        Of the saddle before the frame's centre of mass.
    """
    rider = setup.bike.rider
    if load == "seated":
        rider = replace(rider, pedals_ahead_m=seat_ahead_m)
    if load == "bike_alone":
        rider = replace(rider, mass_kg=0.0)
    return replace(setup, bike=replace(setup.bike, rider=rider))


def _settled(setup: SimulatedSetup, way: Settled | None) -> Levels:
    """Return where both ends come to rest: friction holds them deeper from compressed, higher from extended."""
    if way is None:
        return levels_of(setup)
    slow = setup.bike.settled()
    loads = axle_loads_n(slow)
    travel = []
    for end, load in zip((slow.front, slow.rear), loads, strict=True):
        held_n = end.friction_n / float(np.interp(0.3, np.linspace(0, 1, end.ratio.shape[0]), end.ratio))
        held_n = held_n / end.vertical if way == "extended" else -held_n / end.vertical
        travel.append(travel_under_m(end, load - held_n))
    return _levels(setup, *travel)


def made_recording(setup: SimulatedSetup, kind: str, settled_from: Settled | None, rng: np.random.Generator) -> Signals:
    """Return the signals of a recording made off the trail.

    Parameters
    ----------
    setup : SimulatedSetup
    kind : {"lifted", "sag", "settle", "bounce", "still"}
    settled_from : {"compressed", "extended"} or None
    rng : numpy Generator

    Raises
    ------
    DivergedError
    """
    if kind == "bounce":
        count = round(RECORDING_S * RATE_HZ)
        push = np.zeros(count)
        first = round(2.0 * RATE_HZ)
        length = round(BOUNCE_PUSH_S * RATE_HZ)
        push[first : first + length] = BOUNCE_N * np.sin(np.pi * np.arange(length) / length)
        bike, still = setup.bike.riding(), np.zeros(count)
        motion = ride(bike, np.zeros((count, 2)), RATE_HZ, push_n=push)
        return _signals(setup, motion, still, body_of(setup.bike, motion, bike, None, straight(still, still)))
    lifted = kind == "lifted"
    levels = _levels(setup, *setup.bike.hanging_m()) if lifted else _settled(setup, settled_from)
    made = held(levels, RECORDING_S, RATE_HZ, rng, tremor_mm=0.0 if lifted else TREMOR_MM)
    still = np.full_like(made.time_s, 1.0)
    level = replace(made, fork_travel_mm=levels.fork_travel_mm * still, shock_stroke_mm=levels.shock_stroke_mm * still)
    return replace(made, body=stood(setup.bike, level))
