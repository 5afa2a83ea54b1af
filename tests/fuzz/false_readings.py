"""Thousands of false readings that look like riding: ``python -m tests.fuzz.false_readings [--tries 2000] [--seed 1]``.

A sensor that runs out of range, drifts, slips for a while or shows another gain, and columns that change places, in one
run of a simulated day or in every run of a setup. Counted by fault:

told
    Some compared measure of a run moved by more than its smallest change, and a warning or error names the fault.
unmoved
    None did.
alike
    One did, and nothing says so, where a zero or a gain moves alike in every run of a setup: what no log can show, as
    is said beside "good". Where the bike stands before and after the ride it may be told all the same.
SILENT
    One did, and nothing says so. At most 1 in 100 of all other tries.

Beside them runs whose readings are true and whose ride is odd, which accuse no sensor: the rider falls, stands about or
pushes the bike, as an extra part or in place of one that was ridden.

Days are simulated anew from seeds: bikes, trails with smooth and rough parts, steps and holes, rates, noise, two
setups, pushes and lifted recordings or not. Each is spoilt many times.
"""

from __future__ import annotations

import argparse
import math
import re
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from telemetry import measures
from telemetry.model.arrays import Bools, Floats
from telemetry.model.catalogue import FAMILY
from telemetry.model.day import RunEntry, SmallestChange
from telemetry.model.finding import End, Place
from telemetry.model.measure_spec import MeasureSpec
from telemetry.pipeline.rides import Rides
from telemetry.pipeline.studied import RunStudy, facts_for, smallest_change_of, study_run
from telemetry.pipeline.studying import with_drifts
from telemetry.ride_day import read_ride_day
from telemetry.simulation.day_made import make_day
from telemetry.simulation.scenario import read_scenario
from telemetry.statistics.scale import margin
from tests.simulation.small_scenario import changed

SCENARIO = Path(__file__).parent.parent.parent / "sample_runs" / "lower_leg_oil" / "scenario.toml"
TRIES_A_DAY = 20
ACCUSING = ("zero_drifts", "gain_shift", "clipped", "ends_swapped")
FEW_EVENTS = 2
"""A run with so many events more isn't told from one without (docs/measures.md): counts move by more than that."""
FORK, SHOCK = (212.0, 3770.0), (305.0, 3601.0)
"""Readings at topped out and at full travel."""
Generator = np.random.Generator
Values = Mapping[tuple[str, Place], measures.FamilyValue]


def trail(rng: Generator) -> str:
    """Return the stretches of a trail of about a minute: smooth, rough, slow, with bumps, holes or steps."""
    text = ""
    for kind in rng.choice(["slow", "smooth", "rough", "bumps", "steps", "holes"], int(rng.integers(3, 6))):
        length, speed, road = float(rng.uniform(80, 200)), float(rng.uniform(4.5, 7.5)), str(rng.choice(["C", "D"]))
        if kind == "slow":
            length, speed, road = float(rng.uniform(20, 40)), float(rng.uniform(2, 3)), "B"
        obstacles = {
            "bumps": f'{{ kind = "bump", at_m = 6, height_mm = 70, length_mm = 900, every_m = 10, times = '
            f"{int((length - 10) / 10)} }}",
            "steps": f'{{ kind = "kerb", at_m = 8, height_mm = 50, every_m = 12, times = {int((length - 12) / 12)} }}',
            "holes": f'{{ kind = "bump", at_m = 8, height_mm = -400, length_mm = 5000, every_m = 14, times = '
            f"{int((length - 14) / 14)} }}",
        }.get(str(kind), "")
        text += f'[[trail.stretches]]\nlength_m = {length:.0f}\nroad_class = "{road}"\nspeed_m_s = {speed:.1f}\n'
        text += f"obstacles = [{obstacles}]\n" if obstacles else ""
    return text + "\n"


