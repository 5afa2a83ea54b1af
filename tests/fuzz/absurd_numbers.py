"""Numbers no sensor and no clock writes: ``python -m tests.fuzz.absurd_numbers [--count 600] [--seed 1]``.

Each try puts one such number, or several, into one column of one log of a small day; the day is checked, analysed,
compared, reported and drafted anew. Counted by outcome:

refused
    One clear error.
told
    A warning or an error finding of the run.
unmoved
    Nothing is said; the numbers in that column mean nothing.
CRASH, WARNED, SLOW
    Another exception than an error about the input; a warning on the terminal; over 10 s. There should be none.
"""

from __future__ import annotations

import argparse
import datetime as dt
import shutil
import sys
import tempfile
import traceback
import warnings
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

import telemetry
from dashboards.report import render_report
from telemetry import pipeline
from telemetry.errors import TelemetryError
from telemetry.pipeline import draft
from tests.fuzz.mutations import limited
from tests.pipeline.small_days import RATE_HZ, make_day

SECONDS = 12.0
COLUMNS = ("t_ms", "A0", "A1", "v", "p", "d", "lat", "lon", "m", "ax", "ay", "az")
NUMBERS = (
    *("1e10", "4294967296", "1e13", "9e14", "1e15", "1.1e15", "1e16", "9223372036854775807", "1e19", "1e25", "1e150"),
    *("1e200", "1e308", "1.7976931348623157e308", "1e400", "9" * 400, "5e-324", "1e-310", "1e-200", "1e-20", "inf"),
    *("-inf", "Infinity", "-INFINITY", "nan(0)", "1e-400", "0x1p1023", "1e+0308", "-0.0", "1e999999999"),
)
SENSORS = {
    "ground_speed": 'column = "v"\nunit = "m/s"',
    "wheel_pulses": 'column = "p"\npulses_per_turn = 8\nwheel_circumference_mm = 2200',
    "distance": 'column = "d"\nunit = "m"',
    "position_fix": 'lat = "lat"\nlon = "lon"',
}
ALL_DAYS = """
[sensors.button]
kind = "marker"
column = "m"
equals = 1
[sensors.frame]
kind = "inertial"
end = "front"
on = "chassis"
acceleration_unit = "g"
columns = { ax = "ax", ay = "ay", az = "az" }
"""
BAD = ("CRASH", "WARNED", "SLOW")

Generator = np.random.Generator
Rows = list[list[str]]


def _one(rows: Rows, column: int, number: str, rng: Generator) -> None:
    rows[int(rng.integers(0, len(rows)))][column] = number


def _first(rows: Rows, column: int, number: str, _: Generator) -> None:
    rows[0][column] = number


def _last(rows: Rows, column: int, number: str, _: Generator) -> None:
    rows[-1][column] = number


