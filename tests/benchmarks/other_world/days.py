"""Days of the other world: a folder as a tuner would hand it in, and what its change truly does.

A day has six runs of two setups, turned (A B B A A B or B A A B B A), each on a line of its own, with the bike lifted
before every other setup and, on half of the days, settled from above and below. The truth is both setups over all six
lines, without noise, by the product's own definitions of its measures.
"""

from __future__ import annotations

import datetime as dt
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import tomlkit

from telemetry.model.measure import MeasureAt
from tests.benchmarks.held_rows import Truth, measured, over_runs

from .bike import PLACES, Bike, Place, equations_of
from .changes import CHANGES, WRONG, Changed
from .equations import Floats, G, rest_travel_m, stroke_of, travel_of
from .motion import FAMILIES, ROWS_S, Body, Family
from .riding import Way, course_of, drawn_body, drawn_way, ride, unloaded
from .stated import Stated, Tables, stated

ORDERS = ("abbaab", "baabba")
FIRST_COUNT, LAST_COUNT, MOST_COUNT = 212, 3800, 4095
"""Of a converter with 12 bits: at full extension, at full travel."""
NOISE_MM: dict[Place, float] = {"front": 0.1, "rear": 0.04}
SETTLES_OFF_MM: dict[Place, float] = {"front": 0.25, "rear": 0.1}
"""How well a bike settles where it should: one standard deviation. Own choice."""
SETTLED_FRICTION = 0.9
"""Share of friction that still holds where a bike has settled."""
RIDES_FROM_S, RIDES_UNTIL_S = 3.5, 2.5
"""From a log's start, and before its end: where the run lies."""
DATE = dt.date(2026, 5, 16)


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A day's folder, what was changed, and the truth over all lines and over the baseline's own."""

    folder: Path
    family: Family
    change: str
    changed: Changed
    truth: Truth
    truth_own: Truth
    unloaded: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ridden:
    """Strokes from full extension as it hangs, mm, front and rear, by setup and line."""

    order: str
    strokes_mm: dict[tuple[str, int], Floats]
    unloaded: float

    def seconds(self, setup: str, line: int) -> float:
        """Return how long a run's log is."""
        return float(self.strokes_mm[setup, line][0].size) / ROWS_S


def _rest_mm(bike: Bike, place: Place, load_n: float, friction: float = 0.0) -> float:
    """Return the stroke at which an end rests under a load."""
    end = equations_of(bike, place)
    return 1e3 * stroke_of(end, rest_travel_m(end, load_n, friction))[0]


def _hangs_mm(bike: Bike) -> Floats:
    """Return both strokes with the wheels off the ground: just past the top-out."""
    return np.array([_rest_mm(bike, place, -bike.end(place).unsprung_kg * G) for place in PLACES])


def _ridden(changed: Changed, body: Body, way: Way, family: Family, order: str) -> _Ridden:
    strokes, off_ground = {}, []
    for line in range(len(order)):
        course = course_of(changed.base, way, line, family)
        for setup, bike in (("a", changed.base), ("b", changed.other)):
            found = ride(bike, body, course, family)
            if not np.isfinite(found.stroke_m).all():
                raise ArithmeticError("a ride's steps were too long for its parts")
            strokes[setup, line] = 1e3 * found.stroke_m - _hangs_mm(bike)[:, np.newaxis]
            off_ground.append(unloaded(found))
    return _Ridden(order=order, strokes_mm=strokes, unloaded=float(np.mean(off_ground)))