SETUPS = (
    ("front = { lower_leg_oil_each_ml = 20 }", "front = { lower_leg_oil_each_ml = 8 }"),
    ("front = { air_pressure_bar = 5.0 }", "front = { air_pressure_bar = 5.6 }"),
    ("rear = { rebound_above_n_s_m = 3000 }", "rear = { rebound_above_n_s_m = 6000 }"),
    ("rear = { spring_rate_n_mm = 95 }", "rear = { spring_rate_n_mm = 105 }"),
    (
        "front = { compression_below_n_s_m = 350, rebound_below_n_s_m = 700, rebound_above_n_s_m = 250 }",
        "front = { compression_below_n_s_m = 900, rebound_below_n_s_m = 2000, rebound_above_n_s_m = 900 }",
    ),
    (
        "rear = { compression_below_n_s_m = 4500, rebound_below_n_s_m = 5000, rebound_above_n_s_m = 2000 }",
        "rear = { compression_below_n_s_m = 11000, rebound_below_n_s_m = 14000, rebound_above_n_s_m = 8000 }",
    ),
)
"""Oil, pressure, springs, and damping as far as a tuner goes from one end of its clicks to the other."""


def scenario_text(seed: int) -> str:
    """Return the scenario of a day of four to six runs of two setups."""
    rng = np.random.default_rng(seed)
    text = SCENARIO.read_text(encoding="utf-8")
    start, stop = text.index("[trail]"), text.index("[bike]")
    seeded = f"[trail]\nseed = {seed + 500}\nline_percent = {{line}}\n{trail(rng)}"
    text = text[:start] + seeded + text[stop:]
    order = str(rng.choice(["abba", "abab", "abbaab"]))
    names = ", ".join('"oil_20"' if name == "a" else '"oil_8"' for name in order)
    first, second = SETUPS[int(rng.integers(0, len(SETUPS)))]
    pace = rng.choice([0.5, 2, 4])
    pushes = "true" if rng.random() < 0.7 else "false"
    text = changed(
        ("seed = 22", f"seed = {seed + 1}"),
        ("line_percent = {line}", f"line_percent = {rng.choice([1.5, 3, 5])}"),
        ("centre_height_mm = 560\n", ""),
        ("stance_spread_mm = 4", f"stance_spread_mm = {rng.choice([4, 10])}\npushes = {pushes}"),
        ("speed_spread_percent = 0.2", f"speed_spread_percent = {pace}"),
        ('[[recordings]]\nkind = "lifted"\nbefore_run = 6\n', ""),
        ("rate_hz = 500\ngzip = true", f"rate_hz = {rng.choice([200, 300, 500])}"),
        ("offset_mm = 0.4", f"offset_mm = 0.4\nnoise_mm = {rng.choice([0.02, 0.05, 0.2])}"),
        ("front = { lower_leg_oil_each_ml = 20 }", first),
        ("front = { lower_leg_oil_each_ml = 8 }", second),
        text=text,
    )
    text = re.sub(r"order = \[.*\]", f"order = [{names}]", text, count=1)
    text = text[: text.index("[comparison]")] + '[comparison]\nbaseline = "oil_20"\ncandidates = ["oil_8"]\n'
    return text if rng.random() < 0.6 else re.sub(r"\[\[recordings\]\]\n(?:\w.*\n)+", "", text)


@dataclass(frozen=True, kw_only=True)
class Log:
    """A log's columns as written, and between which seconds it is ridden."""

    time_s: Floats
    fork: Floats
    shock: Floats
    ridden_s: tuple[float, float]

    def share(self) -> Floats:
        """Return how much of the ride is over at each row: below 0 before it, above 1 after it."""
        start, end = self.ridden_s
        return (self.time_s - start) / (end - start)

    def ridden(self) -> Bools:
        """Tell which rows lie within the ride."""
        share = self.share()
        return np.asarray((share >= 0) & (share <= 1))

    def moved(self, end: End, by_share: Floats | float) -> Log:
        """Return the log with an end's readings moved by shares of full travel."""
        low, high = FORK if end == "front" else SHOCK
        return self.with_end(end, self.of(end) + np.asarray(by_share) * (high - low))

    def of(self, end: End) -> Floats:
        """Return an end's readings."""
        return self.fork if end == "front" else self.shock

    def with_end(self, end: End, readings: Floats) -> Log:
        """Return the log with other readings of an end, whole and within the converter's range."""
        whole = np.clip(np.rint(readings), 0, 4095)
        return replace(self, fork=whole) if end == "front" else replace(self, shock=whole)


