"""Broken logs are caught, whole ones aren't accused: ``python -m tests.benchmarks.detection [--runs 200]``.

Clean runs are simulated at three rates with two noise levels; how many raise any warning is counted. Into one run of
each of their days faults of a stated size are put, one at a time; how many are caught by the finding that ought to tell
them is counted. The table stands in docs/findings.md.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

import telemetry
from telemetry.model.analysis import Analysis, RunAnalysis
from telemetry.simulation.day_made import make_day
from telemetry.simulation.scenario import read_scenario

SCENARIO = Path(__file__).parent.parent.parent / "sample_runs" / "lower_leg_oil" / "scenario.toml"
RATES_HZ = (200, 500, 1000)
NOISES_MM = (0.02, 0.08)
RUNS_A_DAY = 4
FULL_COUNTS = 4095
Table = dict[str, np.ndarray]
Work = Callable[[Table, np.random.Generator], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault: what it is and how large, the finding that has to tell it, and how it is put into a log's columns."""

    finding: str
    words: str
    work: Work
    severities: frozenset[str] = field(default_factory=lambda: frozenset({"warning", "error"}))


def _inner(table: Table, rng: np.random.Generator, least_s: float) -> tuple[int, int]:
    """Return a stretch of so many seconds within the rough part of the ride."""
    rate = _rate(table)
    count = table["t"].shape[0]
    first = int(rng.integers(int(0.4 * count), int(0.8 * count - least_s * rate)))
    return first, first + int(least_s * rate)


def _rate(table: Table) -> float:
    return float((table["t"].shape[0] - 1) / (table["t"][-1] - table["t"][0]) * 1000)


def _stuck(table: Table, rng: np.random.Generator) -> None:
    a, b = _inner(table, rng, 6.0)
    table["A0"][a:b] = 1500


def _slipped(table: Table, rng: np.random.Generator) -> None:
    """Shift the shock's readings by 4 mm of stroke outwards, from a third of the run on."""
    place = table["t"].shape[0] // 3
    table["A1"][place:] -= 4 * (3601 - 305) / 62.5


def _spikes(table: Table, rng: np.random.Generator) -> None:
    count = table["t"].shape[0]
    places = rng.choice(np.arange(100, count - 100, 7), int(0.003 * count), replace=False)
    table["A0"][places] = np.where(table["A0"][places] > 2000, 300, 3700)


def _clipped(table: Table, rng: np.random.Generator) -> None:
    """Mount the fork's sensor so far off that what 1.5 % of rows pass lies beyond the converter's range."""
    table["A0"] = np.minimum(table["A0"] + FULL_COUNTS - np.floor(np.quantile(table["A0"], 0.985)), FULL_COUNTS)


def _hum(table: Table, rng: np.random.Generator) -> None:
    counts = 0.5 * (3770 - 212) / 170
    table["A0"] += counts * np.sin(2 * np.pi * 50.0 * table["t"] / 1000 + rng.uniform(0, 6))


def _hole(table: Table, rng: np.random.Generator) -> None:
    """Let the fork's readings skip 3 mm of travel at its median."""
    start, wide = float(np.median(table["A0"])) + 15, 3.0 * (3770 - 212) / 170
    inside = (table["A0"] > start) & (table["A0"] < start + wide)
    table["A0"][inside] = np.where(table["A0"][inside] < start + wide / 2, start, start + wide)


def _lost_rows(table: Table, rng: np.random.Generator) -> None:
    a, b = _inner(table, rng, 0.5)
    for name in table:
        table[name] = np.delete(table[name], np.arange(a, b))


def _restart(table: Table, rng: np.random.Generator) -> None:
    a, _ = _inner(table, rng, 1.0)
    table["t"][a:] -= table["t"][a]


def _jitter(table: Table, rng: np.random.Generator) -> None:
    step = 1000 / _rate(table)
    table["t"] = np.sort(table["t"] + rng.normal(0, 0.35 * step, table["t"].shape[0]))


def _repeated(table: Table, rng: np.random.Generator) -> None:
    a, b = _inner(table, rng, 0.4)
    for name in table:
        table[name] = np.insert(table[name], np.arange(a, b), table[name][a:b])


def _swapped(table: Table, rng: np.random.Generator) -> None:
    front = (table["A0"] - 212) / (3770 - 212)
    rear = (table["A1"] - 305) / (3601 - 305)
    table["A0"], table["A1"] = 212 + rear * (3770 - 212), 305 + front * (3601 - 305)


def _closed(table: Table, rng: np.random.Generator) -> None:
    """Let the fork move by 2 % of what it does, as a closed lever leaves it."""
    middle = np.median(table["A0"])
    table["A0"] = middle + 0.02 * (table["A0"] - middle)


def _wrong_way(table: Table, rng: np.random.Generator) -> None:
    table["A0"] = 3770 + 212 - table["A0"]


def _too_far(table: Table, rng: np.random.Generator) -> None:
    table["A0"] = 212 + 1.35 * (table["A0"] - 212)


def _wrong_unit(table: Table, rng: np.random.Generator) -> None:
    table["t"] = table["t"] / 1000


