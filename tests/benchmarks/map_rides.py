"""How well rides on paper tell a change where an end's parts are those that its force maps show.

    python -m tests.benchmarks.map_rides                 # three days of two changes each, half an hour
    python -m tests.benchmarks.map_rides --days 6 --first 9111

Every day is ridden on paper with parts as a tuner knows them, without those of one end, and with some stated wrong;
those that then ride by a map also as stated. Prints after each day how far expected changes of the end lie from the
true ones, in smallest changes that matter (root mean square), how wide intervals are and how often they hold the
truth; and how far differences of springs lie from the true ones, by both setups' maps and by stated parts. Judges
nothing.
"""

from __future__ import annotations

import argparse
import tempfile
import tomllib
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

import telemetry
from telemetry.bench.paper.known import paper_setup
from telemetry.bench.paper.shown import shown_end
from telemetry.errors import CallError
from telemetry.model.finding import ENDS, End
from telemetry.model.measure import MeasureAt
from telemetry.model.prediction import Predicted
from telemetry.pipeline.paper_maps import maps_of
from telemetry.pipeline.predicting import predicted
from telemetry.pipeline.studied import Selection, Study
from telemetry.pipeline.studying import study
from telemetry.ride_day import setup_differences
from telemetry.ride_day.read import day_of
from telemetry.simulation.runs_made import made_run
from telemetry.simulation.toml_text import toml_text
from tests.benchmarks.held_rows import true_change as true_of
from tests.benchmarks.predicted_days import CHANGES, Change, _scenario, stated_day, true_change

SENSORS = ("fork", "shock", "chassis_imu", "rear_chassis_imu")
TRAIL = {"length_m": 640.0, "speed_m_s": 8.5}
RUNS, DRAWS = 2, 8
ROWS = (
    "dynamic_sag", "travel_p95", "hit_depth_10_per_min", "compression_speed_10_per_min", "rebound_speed_10_per_min",
)  # fmt: skip
PAIRS = (("lower_leg_oil", "spring"), ("pressure", "clicks"), ("damper_oil", "link"))
"""What differs at the front and at the rear, a day each."""
SPRING_KEYS: Mapping[End, tuple[str, ...]] = {
    "front": (
        "air_pressure_bar", "air_volume_ml", "air_piston_mm", "air_rod_mm", "negative_air_volume_ml", "spacer_ml",
    ),
    "rear": ("spring_rate_n_mm", "preload_mm"),
}  # fmt: skip
WRONG: tuple[tuple[str, End, str, float], ...] = (
    ("rear spring a fifth too stiff", "rear", "spring_rate_n_mm", 1.2),
    ("rear spring a fifth too soft", "rear", "spring_rate_n_mm", 0.8),
    ("front pressure 15 % too low", "front", "air_pressure_bar", 0.85),
    ("rear damper 30 % too soft", "rear", "damper_points", 0.7),
    ("front damper twice as firm", "front", "damper_points", 2.0),
)


@dataclass(slots=True)
class Told:
    """What days of one kind gave: in smallest changes, how far off and how wide; how many days predict nothing."""

    off: list[float] = field(default_factory=list)
    true: list[float] = field(default_factory=list)
    halves: list[float] = field(default_factory=list)
    silent: int = 0
    by_map: int = 0
    days: int = 0

    def line(self) -> str:
        """Return it in words."""
        said = f"{self.days} days, {self.by_map} by a map, {self.silent} predict nothing"
        if not self.off:
            return said
        held = np.mean(np.array(self.off) <= np.array(self.halves))
        return (
            f"{said}; off by {np.sqrt(np.mean(np.square(self.off))):.2f} (median {np.median(self.off):.2f}) of "
            f"{np.sqrt(np.mean(np.square(self.true))):.2f}, half-width {np.median(self.halves):.2f}, "
            f"held {100 * held:.0f} % of {len(self.off)}"
        )


def both(front: str, rear: str) -> Change:
    """Return a day's two changes as one."""
    by_name = {change.name: change for change in CHANGES}
    first, second = by_name[front], by_name[rear]
    name = front if front == "damper_oil" else f"{front}, {rear}"
    return replace(first, name=name, rear=second.rear, rear_told=second.rear_told, sensors=SENSORS)


def without_maps(done: Study) -> Study:
    """Return a day as if it had been logged without inertial sensors."""
    runs = tuple(
        replace(run, motion=replace(run.moved, ride=replace(run.moved.ride, inertial={}))) for run in done.runs
    )
    return replace(done, runs=runs)


def stated(done: Study, end: End, *, wrong: Mapping[str, float] | None = None, without: tuple[str, ...] = ()) -> Study:
    """Return a day whose setups state figures of an end by a factor otherwise, or don't state them."""
    tables: dict[str, Any] = tomllib.loads(done.day.path.read_text(encoding="utf-8"))
    for setup in tables["setups"].values():
        own = setup[end]
        for key, factor in (wrong or {}).items():
            own[key] = [[v, factor * n] for v, n in own[key]] if key == "damper_points" else factor * own[key]
        for key in without:
            own.pop(key, None)
            own["plus_minus"].pop(key, None)
    return replace(done, day=day_of(done.day.path, toml_text(tables).encode()))


