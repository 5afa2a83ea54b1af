"""How surely faults are told, and how often clean runs are warned: simulated runs, with and without faults.

    python -m tests.benchmarks.fault_table                 # 204 clean runs and 102 of every fault, about 10 min
    python -m tests.benchmarks.fault_table --runs 4 --codes clipped zero_shift

Runs come from two invented bikes, one on bumps and one on a line of jumps with flights of a second, at 200, 500 and
1000 rows a second and with two noises of the sensors. Prints a table, a line a fault, and whatever was missed.
"""

from __future__ import annotations

import argparse
import gzip
import math
import re
import tempfile
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

import numpy as np

from telemetry.model.analysis import RunAnalysis
from telemetry.model.finding import Finding
from telemetry.pipeline import analyse, study
from telemetry.ride_day import read_ride_day
from telemetry.simulation.day_made import make_day
from telemetry.simulation.scenario import read_scenario
from tests.benchmarks.made_faults import FAULTS as TOLD
from tests.benchmarks.made_faults import Fault, MadeLog, Making, Trail
from tests.benchmarks.made_layouts import LAYOUTS, READ_RIGHT
from tests.simulation.small_scenario import changed

FAULTS = (*TOLD, *LAYOUTS)
JUMP_LINE = Path(__file__).parent / "jump_line.toml"
RATES_HZ = (200.0, 500.0, 1000.0)
NOISES_MM = (0.05, 0.25)
TRAILS: tuple[Trail, ...] = ("bumps", "jumps")
BESIDE = 3
"""Clean runs that a spoilt one stands beside where its fault can't be seen without."""
SHARE, SPEED_SHARE = 0.001, 0.005
"""By so much a measure of a log written another way may differ from the plain log's, and one of speed."""
HANGS_ON_A_ROW = frozenset({"strongest_slow_frequency"})
"""Measures that aren't held alike: which of two peaks alike is the stronger hangs on how many windows fit."""
BY_ONE = frozenset({"strokes_per_min"})
"""Counts that may differ by one of hundreds: what is a stroke hangs on the noise seen at rest."""
RANK = {"note": 0, "warning": 1, "error": 2}


@dataclass(frozen=True, kw_only=True)
class Condition:
    """What a batch of clean runs has in common."""

    trail: Trail
    rate_hz: float
    noise_mm: float


CONDITIONS = tuple(
    Condition(trail=trail, rate_hz=rate, noise_mm=noise) for trail in TRAILS for rate in RATES_HZ for noise in NOISES_MM
)


def scenario_text(condition: Condition, runs: int, seed: int) -> str:
    """Return the scenario of some clean runs of one setup, each on a line of its own."""
    if condition.trail == "jumps":
        text = changed(("length_m = 120", "length_m = 80"), text=JUMP_LINE.read_text("utf-8"))
    else:
        text = changed(
            ("length_m = 90", "length_m = 250"),
            ("times = 9, every_m = 9", "times = 24, every_m = 10"),
            ("pushes = false", "pushes = true"),
            ("seed = 5\n", "seed = 5\nline_percent = 2\n"),
        )
    order = ", ".join(['"oil_20"'] * runs)
    text = re.sub(r"order = \[.*\]", f"order = [{order}]", text)
    text = re.sub(r"\nseed = \d+", f"\nseed = {seed}", text, count=1)
    text = re.sub(r"rate_hz = \d+", f"rate_hz = {condition.rate_hz:g}", text)
    text = text.replace("offset_mm = 0.4", f"offset_mm = 0.4\nnoise_mm = {condition.noise_mm}")
    text = text.replace("62.5]]\n\n[setups", f"62.5]]\nnoise_mm = {condition.noise_mm / 2}\n\n[setups")
    text = text.replace("gzip = true\n", "").replace("ground_speed = true\n", "")
    text = re.sub(r"\[setups\.oil_8\]\n(?:.+\n)+", "", text)
    return re.sub(r"\[\[recordings\]\]\nkind = \"lifted\"\nbefore_run.*\n", "", text)


def clean_day(folder: Path, condition: Condition, runs: int, seed: int) -> Path:
    """Simulate some clean runs into a new folder; return the day's folder."""
    folder.mkdir(parents=True)
    scenario = folder / "scenario.toml"
    scenario.write_text(scenario_text(condition, runs, seed), encoding="utf-8")
    make_day(read_scenario(scenario), folder / "day")
    return folder / "day"