@dataclass(frozen=True, kw_only=True)
class Draw:
    """What a fault is like, drawn once and put into every run that has it."""

    end: End
    size: float
    start: float
    stop: float


Spoil = Callable[[Log, Draw], Log]


def _cut_top(log: Log, draw: Draw) -> Log:
    """Let readings end up to 40 % of travel short of the ride's deepest."""
    readings, (low, high) = log.of(draw.end), FORK if draw.end == "front" else SHOCK
    deepest = float(readings[log.ridden()].max())
    return log.with_end(draw.end, np.minimum(readings, deepest - 0.4 * abs(draw.size) * (high - low)))


def _cut_low(log: Log, draw: Draw) -> Log:
    """Let nothing be read within 30 % of travel above the ride's least."""
    readings, (low, high) = log.of(draw.end), FORK if draw.end == "front" else SHOCK
    least = float(readings[log.ridden()].min())
    return log.with_end(draw.end, np.maximum(readings, least + 0.3 * abs(draw.size) * (high - low)))


def _drift(log: Log, draw: Draw) -> Log:
    """Let zero drift by up to 22 % of travel over the ride."""
    return log.moved(draw.end, 0.22 * draw.size * np.clip(log.share(), 0, 1))


def _offset(log: Log, draw: Draw) -> Log:
    """Let zero lie up to 12 % of travel off in a part of the ride."""
    share = log.share()
    return log.moved(draw.end, 0.12 * draw.size * ((share >= draw.start) & (share < draw.stop)))


def _gain(log: Log, draw: Draw) -> Log:
    """Let an end read 1.3 to 1 / 1.3 times as much from a time on."""
    low, _ = FORK if draw.end == "front" else SHOCK
    late, readings = log.share() >= draw.start, log.of(draw.end)
    return log.with_end(draw.end, np.where(late, low + 1.3**draw.size * (readings - low), readings))


def _swapped(log: Log, draw: Draw) -> Log:
    """Let columns change places in a part of a tenth of the ride or more."""
    share = log.share()
    there = (share >= draw.start) & (share < draw.stop)
    return replace(log, fork=np.where(there, log.shock, log.fork), shock=np.where(there, log.fork, log.shock))


DRIFT, OFFSET, GAIN = "drift", "offset in a part", "gain from a time on"
MOVES_ALIKE = (DRIFT, OFFSET, GAIN)
"""What is told by the setup's other runs, and so isn't where they all have it."""
FAULTS: Mapping[str, Spoil] = {
    "cut below the range": _cut_top,
    "low end cut": _cut_low,
    DRIFT: _drift,
    OFFSET: _offset,
    GAIN: _gain,
    "columns swapped in a part": _swapped,
}


def _levels(rng: Generator, seconds: Floats, level: float, slow: float, fast: float) -> Floats:
    """Return shares of travel that wander about a level, slowly and at some hertz; never out of the leg."""

    def wandering(rate_hz: float) -> Floats:
        knots = np.arange(0, seconds[-1] + 2 / rate_hz, 1 / rate_hz)
        return np.interp(seconds, knots, rng.normal(0, 1, knots.size))

    return np.clip(level + slow * wandering(1.0) + fast * np.abs(wandering(6.0)), 0.0, 1.0)


ODD_RIDES: Mapping[str, tuple[float, float, float, float]] = {
    "lies on the ground": (0.005, 0.005, 0.004, 0.02),
    "stands about": (0.10, 0.14, 0.02, 0.004),
    "is pushed": (0.04, 0.04, 0.012, 0.02),
}
"""Mean levels of fork and shock, and how they wander, in shares of travel."""