def changed(done: Study, end: End) -> frozenset[str]:
    """Return the keys of an end that differ between a day's two setups."""
    own, other = (done.day.setups[name] for name in ("own", "other"))
    return frozenset(item.key for item in setup_differences(own, other) if item.end == end)


def ridden(done: Study) -> Predicted | None:
    """Return a day ridden on paper; None where no end of it can be."""
    try:
        return predicted(done, Selection(), part_draws=DRAWS)
    except CallError:
        return None


def add(told: Told, found: Predicted | None, end: End, truth: Mapping[MeasureAt, tuple[float, float]]) -> None:
    """Add how far an end's rows lie from the truth."""
    rows = () if found is None else [row for row in found.predictions if row.end == end and row.measure in ROWS]
    told.days += 1
    told.by_map += found is not None and any(one.rides_by_map for one in found.parts_checked if one.end == end)
    told.silent += not rows
    for row in rows:
        true = true_of(row, *truth[row.measure, row.end])
        if true is not None:
            told.off.append(abs(true - row.axis))
            told.true.append(true)
            told.halves.append(row.axis_half)


def one_day(done: Study, truth: Mapping[MeasureAt, tuple[float, float]], told: Mapping[str, Told]) -> None:
    """Ride one day on paper in every way."""
    right = ridden(done)
    for end in ENDS:
        add(told[f"{end}: as a tuner states it"], right, end, truth)
        keys = changed(done, end)  # where they are what isn't stated nothing of them can be told
        if "damper_points" not in keys:
            own = stated(done, end, without=("damper_points",))
            add(told[f"{end}: damper not stated"], ridden(own), end, truth)
            add(told[f"{end}: damper not stated, no map"], ridden(without_maps(own)), end, truth)
        if not keys & set(SPRING_KEYS[end]):
            add(told[f"{end}: springs not stated"], ridden(stated(done, end, without=SPRING_KEYS[end])), end, truth)
    for name, end, key, factor in WRONG:
        own = stated(done, end, wrong={key: factor})
        found = ridden(own)
        add(told[name], found, end, truth)
        if found is not None and any(one.rides_by_map for one in found.parts_checked if one.end == end):
            add(told[f"{name}: those by a map"], found, end, truth)
            add(told[f"{name}: the same as stated"], ridden(without_maps(own)), end, truth)


def apart(done: Study, tables: dict[str, Any], change: Change) -> str:
    """Return how far a day's differences of springs lie from the true ones, by maps and by stated parts, N per kg."""
    scenario = _scenario(tables, change, ["own"], clean=True)
    bikes = [
        made_run(scenario, scenario.setups[name], np.random.default_rng(0)).whole.bike for name in ("own", "other")
    ]
    day, words = done.day, []
    base, other = day.setups["own"], day.setups["other"]
    papers = [paper_setup(day, (setup, base), ENDS, {}) for setup in (base, other)]
    for end in ENDS:
        runs = [[run for run in done.runs if run.entry.setup == name] for name in ("own", "other")]
        shown = [shown_end(maps_of(own, end), 0.0, frozenset()) for own in runs]
        at = np.linspace(max(one.travel_mm[0] for one in shown), min(one.travel_mm[-1] for one in shown), 20)
        maps = [np.interp(at, one.travel_mm, one.spring) for one in shown]
        kg = papers[0].body.sprung_kg[end]
        own = [paper.ends[end] for paper in papers]
        told = [one.elastic_n(at / 1e3, one.springs.fast_exponent, 0.05) / one.springs.sine / kg for one in own]
        ends = [bike.front if end == "front" else bike.rear for bike in bikes]
        grids = [one.first_m + one.step_m * np.arange(one.force_n.shape[0]) for one in ends]
        true = [
            np.interp(at / 1e3, grid, one.force_n) / one.vertical / kg for grid, one in zip(grids, ends, strict=True)
        ]
        right = true[1] - true[0]
        off = [np.sqrt(np.mean((two - one - right) ** 2)) for one, two in (maps, told)]
        words.append(f"{end} {np.sqrt(np.mean(right**2)):.2f}: maps off by {off[0]:.2f}, stated parts by {off[1]:.2f}")
    return "; ".join(words)


def main() -> None:
    """Make the days and print what they give."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--days", type=int, default=3)
    parser.add_argument("--first", type=int, default=9117, help="seed of the first day")
    asked = parser.parse_args()
    told: dict[str, Told] = defaultdict(Told)
    for seed in range(asked.first, asked.first + asked.days):
        change = both(*PAIRS[seed % len(PAIRS)])
        with tempfile.TemporaryDirectory() as folder:
            tables = stated_day(Path(folder) / "day", seed, change, runs=RUNS, trail=TRAIL)
            truth = true_change(Path(folder), tables, change, RUNS)
            done = study(telemetry.read_ride_day(Path(folder) / "day"))
            print(f"day {seed}, differences of springs, N/kg: {apart(done, tables, change)}")
            one_day(done, truth, told)
        for name, own in sorted(told.items()):
            print(f"  {name:48} {own.line()}", flush=True)


if __name__ == "__main__":
    main()