def _log(path: Path, columns: Sequence[Sequence[float] | np.ndarray[Any, Any]]) -> None:
    times = range(0, 1000 // ROWS_S * len(columns[0]), 1000 // ROWS_S)
    rows = "".join(f"{time},{front},{rear}\n" for time, front, rear in zip(times, *columns, strict=True))
    path.write_text("t_ms,A0,A1\n" + rows, encoding="utf-8")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Logger:
    """Writes strokes as counts; `fulls_mm` is what its pots' last count means."""

    folder: Path
    fulls_mm: tuple[float, float]
    rng: np.random.Generator

    def write(self, name: str, strokes_mm: Floats) -> str:
        """Write strokes from where the potentiometers' first count is, shape (2, N); return the log's name."""
        columns = []
        for place, full, strokes in zip(PLACES, self.fulls_mm, strokes_mm, strict=True):
            noisy = strokes + NOISE_MM[place] * self.rng.standard_normal(strokes.size)
            counts = np.round(FIRST_COUNT + noisy / full * (LAST_COUNT - FIRST_COUNT))
            columns.append(np.clip(counts, 0, MOST_COUNT).astype(int))
        _log(self.folder / name, columns)
        return name

    def still(self, name: str, strokes_mm: Floats, seconds: float) -> str:
        """Write a log at a standstill."""
        return self.write(name, np.repeat(strokes_mm[:, np.newaxis], int(seconds * ROWS_S), axis=1))


def _statics(logger: _Logger, changed: Changed, body: Body, order: str) -> list[Tables]:
    """Write recordings at a standstill: lifted before every other setup, and settled on half of the days."""
    found: list[Tables] = []
    bikes = {"a": changed.base, "b": changed.other}
    for number, setup in enumerate(order, 1):
        if number == 1 or setup != order[number - 2]:
            log = logger.still(f"lifted_{number}.csv", _hangs_mm(bikes[setup]), 5)
            found.append({"log": log, "kind": "lifted", "setup": setup, "before_run": f"run_{number}"})
    if logger.rng.random() < 0.5:
        return found
    carried = {"front": body.front_kg * G, "rear": body.rear_kg * G}
    first = f"run_{order.index('a') + 1}"
    for number in (1, 2):
        for start, side in (("compressed", -1), ("extended", 1)):
            rests = np.array(
                [_rest_mm(changed.base, place, carried[place], side * SETTLED_FRICTION) for place in PLACES]
            )
            rests += np.array([SETTLES_OFF_MM[place] for place in PLACES]) * logger.rng.standard_normal(2)
            log = logger.still(f"settled_{start}_{number}.csv", rests, 4)
            how = {"kind": "settle", "from": start, "load": "standing", "setup": "a", "before_run": first}
            found.append({"log": log, **how})
    return found


def _leverage(path: Path, bike: Bike) -> str:
    end = equations_of(bike, "rear")
    strokes = np.linspace(0, end.stroke_m, 27)
    rows = "".join(f"{1e3 * stroke:.3f},{1e3 * travel_of(end, stroke):.3f}\n" for stroke in strokes)
    path.write_text("stroke_mm,travel_mm\n" + rows, encoding="utf-8")
    return path.name


def _sensors(points: Sequence[list[list[float]]]) -> Tables:
    fork, shock = ({"kind": "displacement", "points": own} for own in points)
    return {
        "fork": fork | {"end": "front", "column": "A0"},
        "shock": shock | {"end": "rear", "column": "A1", "measures": "stroke"},
    }


def _within(seconds: float) -> Tables:
    return {"start_s": RIDES_FROM_S, "end_s": round(seconds - RIDES_UNTIL_S, 2)}


def _written(
    folder: Path, changed: Changed, says: Stated, found: _Ridden, logger: _Logger, statics: list[Tables]
) -> None:
    """Write a day's logs of runs, leverage curves and `ride_day.toml`."""
    bike, runs = changed.base, []
    for number, setup in enumerate(found.order, 1):
        which = bike if setup == "a" else changed.other
        strokes = found.strokes_mm[setup, number - 1] + _hangs_mm(which)[:, np.newaxis]
        log = logger.write(f"run_{number}.csv", strokes)
        started = dt.datetime.combine(DATE, dt.time(9 + (9 * number) // 60, 9 * number % 60))
        within = _within(found.seconds(setup, number - 1))
        runs.append({"log": log, "setup": setup, **within, "started_at": started})
    candidate: Tables = {place: dict(own) for place, own in says.other.items() if own}
    if bike.rear.ratios != changed.other.rear.ratios:
        candidate["rear"] = {**says.other["rear"], "leverage": _leverage(folder / "leverage_b.csv", changed.other)}
    leverage = {"leverage": _leverage(folder / "leverage_a.csv", bike)}
    points = [[[FIRST_COUNT, 0.0], [LAST_COUNT, round(full, 4)]] for full in logger.fulls_mm]
    sensors = _sensors(points)
    tables: Tables = {
        "ride_day": {"date": DATE, "title": "another world", "air_temperature_c": bike.air_c}
        | {"altitude_m": bike.altitude_m, **says.rider},
        "bike": {
            "name": bike.kind,
            **says.bike,
            "front": says.base["front"],
            "rear": {**leverage, **says.base["rear"]},
        },
        "log": {"time": {"column": "t_ms", "unit": "ms"}},
        "sensors": {name: sensor | {"counts_range": [0, MOST_COUNT]} for name, sensor in sensors.items()},
        "setups": {"a": {"label": "A, as it was"}, "b": {"based_on": "a", "label": "B, changed", **candidate}},
        "runs": runs,
        "static": statics,
        "comparison": {"baseline": "a", "candidate": "b", "planned_runs": 3},
    }
    (folder / "ride_day.toml").write_text(tomlkit.dumps(tables), encoding="utf-8")


def _true_values(folder: Path, bike: Bike, found: _Ridden, setup: str) -> tuple[dict[MeasureAt, float], ...]:
    """Return a setup's rows over all lines, and over the baseline's own: exact parts, exact logs."""
    folder.mkdir()
    names = {}
    for line in range(len(found.order)):
        names[f"line_{line + 1}"] = found.order[line] == "a"
        _log(folder / f"line_{line + 1}.csv", [np.round(one, 4) for one in found.strokes_mm[setup, line]])
    rear = {"stroke_mm": bike.rear.stroke_mm, "leverage": _leverage(folder / "leverage.csv", bike)}
    tables: Tables = {
        "ride_day": {"date": DATE, "title": "the truth"},
        "bike": {"wheelbase_mm": bike.wheelbase_mm, "head_angle_deg": bike.head_deg}
        | {"front": {"travel_mm": bike.front.stroke_mm}, "rear": rear},
        "log": {"time": {"column": "t_ms", "unit": "ms"}},
        "sensors": _sensors([[[0, 0.0], [100, 100.0]]] * 2),
        "setups": {"x": {}},
        "runs": [
            {"log": f"{name}.csv", "setup": "x", **_within(found.seconds(setup, line))}
            for line, name in enumerate(names)
        ],
    }
    (folder / "ride_day.toml").write_text(tomlkit.dumps(tables), encoding="utf-8")
    values = measured(folder)
    return over_runs(values, lambda _run: True), over_runs(values, lambda run: names[run.entry.name])


def made_day(folder: Path, seed: int, family: Family, change: str) -> Day:
    """Make a day and find its truth.

    Parameters
    ----------
    folder : Path
        Made anew; the day lies in ``day`` beneath it.
    seed : int
    family : {"quarter", "half", "legs"}
    change : str
        A name in `CHANGES` or `WRONG`.
    """
    rng = np.random.default_rng((seed, FAMILIES.index(family), zlib.crc32(change.encode())))
    changed = {**CHANGES, **WRONG}[change](rng)
    body = drawn_body(changed.base, rng, family)
    way = drawn_way(changed.base, body, rng, family)
    says = stated(changed, rng)
    found = _ridden(changed, body, way, family, ORDERS[int(rng.integers(2))])
    (folder / "day").mkdir(parents=True)
    strokes = max(bike.rear.stroke_mm for bike in (changed.base, changed.other))
    logger = _Logger(folder=folder / "day", fulls_mm=(changed.base.front.stroke_mm, strokes), rng=rng)
    statics = _statics(logger, changed, body, found.order)
    _written(folder / "day", changed, says, found, logger, statics)
    bikes = (("a", changed.base), ("b", changed.other))
    (all_a, own_a), (all_b, own_b) = (_true_values(folder / f"true_{x}", bike, found, x) for x, bike in bikes)
    return Day(
        folder=folder / "day",
        family=family,
        change=change,
        changed=changed,
        truth={at: (all_a[at], all_b[at]) for at in all_a if at in all_b},
        truth_own={at: (own_a[at], own_b[at]) for at in own_a if at in own_b},
        unloaded=found.unloaded,
    )