FAULTS = (
    Fault(finding="stuck", words="fork's reading held for 6 s in the rough", work=_stuck),
    Fault(finding="hardly_moves", words="fork moves by 2 % of what it does: lever closed", work=_closed),
    Fault(finding="beyond_travel", words="shock's sensor slips by 4 mm of stroke outwards", work=_slipped),
    Fault(finding="pushes_one_end", words="fork wired the wrong way round", work=_wrong_way),
    Fault(finding="beyond_travel", words="fork's calibration 35 % too steep", work=_too_far),
    Fault(finding="spikes", words="one reading in 330 thrown across the range", work=_spikes),
    Fault(finding="clipped", words="1.5 % of the fork's rows beyond the converter's range", work=_clipped),
    Fault(finding="dead_band", words="fork's readings skip 3 mm of travel", work=_hole),
    Fault(finding="line_noise", words="50 Hz hum of 0.5 mm on the fork", work=_hum),
    Fault(finding="gap", words="half a second of rows lost", work=_lost_rows),
    Fault(finding="clock_backwards", words="clock starts anew in mid-run", work=_restart),
    Fault(finding="uneven_clock", words="stamps stray by a third of a step", work=_jitter),
    Fault(finding="repeated_rows", words="0.4 s of rows each written twice", work=_repeated),
    Fault(finding="ends_swapped", words="fork's and shock's plugs changed over", work=_swapped),
    Fault(finding="odd_rate", words="seconds logged in a column said to be ms", work=_wrong_unit),
)


def day_text(rate_hz: int, noise_mm: float, seed: int) -> str:
    """Return the scenario of a day of four runs with one setup."""
    text = SCENARIO.read_text(encoding="utf-8")
    changes = (
        ('order = ["oil_20", "oil_8", "oil_8", "oil_20"]', f"order = {['oil_20'] * RUNS_A_DAY}"),
        ("seed = 22", f"seed = {seed}"),
        ("rate_hz = 500", f"rate_hz = {rate_hz}"),
        ("gzip = true\n", ""),
        ("offset_mm = 0.4", f"offset_mm = 0.4\nnoise_mm = {noise_mm}"),
        ("[logger.shock]\n", f"[logger.shock]\nnoise_mm = {noise_mm * 62.5 / 165:.4f}\n"),
    )
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    head, rest = text.split("[[recordings]]", 1)
    return head + "[[recordings]]" + rest.split("[[recordings]]")[0]


def days(count: int, place: Path, seed: int) -> Iterator[tuple[Path, str]]:
    """Yield folders of clean days until they hold so many runs, each with what it was made with."""
    for number in range(-(-count // RUNS_A_DAY)):
        rate_hz, noise_mm = RATES_HZ[number % 3], NOISES_MM[number // 3 % 2]
        scenario = place / f"{number}.toml"
        scenario.write_text(day_text(rate_hz, noise_mm, seed + number), encoding="utf-8")
        make_day(read_scenario(scenario), place / str(number))
        yield place / str(number), f"{rate_hz} Hz, {noise_mm} mm"


def read_table(path: Path) -> Table:
    """Return a log's columns; its clock is called t."""
    names = path.read_text(encoding="ascii").splitlines()[0].split(",")
    values = np.loadtxt(path, delimiter=",", skiprows=1)
    return {"t" if name.startswith("t") else name: values[:, column].copy() for column, name in enumerate(names)}


def write_table(path: Path, header: str, table: Table) -> None:
    """Write a log's columns with its own header: readings whole, the clock to a microsecond."""
    formats = ["%.3f" if name == "t" else "%d" for name in table]
    np.savetxt(path, np.column_stack(list(table.values())), fmt=formats, delimiter=",", header=header, comments="")


def analysed(folder: Path) -> Analysis:
    """Return a day's analysis."""
    return telemetry.analyse(telemetry.read_ride_day(folder))


def accused(run: RunAnalysis) -> list[str]:
    """Return the warnings and errors of a run."""
    return [finding.code for finding in run.findings if finding.severity != "note"]


def caught(folder: Path, fault: Fault, seed: int) -> bool:
    """Tell whether a fault put into a day's first run is told of that run."""
    path = next(iter(sorted(folder.glob("run_1.csv*"))))
    whole = path.read_bytes()
    header = whole.decode("ascii").splitlines()[0]
    table = read_table(path)
    fault.work(table, np.random.default_rng(seed))
    try:
        write_table(path, header, table)
        found = accused(analysed(folder).runs[0])
    except telemetry.LogError:
        return False
    finally:
        path.write_bytes(whole)
    return fault.finding in found


def clean_and_caught(
    runs: int, seed: int, faults: tuple[Fault, ...]
) -> tuple[list[list[str]], Mapping[str, list[bool]]]:
    """Return every clean run's warnings, and for each fault whether it was caught, once a day."""
    clean: list[list[str]] = []
    found: dict[str, list[bool]] = {fault.words: [] for fault in faults}
    with tempfile.TemporaryDirectory() as place:
        for number, (folder, _) in enumerate(days(runs, Path(place), seed)):
            clean.extend(accused(run) for run in analysed(folder).runs)
            file = folder / "ride_day.toml"
            text = file.read_text(encoding="utf-8")
            second = text.index("[[runs]]", text.index("[[runs]]") + 1)
            file.write_text(text[:second] + text[text.index("[[static]]") :], encoding="utf-8")  # the first run alone
            for fault in faults:
                found[fault.words].append(caught(folder, fault, seed + number))
    return clean, found


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--runs", type=int, default=200)
    parser.add_argument("--seed", type=int, default=500)
    asked = parser.parse_args()
    clean, found = clean_and_caught(asked.runs, asked.seed, FAULTS)
    warned = [codes for codes in clean if codes]
    sys.stdout.write(f"clean runs with any warning: {len(warned)} of {len(clean)} {warned}\n")
    sys.stdout.write("| fault | told by | caught |\n| --- | --- | --- |\n")
    for fault in FAULTS:
        hits = found[fault.words]
        sys.stdout.write(f"| {fault.words} | `{fault.finding}` | {sum(hits)} of {len(hits)} |\n")


if __name__ == "__main__":
    main()