def odd_ride(log: Log, kind: str, rng: Generator, *, extra: bool) -> Log:
    """Return a log in which the bike lies, stands or is pushed for 3 to 20 s: instead of a part, or as an extra one."""
    front, rear, slow, fast = ODD_RIDES[kind]
    rate_hz = (log.time_s.shape[0] - 1) / (log.time_s[-1] - log.time_s[0])
    start, end = log.ridden_s
    lasts = min(float(rng.uniform(3, 20)), 0.3 * (end - start))
    first = int(np.searchsorted(log.time_s, rng.uniform(start + 1, end - lasts - 1)))
    seconds = np.arange(int(lasts * rate_hz)) / rate_hz
    blend = np.clip(np.minimum(seconds, seconds[::-1]) / 0.4, 0.0, 1.0)
    resumed = first if extra else first + seconds.size

    def made(readings: Floats, level: float, ends: tuple[float, float]) -> Floats:
        odd = ends[0] + _levels(rng, seconds, level, slow, fast) * (ends[1] - ends[0])
        before, after = readings[first], readings[resumed]
        ridden = np.where(seconds < seconds[-1] / 2, before, after)
        part = np.rint(blend * odd + (1 - blend) * ridden)
        return np.concatenate([readings[:first], part, readings[resumed:]])

    fork, shock = made(log.fork, front, FORK), made(log.shock, rear, SHOCK)
    time_s = log.time_s[0] + np.arange(fork.shape[0]) / rate_hz
    return replace(log, time_s=time_s, fork=fork, shock=shock, ridden_s=(start, end + extra * lasts))


def draw(rng: Generator) -> Draw:
    """Draw a fault's end, its size from -1 to 1, and the part of the ride it holds: a tenth or more.

    None begins in the first twentieth: what is off from the beginning of a ride on leaves no trace.
    """
    start = float(rng.uniform(0.05, 0.9))
    stop = float(rng.uniform(start + 0.1, 1.0)) if rng.random() < 0.6 else 2.0
    end: End = "front" if rng.random() < 0.5 else "rear"
    return Draw(end=end, size=float(rng.uniform(-1, 1)), start=start, stop=stop)


class SimulatedDay:
    """A clean simulated day with its studied runs, to be spoilt many times."""

    def __init__(self, folder: Path, seed: int) -> None:
        self.folder = folder
        scenario = folder.with_suffix(".toml")
        scenario.write_text(scenario_text(seed), encoding="utf-8")
        make_day(read_scenario(scenario), folder)
        self._tables: dict[str, tuple[list[str], Floats]] = {}
        self.day = read_ride_day(folder)
        rides = Rides(self.day)
        self.clean = {entry.name: study_run(rides, entry) for entry in self.day.runs}
        self.studied = with_drifts(self.day, tuple(self.clean.values()))
        self.told = {run.entry.name: _told(run) for run in self.studied}
        self.values = {name: self._values(run) for name, run in self.clean.items()}

    def _values(self, run: RunStudy) -> Values:
        if run.motion is None:
            return {}
        whole = ((0, run.motion.ride.time_s.shape[0]),)
        return measures.family_values(run.motion, whole, facts_for(self.day, run.entry.setup))

    def spoilt(self, spoil: Callable[[Log], Log], names: list[str], folder: Path) -> dict[str, RunStudy]:
        """Return all runs as they are told where some are spoilt."""
        shutil.copytree(self.folder, folder)
        for entry in self.day.runs:
            if entry.name in names:
                self._spoil(folder, entry, spoil)
        day, runs = read_ride_day(folder), dict(self.clean)
        spoilt = tuple(entry for entry in day.runs if entry.name in names)
        rides = Rides(day, runs=spoilt)
        runs |= {entry.name: study_run(rides, entry) for entry in spoilt}
        return {run.entry.name: run for run in with_drifts(day, tuple(runs.values()))}

    def _spoil(self, folder: Path, entry: RunEntry, spoil: Callable[[Log], Log]) -> None:
        motion, path = self.clean[entry.name].motion, folder / entry.log.name
        if motion is None:
            return
        header, table = self._table(path)
        fork, shock = (header.index(column) for column in ("A0", "A1"))
        end_s = motion.ride.end_s
        log = Log(
            time_s=motion.ride.time_s,
            fork=table[:, fork],
            shock=table[:, shock],
            ridden_s=(motion.ride.start_s, end_s),
        )
        false = spoil(log)
        more = false.time_s.shape[0] - table.shape[0]
        if more:
            clock = table[0, 0] + np.arange(false.time_s.shape[0]) * (table[-1, 0] - table[0, 0]) / (table.shape[0] - 1)
            table = np.pad(table, ((0, more), (0, 0)), mode="edge")
            table[:, 0] = np.round(clock, 4)
        table[:, fork], table[:, shock] = false.fork, false.shock
        row = ",".join(["%.10g"] * len(header))
        rows = "\n".join([row % tuple(cells) for cells in table.tolist()])
        path.write_text(f"{','.join(header)}\n{rows}\n", encoding="utf-8")
        if false.ridden_s[1] > end_s:
            _end_later(folder / "ride_day.toml", entry.log.name, false.ridden_s[1] - end_s)

    def _table(self, path: Path) -> tuple[list[str], Floats]:
        """Return a clean log's header and its cells, read once."""
        if path.name not in self._tables:
            header = path.read_text(encoding="utf-8").split("\n", 1)[0].split(",")
            self._tables[path.name] = header, np.loadtxt(path, delimiter=",", skiprows=1)
        header, table = self._tables[path.name]
        return header, table.copy()

    def moved(self, runs: Mapping[str, RunStudy], names: list[str]) -> list[str]:
        """Return which compared measures of spoilt runs moved by more than their smallest change."""
        found = []
        for name in names:
            after = self._values(runs[name])
            for spec in FAMILY:
                for end in spec.ends:
                    old, new = self.values[name].get((spec.name, end)), after.get((spec.name, end))
                    change = smallest_change_of(self.day, spec.name, end)
                    if old is not None and new is not None and _moved(spec, old, new, change):
                        found.append(f"{name} {spec.name} {end}: {old.value:.4g} to {new.value:.4g} {spec.unit}")
        return found


