"""A day of the other world as files: logs in counts, recordings at a standstill, a leverage curve, `ride_day.toml`."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import tomlkit

from .bike import PLACES, Bike, Place, equations_of
from .changes import Changed
from .equations import Floats, G, rest_travel_m, stroke_of, travel_of
from .motion import ROWS_S, Body
from .stated import Stated, Tables

FIRST_COUNT, LAST_COUNT, MOST_COUNT = 212, 3800, 4095
"""Of a converter with 12 bits: at full extension, at full travel."""
NOISE_MM: Mapping[Place, float] = {"front": 0.1, "rear": 0.04}
SETTLES_OFF_MM: Mapping[Place, float] = {"front": 0.25, "rear": 0.1}
"""How well a bike settles where it should: one standard deviation. Own choice."""
SETTLED_FRICTION = 0.9
"""Share of friction that still holds where a bike has settled. Own choice."""
RIDES_FROM_S, RIDES_UNTIL_S = 3.5, 2.5
"""From a log's start, and before its end: where the run lies."""
DATE, FIRST_START, APART = dt.date(2026, 5, 16), dt.time(9), dt.timedelta(minutes=9)

Strokes = Mapping[tuple[str, int], Floats]
"""By setup and line: mm from full extension, front and rear, shape (2, N)."""


def _rest_mm(bike: Bike, place: Place, load_n: float, friction: float = 0.0) -> float:
    """Return the stroke at which an end rests under a load."""
    end = equations_of(bike, place)
    return 1e3 * stroke_of(end, rest_travel_m(end, load_n, friction))[0]


def hangs_mm(bike: Bike) -> Floats:
    """Return both strokes with the wheels off the ground, shape (2,): just past the top-out."""
    return np.array([_rest_mm(bike, place, -bike.end(place).unsprung_kg * G) for place in PLACES])


def _write_log(path: Path, columns: Iterable[np.ndarray[Any, Any]]) -> None:
    rows = enumerate(zip(*columns, strict=True))
    lines = "".join(f"{row * 1000 // ROWS_S},{front},{rear}\n" for row, (front, rear) in rows)
    path.write_text("t_ms,A0,A1\n" + lines, encoding="utf-8")


@dataclass(frozen=True, slots=True, kw_only=True)
class Logger:
    """Writes strokes as counts with noise; `fulls_mm` is which strokes give the last count."""

    folder: Path
    fulls_mm: tuple[float, float]
    rng: np.random.Generator

    def write(self, name: str, strokes_mm: Floats) -> str:
        """Write a log of strokes, shape (2, N); return its name."""
        columns = []
        for place, full, strokes in zip(PLACES, self.fulls_mm, strokes_mm, strict=True):
            noisy = strokes + NOISE_MM[place] * self.rng.standard_normal(strokes.size)
            counts = np.round(FIRST_COUNT + noisy / full * (LAST_COUNT - FIRST_COUNT))
            columns.append(np.clip(counts, 0, MOST_COUNT).astype(int))
        _write_log(self.folder / name, columns)
        return name

    def still(self, name: str, strokes_mm: Floats, seconds: float) -> str:
        """Write a log at a standstill."""
        return self.write(name, np.repeat(strokes_mm[:, np.newaxis], int(seconds * ROWS_S), axis=1))


def _lifted(logger: Logger, changed: Changed, order: str) -> list[Tables]:
    """Lift the bike before every run with another setup than the last."""
    found: list[Tables] = []
    for number, setup in enumerate(order, 1):
        if number == 1 or setup != order[number - 2]:
            log = logger.still(f"lifted_{number}.csv", hangs_mm(changed.setup(setup)), 5)
            found.append({"log": log, "kind": "lifted", "setup": setup, "before_run": f"run_{number}"})
    return found


def _settled(logger: Logger, bike: Bike, body: Body, before_run: str) -> list[Tables]:
    """Let the bike settle with its rider, twice from below and from above."""
    found: list[Tables] = []
    loads = {"front": body.front_kg * G, "rear": body.rear_kg * G}
    off = np.array([SETTLES_OFF_MM[place] for place in PLACES])
    how = {"kind": "settle", "load": "standing", "setup": "a", "before_run": before_run}
    for number in (1, 2):
        for start, side in (("compressed", -1), ("extended", 1)):
            rests = np.array([_rest_mm(bike, place, loads[place], side * SETTLED_FRICTION) for place in PLACES])
            rests += off * logger.rng.standard_normal(2)
            found.append({"log": logger.still(f"settled_{start}_{number}.csv", rests, 4), "from": start, **how})
    return found