def _tenth(rows: Rows, column: int, number: str, rng: Generator) -> None:
    for place in rng.integers(0, len(rows), len(rows) // 10):
        rows[int(place)][column] = number


def _from_some_row_on(rows: Rows, column: int, number: str, rng: Generator) -> None:
    for row in rows[int(rng.integers(0, len(rows))) :]:
        row[column] = number


def _all(rows: Rows, column: int, number: str, _: Generator) -> None:
    for row in rows:
        row[column] = number


def _to_and_fro(rows: Rows, column: int, number: str, rng: Generator) -> None:
    start = int(rng.integers(0, len(rows) - 20))
    for place, row in enumerate(rows[start : start + int(rng.integers(4, len(rows)))]):
        row[column] = number if place % 2 else f"-{number}".replace("--", "")


def _scale(number: str) -> float:
    scale = float(number) if number[:1] in "0123456789" and "x" not in number else 1e300
    return min(1e300, scale)


def _times(rows: Rows, column: int, number: str, _: Generator) -> None:
    for row in rows:
        row[column] = repr(float(row[column]) * _scale(number))


def _plus(rows: Rows, column: int, number: str, _: Generator) -> None:
    for row in rows:
        row[column] = str(int(float(row[column])) + int(_scale(number)))


WAYS: tuple[Callable[[Rows, int, str, Generator], None], ...] = (
    *(_one, _first, _last, _tenth, _from_some_row_on, _all, _to_and_fro, _times, _plus),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one try."""

    kind: str
    seed: int
    what: str
    words: str = ""


def make(folder: Path) -> Path:
    """Write a day whose logs hold a column of every kind of sensor."""
    day = make_day(folder, ("a", "b"), seconds=SECONDS)
    rng = np.random.default_rng(3)
    for log in sorted(day.glob("*.csv")):
        lines = log.read_text(encoding="ascii").splitlines()
        rows = [",".join(COLUMNS)]
        for place, line in enumerate(lines[1:]):
            second = place / RATE_HZ
            shaken = ",".join(f"{value:.4f}" for value in rng.normal((0, 0, 1), 0.3))
            rows.append(
                f"{line},{6 + 0.01 * (place % 50):.2f},{int(second * 24)},{6 * second:.2f},"
                f"{47 + second * 5e-5:.7f},{11 + second * 3e-5:.7f},{int(place % 900 == 450)},{shaken}"
            )
        log.write_text("\n".join(rows) + "\n", encoding="ascii")
    return day


def _state(day: Path, kind: str, *, with_time: bool) -> None:
    file = day / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    if not with_time:
        text = text.replace('[log]\ntime = { column = "t_ms", unit = "ms" }\n', "")
    file.write_text(text + f'{ALL_DAYS}[sensors.ground]\nkind = "{kind}"\n{SENSORS[kind]}\n', encoding="utf-8")


def _tried(day: Path) -> tuple[str, str]:
    """Run every command's work on a day; return its outcome."""
    said: list[str] = []
    told = False
    for work in (_checked, _compared, _reported, _drafted):
        try:
            told = work(day) or told
        except TelemetryError as error:
            said.append(error.line)
    return ("refused", said[0]) if said else ("told" if told else "unmoved", "")


def _checked(day: Path) -> bool:
    analysis = telemetry.analyse(telemetry.read_ride_day(day))
    pipeline.require_all_read(analysis.unread)
    analysis.to_dict()
    return any(finding.severity != "note" for run in analysis.runs for finding in run.findings)


def _compared(day: Path) -> bool:
    telemetry.compare(telemetry.read_ride_day(day)).to_dict()
    return False


def _reported(day: Path) -> bool:
    analysis, comparison, along = pipeline.report_parts(telemetry.read_ride_day(day))
    pipeline.require_usable(analysis)
    render_report(analysis, comparison, along, names=True)
    return False


def _drafted(day: Path) -> bool:
    (day / "ride_day.toml").unlink()
    refused = draft(day, dt.date(2026, 5, 16)).refused
    return bool(refused)


def one(seed: int, original: Path) -> Outcome:
    """Put absurd numbers into a copy of the day and judge what becomes of it."""
    rng = np.random.default_rng(seed)
    column, number = int(rng.integers(0, len(COLUMNS))), NUMBERS[int(rng.integers(0, len(NUMBERS)))]
    way, kind = WAYS[int(rng.integers(0, len(WAYS)))], list(SENSORS)[int(rng.integers(0, len(SENSORS)))]
    what = f"{COLUMNS[column]} {number[:30]} {way.__name__.strip('_')} {kind}"
    with tempfile.TemporaryDirectory() as place, warnings.catch_warnings():
        warnings.simplefilter("error")
        day = Path(place) / "day"
        shutil.copytree(original, day)
        _state(day, kind, with_time=bool(rng.random() < 0.7))
        log = day / "run_1.csv"
        header, *lines = log.read_text(encoding="ascii").splitlines()
        rows = [line.split(",") for line in lines]
        way(rows, column, number, rng)
        log.write_text("\n".join([header, *(",".join(row) for row in rows)]) + "\n", encoding="ascii")
        try:
            with limited():
                kind, words = _tried(day)
        except TimeoutError:
            return Outcome(kind="SLOW", seed=seed, what=what)
        except Warning:
            return Outcome(kind="WARNED", seed=seed, what=what, words=traceback.format_exc(limit=-3))
        except Exception:  # noqa: BLE001 - that is what is looked for
            return Outcome(kind="CRASH", seed=seed, what=what, words=traceback.format_exc(limit=-3))
    return Outcome(kind=kind, seed=seed, what=what, words=words)


def main() -> None:
    """Print the counts, and every bad outcome with its seed."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=600)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--tell", action="store_true", help="print every outcome")
    asked = parser.parse_args()
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as place:
        original = make(Path(place) / "day")
        for seed in range(asked.seed, asked.seed + asked.count):
            found = one(seed, original)
            counts[found.kind] += 1
            if asked.tell or found.kind in BAD:
                sys.stdout.write(f"{found.kind} (seed {seed}) {found.what}: {found.words}\n")
                sys.stdout.flush()
    sys.stdout.write(", ".join(f"{kind} {count}" for kind, count in sorted(counts.items())) + "\n")


if __name__ == "__main__":
    main()