def _moved(spec: MeasureSpec, old: measures.FamilyValue, new: measures.FamilyValue, change: SmallestChange) -> bool:
    """Tell whether a value moved by more than the smallest change; one that is gone is not given silently."""
    if old.value is None or new.value is None:
        return False
    if spec.scale == "raw":
        return abs(new.value - old.value) > change.amount
    if old.count is not None and new.count is not None:
        grown = math.log((new.count + 0.5) / (old.count + 0.5))
        return abs(new.count - old.count) > FEW_EVENTS and abs(grown) > margin(change, "count", old.value)
    if min(old.value, new.value) <= 0:
        return old.value != new.value
    return abs(math.log(new.value / old.value)) > margin(change, "log", old.value)


def _end_later(path: Path, log: str, by_s: float) -> None:
    """Move a run's stated end, where it has one."""
    head, found, table = path.read_text(encoding="utf-8").partition(f'log = "{log}"')
    table = re.sub(r"\A((?:(?!\[\[).*\n)*?end_s = )(.*)", lambda end: f"{end[1]}{float(end[2]) + by_s:.3f}", table)
    path.write_text(head + found + table, encoding="utf-8")


def _told(run: RunStudy) -> frozenset[tuple[str, str | None]]:
    return frozenset((finding.code, finding.end) for finding in run.findings if finding.severity != "note")


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What became of one spoilt day."""

    kind: str
    fault: str
    words: str


def tried(made: SimulatedDay, rng: Generator, folder: Path) -> Outcome:
    """Spoil one run, or every run of a setup, and say what became of it."""
    fault, drawn = str(rng.choice(list(FAULTS))), draw(rng)
    chosen = made.day.runs[int(rng.integers(0, len(made.day.runs)))]
    alone = rng.random() < 0.6
    names = [run.name for run in made.day.runs if run.name == chosen.name or (not alone and run.setup == chosen.setup)]
    runs = made.spoilt(lambda log: FAULTS[fault](log, drawn), names, folder)
    changes = made.moved(runs, names)
    told = any(_told(runs[name]) - made.told[name] for name in names)
    nobody = "SILENT" if alone or fault not in MOVES_ALIKE else "alike"
    kind = "unmoved" if not changes else "told" if told else nobody
    return Outcome(kind=kind, fault=fault, words=f"{drawn}, {', '.join(names)}: {'; '.join(changes[:4])}")


def ridden_oddly(made: SimulatedDay, rng: Generator, folder: Path) -> Outcome:
    """Let one run be ridden oddly, and say whether that accuses a sensor."""
    kind, extra = str(rng.choice(list(ODD_RIDES))), bool(rng.random() < 0.5)
    name = made.day.runs[int(rng.integers(0, len(made.day.runs)))].name
    runs = made.spoilt(lambda log: odd_ride(log, kind, rng, extra=extra), [name], folder)
    accused = [line for run in runs.values() for line in _accused(run, made.told[run.entry.name])]
    fault = f"{kind}{', an extra part' if extra else ''}"
    return Outcome(kind="ACCUSED" if accused else "fair", fault=fault, words="; ".join(accused))


def _accused(run: RunStudy, told: frozenset[tuple[str, str | None]] = frozenset()) -> list[str]:
    """Return what a run is told of a sensor at fault."""
    return [
        finding.message
        for finding in run.findings
        if (finding.no_verdict or finding.code in ACCUSING) and (finding.code, finding.end) not in told
    ]


def outcomes_of_day(seed: int, tries: int) -> tuple[list[Outcome], list[str]]:
    """Return what becomes of a day that is spoilt so often, and what its clean runs are told of these kinds.

    One run in four more is ridden oddly.
    """
    rng = np.random.default_rng([seed, 1])
    with tempfile.TemporaryDirectory() as place:
        made = SimulatedDay(Path(place) / "clean", seed)
        accused = [f"day {seed}, {line}" for run in made.studied for line in _accused(run)]
        found = []
        for number in range(tries + tries // 4):
            folder = Path(place) / f"spoilt_{number}"
            found.append((tried if number < tries else ridden_oddly)(made, rng, folder))
            shutil.rmtree(folder)
    return found, accused


def _table(counts: Counter[tuple[str, str]], names: Iterable[str], kinds: tuple[str, ...]) -> str:
    """Return how often each came to what."""
    head = f"{'':36s}" + "".join(f"{kind:>10s}" for kind in kinds) + "\n"
    rows = (f"{name:36s}" + "".join(f"{counts[name, kind]:10d}" for kind in kinds) + "\n" for name in names)
    return head + "".join(rows)


def main() -> None:
    """Print the counts, every silent one, and every run that is accused though its readings are true."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--tries", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processes", type=int, default=1)
    asked = parser.parse_args()
    days = -(-asked.tries // TRIES_A_DAY)
    each = [min(TRIES_A_DAY, asked.tries - TRIES_A_DAY * day) for day in range(days)]
    counts: Counter[tuple[str, str]] = Counter()
    clean_accused = 0
    start = time.monotonic()
    with ProcessPoolExecutor(asked.processes) as pool:
        for seed, (found, accused) in enumerate(
            pool.map(outcomes_of_day, range(asked.seed, asked.seed + days), each), asked.seed
        ):
            counts.update((outcome.fault, outcome.kind) for outcome in found)
            clean_accused += len(accused)
            told = [f"{item.kind} {item.fault} (day {seed}): {item.words}" for item in found if item.kind.isupper()]
            sys.stdout.writelines(f"{line}\n" for line in [*(f"ACCUSED clean, {line}" for line in accused), *told])
            sys.stdout.flush()
    sys.stdout.write(_table(counts, FAULTS, ("told", "unmoved", "alike", "SILENT")))
    odd = [f"{name}{extra}" for name in ODD_RIDES for extra in ("", ", an extra part")]
    sys.stdout.write(_table(counts, odd, ("fair", "ACCUSED")))
    silent, alike = (sum(counts[name, kind] for name in FAULTS) for kind in ("SILENT", "alike"))
    judged = asked.tries - alike
    sys.stdout.write(
        f"{silent} of {judged} silent ({100 * silent / judged:.1f} %); {alike} more that no log can show; clean runs "
        f"accused: {clean_accused} times; {time.monotonic() - start:.0f} s\n"
    )


if __name__ == "__main__":
    main()