def findings_of(folder: Path) -> list[tuple[Finding, ...]]:
    """Return what each run of a day is told."""
    return [run.findings for run in study(read_ride_day(folder)).runs]


def findings_of_spoilt(folder: Path) -> tuple[Finding, ...]:
    """Return what the spoilt run of a day is told."""
    return next(run.findings for run in study(read_ride_day(folder)).runs if run.entry.log.name == "run_1.csv")


def _columns(path: Path) -> np.ndarray:
    text = gzip.decompress(path.read_bytes()) if path.suffix == ".gz" else path.read_bytes()
    return np.loadtxt(text.decode().splitlines(), delimiter=",", skiprows=1, usecols=(0, 1, 2)).T


def made_logs(day: Path, rate_hz: float) -> Iterator[MadeLog]:
    """Return each clean run as a log to be spoilt, with a day of its own."""
    text = (day / "ride_day.toml").read_text(encoding="utf-8")
    head, *tables = re.split(r"(?m)^(?=\[\[)", text)
    static = "".join(table for table in tables if table.startswith("[[static]]") and '"lifted"' in table)
    runs = [table for table in tables if table.startswith("[[runs]]")]
    for place, table in enumerate(runs):
        name = re.findall(r'log = "(.*)"', table)[0]
        time, fork, shock = _columns(day / name)
        run = table.replace(name, "run_1.csv")
        static_here = re.sub(r'before_run = ".*"', 'before_run = "run_1"', static)
        start, end = (float(re.findall(rf"{key} = (.*)", table)[0]) for key in ("start_s", "end_s"))
        yield MadeLog(
            time_ms=time,
            fork=fork,
            shock=shock,
            rate_hz=rate_hz,
            day=head + run + static_here,
            ridden_s=(start, end),
            others="".join((runs[place + 1 :] + runs[:place])[:BESIDE]).replace('log = "', 'log = "clean_'),
        )


def is_told(fault: Fault, findings: tuple[Finding, ...]) -> bool:
    """Tell whether the fault's finding is there, as grave as it has to be and in its words."""
    return any(
        found.code == fault.code and RANK[found.severity] >= RANK[fault.least] and fault.says in found.message
        for found in findings
    )


def only_run(folder: Path) -> RunAnalysis:
    """Return the only run of a day, measured."""
    (run,) = analyse(read_ride_day(folder)).runs
    return run


def is_read_right(found: RunAnalysis, true: RunAnalysis) -> tuple[bool, str]:
    """Tell whether a log is told what the plain one is, notes aside, and has its measures; else what differs."""
    known = {item.code for item in true.findings}
    told = [item.message for item in found.findings if item.severity != "note" and item.code not in known]
    values, wanted = ({(item.measure, item.end): item.value for item in run.measures} for run in (found, true))
    one_a_min = 60.0 / wanted["riding_time", "both"]
    apart = [
        f"{measure} {end}: {values.get((measure, end))} for {value}"
        for (measure, end), value in wanted.items()
        if measure not in HANGS_ON_A_ROW
        and not math.isclose(
            values.get((measure, end), math.nan),
            value,
            rel_tol=SPEED_SHARE if "speed" in measure else SHARE,
            abs_tol=1.01 * one_a_min if measure in BY_ONE else 1e-9,
        )
    ]
    return not told and not apart and values.keys() == wanted.keys(), ", ".join([*told, *apart])


def spoilt_day(folder: Path, day: Path, log: MadeLog, *, among: bool = False) -> Path:
    """Write a spoilt log with its day and what it needs of the clean one, `among` some clean runs where asked for."""
    folder.mkdir(parents=True, exist_ok=True)
    for path in day.iterdir():
        if path.name.startswith(("leverage", "lifted")):
            (folder / path.name).write_bytes(path.read_bytes())
    others = log.others if among else ""
    (folder / "ride_day.toml").write_text(log.day + others, encoding="utf-8")
    for name in re.findall(r'log = "clean_(.*)"', others):
        (folder / f"clean_{name}").write_bytes((day / name).read_bytes())
    for name, text in log.files().items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