def _leverage(path: Path, bike: Bike) -> str:
    end = equations_of(bike, "rear")
    strokes = np.linspace(0, end.stroke_m, 27)
    rows = "".join(f"{1e3 * stroke:.3f},{1e3 * travel_of(end, stroke):.3f}\n" for stroke in strokes)
    path.write_text("stroke_mm,travel_mm\n" + rows, encoding="utf-8")
    return path.name


def _logged(points: Sequence[list[list[float]]], **both: object) -> Tables:
    """Return what a ride day says of its logs: clock and both sensors."""
    fork, shock = ({"kind": "displacement", "points": own, **both} for own in points)
    return {
        "log": {"time": {"column": "t_ms", "unit": "ms"}},
        "sensors": {
            "fork": {**fork, "end": "front", "column": "A0"},
            "shock": {**shock, "end": "rear", "column": "A1", "measures": "stroke"},
        },
    }


def _run(log: str, setup: str, strokes_mm: Floats) -> Tables:
    ends = strokes_mm.shape[1] / ROWS_S - RIDES_UNTIL_S
    return {"log": log, "setup": setup, "start_s": RIDES_FROM_S, "end_s": round(ends, 2)}


def _write_tables(folder: Path, tables: Tables) -> None:
    (folder / "ride_day.toml").write_text(tomlkit.dumps(tables), encoding="utf-8")


def write_day(logger: Logger, changed: Changed, body: Body, says: Stated, strokes_mm: Strokes, order: str) -> None:
    """Write a day into the logger's folder, each run with the setup whose turn it is.

    The bike is lifted before every change of setups and, on half of the days, settled from below and above.
    """
    folder, runs = logger.folder, []
    for number, setup in enumerate(order, 1):
        strokes = strokes_mm[setup, number - 1]
        log = logger.write(f"run_{number}.csv", strokes)
        started = dt.datetime.combine(DATE, FIRST_START) + number * APART
        runs.append(_run(log, setup, strokes) | {"started_at": started})
    static = _lifted(logger, changed, order)
    if logger.rng.random() < 0.5:
        static += _settled(logger, changed.base, body, f"run_{order.index('a') + 1}")
    candidate: Tables = {place: dict(own) for place, own in says.other.items() if own}
    if changed.base.rear.ratios != changed.other.rear.ratios:
        candidate["rear"] = {**says.other["rear"], "leverage": _leverage(folder / "leverage_b.csv", changed.other)}
    rear = {"leverage": _leverage(folder / "leverage_a.csv", changed.base), **says.base["rear"]}
    points = [[[FIRST_COUNT, 0.0], [LAST_COUNT, round(full, 4)]] for full in logger.fulls_mm]
    air = {"air_temperature_c": changed.base.air_c, "altitude_m": changed.base.altitude_m}
    tables: Tables = {
        "ride_day": {"date": DATE, "title": "another world", **air, **says.rider},
        "bike": {"name": changed.base.kind, **says.bike, "front": says.base["front"], "rear": rear},
        **_logged(points, counts_range=[0, MOST_COUNT]),
        "setups": {"a": {"label": "A, as it was"}, "b": {"based_on": "a", "label": "B, changed", **candidate}},
        "runs": runs,
        "static": static,
        "comparison": {"baseline": "a", "candidate": "b", "planned_runs": 3},
    }
    _write_tables(folder, tables)


def write_truth(folder: Path, bike: Bike, strokes_mm: Sequence[Floats]) -> None:
    """Write all of one setup's lines as ``line_1`` and on: exact strokes from where it hangs, exact parts."""
    runs = []
    for number, strokes in enumerate(strokes_mm, 1):
        _write_log(folder / f"line_{number}.csv", np.round(strokes - hangs_mm(bike)[:, np.newaxis], 4))
        runs.append(_run(f"line_{number}.csv", "x", strokes))
    rear = {"stroke_mm": bike.rear.stroke_mm, "leverage": _leverage(folder / "leverage.csv", bike)}
    front = {"travel_mm": bike.front.stroke_mm}
    tables: Tables = {
        "ride_day": {"date": DATE, "title": "the truth"},
        "bike": {"wheelbase_mm": bike.wheelbase_mm, "head_angle_deg": bike.head_deg, "front": front, "rear": rear},
        **_logged([[[0, 0.0], [100, 100.0]]] * 2),
        "setups": {"x": {}},
        "runs": runs,
    }
    _write_tables(folder, tables)
