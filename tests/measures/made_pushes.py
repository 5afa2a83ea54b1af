"""Simulated runs with and without three pushes, on invented bikes, and where the pushes truly are.

Two kinds of pushes: given as a shape (`telemetry.simulation.pushes`), and pressed with a force into the simulated bike,
which then moves as its springs and dampers let it. How deep, how quick and how even a rider presses is a guess, no
source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
from scipy.signal import find_peaks

from telemetry.conditioning import RideRecipe
from telemetry.dynamics.half_car import ride
from telemetry.model.ride import Ride
from telemetry.pipeline.rides import clean
from telemetry.simulation.obstacles import BrakingBumps, Bump, Drop, Obstacle
from telemetry.simulation.pushes import HITS, ThreePushes, push_share
from telemetry.simulation.recordings import tremor
from telemetry.simulation.road import GEOMETRIC_MEAN_M3
from telemetry.simulation.runs_made import made_run
from telemetry.simulation.scenario import ReadScenario, SimulatedSetup, read_scenario
from telemetry.simulation.scenario_parts import RATE_HZ
from telemetry.simulation.trail import Stretch, Trail
from tests.measures.made_rides import made_log, recipe

SAMPLES = Path(__file__).parent.parent.parent / "sample_runs"
BICYCLES, DIRT_BIKE = ("lower_leg_oil", "longer_link"), "lighter_damper_oil"
ENDS = ("front", "rear")
REST_MM_S = 20.0
NEAR_S = 0.5
"""Bounds this near the true ones count as found: a fraction of what the pushes themselves last."""


@dataclass(frozen=True, kw_only=True)
class MadePushes:
    """A cleaned ride, and where it truly starts and ends, s; None where nothing was pressed there."""

    ride: Ride
    start_s: float | None
    end_s: float | None
    words: str

    def found(self, start_s: float | None, end_s: float | None) -> bool:
        """Tell whether these bounds are the true ones, None for none."""
        return _near(start_s, self.start_s) and _near(end_s, self.end_s)


def _shortest_hit(travel_mm: np.ndarray) -> float:
    """Return the third longest rise between turns, mm."""
    turns = find_peaks(travel_mm)[0]
    lows = [0, *(int(np.argmin(travel_mm[a:b])) + int(a) for a, b in pairwise(turns))]
    return float(sorted(travel_mm[turns] - travel_mm[lows])[-HITS]) if turns.size >= HITS else 0.0


def _near(found: float | None, true: float | None) -> bool:
    if found is None or true is None:
        return found is None and true is None
    return abs(found - true) <= NEAR_S


@cache
def scenario_of(name: str) -> ReadScenario:
    return read_scenario(SAMPLES / name / "scenario.toml")


class Maker:
    """Makes one bike's travel piece by piece, a row an end, in mm."""

    def __init__(self, rng: np.random.Generator) -> None:
        self.rng = rng
        self.bike_name = str(rng.choice([*BICYCLES, *BICYCLES, DIRT_BIKE]))
        self.scenario = scenario_of(self.bike_name)
        self.setup: SimulatedSetup = next(iter(self.scenario.setups.values()))
        bike = self.setup.bike
        self.full = 1e3 * np.array([bike.front.full_travel_m, bike.rear.full_travel_m])
        self.level = 1e3 * np.array(bike.sag_m())
        self.tremor_mm = float(rng.uniform(0.02, 0.15))

    def stand(self, seconds: float, at: np.ndarray | None = None) -> np.ndarray:
        count = round(seconds * RATE_HZ)
        shaken = [tremor(count, RATE_HZ, self.tremor_mm, self.rng) for _ in ENDS]
        return (self.level if at is None else at)[:, None] + np.array(shaken)

    def given_hits(self) -> np.ndarray:
        """Return three hits of a raised cosine, from the first one's start to the last one's end."""
        hit = float(self.rng.uniform(0.25, 0.8))
        later = float(self.rng.uniform(0.0, min(0.12, hit / 3)))
        every = float(self.rng.uniform(hit, min(1.3, (2.9 - hit - later) / (HITS - 1))))
        pushes = ThreePushes(hit_s=hit, every_s=every, rear_later_s=later, standing_s=1.0, still_s=0.5)
        deepest = 0.95 - float(np.max(self.level / self.full))
        depths = self.rng.uniform(0.13, min(0.55, deepest), size=2) * self.full
        inner = slice(round(pushes.standing_s * RATE_HZ), round((pushes.standing_s + pushes.hitting_s) * RATE_HZ))
        shares = [push_share(pushes, RATE_HZ, at)[inner] for at in (0.0, later)]
        return self.level[:, None] + depths[:, None] * np.array(shares)

    def pressed_hits(self) -> np.ndarray:
        """Return three hits by force until the bike rests again; harder until each at each end is 12 % deep."""
        bike = self.setup.bike.riding()
        every = float(self.rng.uniform(0.5, 0.95))
        lasts = float(self.rng.uniform(0.25, min(0.5, every)))
        push = np.sin(np.pi * np.arange(round(lasts * RATE_HZ)) / round(lasts * RATE_HZ))
        count = round((HITS - 1) * every * RATE_HZ) + push.shape[0] + round(1.5 * RATE_HZ)
        shape = np.zeros(count)
        for hit in range(HITS):
            first = round(hit * every * RATE_HZ)
            shape[first : first + push.shape[0]] += push * float(self.rng.uniform(0.85, 1.0))
        for force_n in np.geomspace(700.0, 6000.0, 12) * float(self.rng.uniform(1.0, 1.25)):
            moved = ride(bike, np.zeros((count, 2)), RATE_HZ, push_n=force_n * shape)
            travel = 1e3 * np.array([moved.front_m, moved.rear_m])
            if min(_shortest_hit(end) / full for end, full in zip(travel, self.full, strict=True)) > 0.12:
                break
        moving = np.abs(np.diff(travel, axis=1)).max(axis=0) * RATE_HZ > REST_MM_S
        rests = int(np.flatnonzero(moving)[-1]) + 1
        return (travel + (self.level - travel[:, 0])[:, None])[:, :rests]

    def trail(self, seconds: float, roads: str) -> Trail:
        stretches = []
        while seconds > 0:
            speed = float(self.rng.uniform(3.5, 10.0))
            length = float(self.rng.uniform(25.0, 90.0))
            rough = str(self.rng.choice(list(roads)))
            stretches.append(
                Stretch(
                    length_m=length,
                    speed_m_s=speed,
                    level_m3=GEOMETRIC_MEAN_M3[rough],
                    obstacles=self.obstacles(length),
                )
            )
            seconds -= length / speed
        return Trail(stretches=tuple(stretches), seed=int(self.rng.integers(1 << 30)))

    def obstacles(self, length_m: float) -> tuple[Obstacle, ...]:
        """Return nothing, braking bumps, three bumps that could pass for pushes, or a drop."""
        kind = self.rng.integers(4)
        if kind == 0:
            return ()
        if kind == 1:
            wave = float(self.rng.uniform(0.8, 1.6))
            height = float(self.rng.uniform(0.03, 0.07))
            return (BrakingBumps(at_m=5.0, height_m=height, wavelength_m=wave, count=int(self.rng.integers(3, 12))),)
        if kind == 2:
            every = float(self.rng.uniform(3.0, 7.0))
            height, long = float(self.rng.uniform(0.06, 0.16)), float(self.rng.uniform(0.4, 3.0))
            return tuple(Bump(at_m=3.0 + k * every, height_m=height, length_m=long) for k in range(HITS))
        return (Drop(at_m=length_m / 2, height_m=float(self.rng.uniform(0.1, 0.4))),)

    def ridden(self, seconds: float, roads: str) -> np.ndarray:
        """Return a piece of trail; `roads` are the classes of ground its stretches are drawn from."""
        scenario = replace(self.scenario, trail=self.trail(seconds, roads))
        made = made_run(scenario, self.setup, self.rng)
        inner = slice(round(made.starts_s * RATE_HZ), round(made.ends_s * RATE_HZ))
        stroke = made.signals.shock_stroke_mm[inner]
        table = self.setup.bike.rear.leverage
        rear = stroke if table is None else np.interp(stroke, table.stroke_mm, table.travel_mm)
        return np.array([made.signals.fork_travel_mm[inner], rear])

    def fidget(self) -> np.ndarray:
        """Return a rider who gets on, bounces the bike once, twice, four or five times, or shifts about."""
        times = int(self.rng.choice([1, 2, 4, 5, 6]))
        deep = self.rng.uniform(0.03, 0.4, size=2) * self.full
        deep = np.minimum(deep, 0.95 * self.full - self.level)
        hit = (1 - np.cos(2 * np.pi * np.linspace(0, 1, round(self.rng.uniform(0.3, 0.6) * RATE_HZ)))) / 2
        return self.level[:, None] + deep[:, None] * np.tile(hit, times)

    def into(self, pieces: list[np.ndarray]) -> np.ndarray:
        """Return the pieces end to end, half a cosine of 0.15 to 0.8 s between them where levels differ."""
        whole = [pieces[0]]
        for piece in pieces[1:]:
            before, after = whole[-1][:, -1], piece[:, 0]
            if np.max(np.abs(after - before)) > 1.0:
                count = round(float(self.rng.uniform(0.15, 0.8)) * RATE_HZ)
                rise = (1 - np.cos(np.pi * np.arange(count) / count)) / 2
                whole.append(before[:, None] + (after - before)[:, None] * rise)
            whole.append(piece)
        return np.concatenate(whole, axis=1)

    def logged(self, travel_mm: np.ndarray, ends: tuple[str, ...]) -> Ride:
        """Return travel as a sensor of 10 to 12 bits with noise would have it, at 200 to 1000 Hz, cleaned."""
        rate_hz = float(self.rng.choice([200.0, 250.0, 400.0, 500.0, 1000.0]))
        bits, noise = int(self.rng.integers(10, 13)), float(self.rng.uniform(0.0, 0.25))
        at = np.arange(0.0, (travel_mm.shape[1] - 1) / RATE_HZ, 1 / rate_hz)
        columns, recipes = {}, []
        for end, full, travel in zip(ENDS, self.full, travel_mm, strict=True):
            if end not in ends:
                continue
            read = np.interp(at, np.arange(travel.shape[0]) / RATE_HZ, travel)
            step = 1.1 * full / 2**bits
            columns[end] = np.round((read + noise * self.rng.standard_normal(at.shape[0])) / step) * step
            own = recipe(end)
            recipes.append(replace(own, setup=replace(own.setup, full_travel_mm=float(full))))
        plan = RideRecipe(name=self.bike_name, setup="a", ends=tuple(recipes), cutoff_hz=60.0)
        return clean(made_log(columns, rate_hz), plan)