@dataclass(frozen=True, kw_only=True)
class Batch:
    """One condition's work; `codes` are those of the findings tried, `spoilt` the number of runs that are spoilt."""

    condition: Condition
    runs: int
    seed: int
    codes: tuple[str, ...]
    spoilt: int | None = None


@dataclass(frozen=True, kw_only=True)
class Counted:
    """What came of a batch: warned among the clean runs, caught and tried by fault, and what went wrong, in words."""

    warned: int
    clean: int
    caught: dict[tuple[str, str], tuple[int, int]]
    wrong: tuple[str, ...]


def counted(batch: Batch) -> Counted:
    """Simulate, check clean, spoil and check again."""
    condition = batch.condition
    of = f"{condition.trail}, {condition.rate_hz:g} Hz, noise {condition.noise_mm} mm"
    wrong: list[str] = []
    caught: dict[tuple[str, str], tuple[int, int]] = {}
    with tempfile.TemporaryDirectory() as place:
        day = clean_day(Path(place) / "clean", condition, batch.runs, batch.seed)
        bad = [[found for found in findings if found.severity != "note"] for findings in findings_of(day)]
        wrong += [f"clean, {of}: {found.code}: {found.message}" for findings in bad for found in findings]
        for number, log in enumerate(islice(made_logs(day, condition.rate_hz), batch.spoilt)):
            plain: dict[Making | None, RunAnalysis] = {}
            for fault in FAULTS:
                if fault.trail != condition.trail or fault.code not in batch.codes:
                    continue
                rng = np.random.default_rng([batch.seed, number])
                spoilt = fault.make(log, rng)
                folder = spoilt_day(Path(place) / "spoilt", day, spoilt, among=fault.among)
                if fault.code == READ_RIGHT:
                    if fault.plain not in plain:
                        as_it_was = log if fault.plain is None else fault.plain(log, rng)
                        plain[fault.plain] = only_run(spoilt_day(Path(place) / "plain", day, as_it_was))
                    found, told = is_read_right(only_run(folder), plain[fault.plain])
                else:
                    findings = findings_of_spoilt(folder)
                    found = is_told(fault, findings)
                    told = ", ".join(f"{item.code} ({item.severity})" for item in findings)
                hits, tried = caught.get((fault.code, fault.words), (0, 0))
                caught[fault.code, fault.words] = hits + found, tried + 1
                if not found:
                    wrong.append(
                        f"missed: {fault.code or 'read right'}, {fault.words}; run {number + 1}, {of}; told: {told}"
                    )
    return Counted(warned=sum(map(bool, bad)), clean=len(bad), caught=caught, wrong=tuple(wrong))


def together(counts: list[Counted]) -> Counted:
    """Return the sum of several batches."""
    caught: dict[tuple[str, str], tuple[int, int]] = {}
    for item in counts:
        for key, (hits, tried) in item.caught.items():
            before = caught.get(key, (0, 0))
            caught[key] = before[0] + hits, before[1] + tried
    return Counted(
        warned=sum(item.warned for item in counts),
        clean=sum(item.clean for item in counts),
        caught=caught,
        wrong=tuple(line for item in counts for line in item.wrong),
    )


def table(found: Counted) -> str:
    """Return the table in Markdown."""
    lines = ["| fault | told by | severity at least | caught |", "| --- | --- | --- | --- |"]
    for fault in FAULTS:
        hits, tried = found.caught.get((fault.code, fault.words), (0, 0))
        by = f"`{fault.code}`" if fault.code else "read right"
        if tried:
            lines.append(f"| {fault.words} | {by} | {fault.least} | {hits} of {tried} |")
    return "\n".join([*lines, "", f"Clean runs with any warning or error: {found.warned} of {found.clean}."])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=17, help="of each trail, rate and noise")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--codes", nargs="*", help="only these findings")
    parser.add_argument("--processes", type=int, default=2)
    asked = parser.parse_args()
    codes = tuple(asked.codes if asked.codes is not None else {fault.code: None for fault in FAULTS})
    batches = [
        Batch(condition=condition, runs=asked.runs, seed=asked.seed + 100 * place + 1, codes=codes)
        for place, condition in enumerate(CONDITIONS)
    ]
    with ProcessPoolExecutor(asked.processes) as pool:
        found = together(list(pool.map(counted, batches)))
    print(table(found))
    for line in found.wrong:
        print(line)


if __name__ == "__main__":
    main()