def _ends(rng: np.random.Generator) -> tuple[str, ...]:
    """Return both ends, or in a fifth of the runs one of them: a hardtail, or one sensor."""
    return ENDS if rng.random() < 0.8 else (str(rng.choice(ENDS)),)


def with_pushes(seed: int, seconds: float = 20.0) -> MadePushes:
    """Return a run with three pushes before and after it.

    Parameters
    ----------
    seed : int
    seconds : float
        Of riding, about.
    """
    rng = np.random.default_rng([seed, 1])
    maker = Maker(rng)
    given = bool(rng.random() < 0.5)
    first, last = (maker.given_hits() if given else maker.pressed_hits() for _ in range(2))
    before = maker.stand(float(rng.uniform(1.15, 4.0)))
    pieces = [before, first, maker.stand(float(rng.uniform(0.7, 3.0))), maker.ridden(seconds, "CDDE")]
    pieces = [maker.into(pieces), maker.stand(float(rng.uniform(1.3, 4.0)))]
    whole = maker.into(pieces)
    tail = maker.stand(float(rng.uniform(0.7, 3.0)))
    start_s, end_s = (before.shape[1] + first.shape[1]) / RATE_HZ, whole.shape[1] / RATE_HZ
    travel = np.concatenate([whole, last, tail], axis=1)
    ends = _ends(rng)
    words = f"{maker.bike_name}, {' and '.join(ends)}, {'given' if given else 'pressed'}"
    return MadePushes(ride=maker.logged(travel, ends), start_s=start_s, end_s=end_s, words=words)


def without_pushes(seed: int, seconds: float = 20.0) -> MadePushes:
    """Return a session without pushes: standing starts, stops between pieces of trail, a rider who can't keep still.

    Parameters
    ----------
    seed : int
    seconds : float
        Of riding, about.
    """
    rng = np.random.default_rng([seed, 2])
    maker = Maker(rng)
    pieces = list(_session(maker, rng, seconds))
    ends = _ends(rng)
    words = f"{maker.bike_name}, {' and '.join(ends)}, {len(pieces)} pieces"
    return MadePushes(ride=maker.logged(maker.into(pieces), ends), start_s=None, end_s=None, words=words)


def _session(maker: Maker, rng: np.random.Generator, seconds: float) -> Iterator[np.ndarray]:
    yield maker.stand(float(rng.uniform(1.0, 6.0)))
    while seconds > 0:
        if rng.random() < 0.3:
            yield maker.fidget()
            yield maker.stand(float(rng.uniform(0.5, 2.0)))
        piece = float(rng.uniform(1.5, 12.0))
        yield maker.ridden(piece, "ABCDDE")
        yield maker.stand(float(rng.uniform(0.5, 4.0)))
        seconds -= piece
