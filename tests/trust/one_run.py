"""A day of one run whose front and rear are given sample by sample, and what the run is told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

import telemetry
from telemetry.model.analysis import RunAnalysis
from telemetry.model.finding import ENDS, End, Finding
from tests.pipeline.small_days import HEAD

FRONT_FULL_MM = 160.0
REAR_FULL_MM = 150.0
RATE_HZ = 250.0


@dataclass(frozen=True, kw_only=True)
class Day:
    """How a day differs from the plain one.

    Attributes
    ----------
    changes : mapping
        Pieces of the plain day's file and what stands in their place; each has to be there.
    run : str
        More lines of the run's table.
    extra : str
        More tables.
    """

    changes: Mapping[str, str] | None = None
    run: str = ""
    extra: str = ""
    rate_hz: float = RATE_HZ
    front_steps_per_mm: float = 20.0
    rear_steps_per_mm: float = 20.0


PLAIN = Day()


def working(seconds: float, *, rate_hz: float = RATE_HZ, middle_mm: float = 60.0) -> np.ndarray:
    """Return travel that works all the time: 1.25 hits a second of 50 mm, never near either end of travel."""
    time = np.arange(round(seconds * rate_hz)) / rate_hz
    return middle_mm + 25 * np.sin(2 * np.pi * 1.25 * time)


def write_log(path: Path, front_mm: np.ndarray, rear_mm: np.ndarray, day: Day = PLAIN) -> None:
    """Write a log of wheel travel: column A0 in steps of the fork's sensor, A1 in steps of the shock's."""
    rows = ["t_ms,A0,A1"]
    scale = day.front_steps_per_mm, day.rear_steps_per_mm
    for place, (front, rear) in enumerate(zip(front_mm, rear_mm, strict=True)):
        rows.append(f"{place * 1000 / day.rate_hz:.3f},{100 + front * scale[0]:.0f},{200 + rear * scale[1]:.0f}")
    path.write_text("\n".join(rows) + "\n", encoding="ascii")


def write_day(folder: Path, front_mm: np.ndarray, rear_mm: np.ndarray, day: Day = PLAIN) -> Path:
    """Write the day and its log; return its folder."""
    text = HEAD.format(title="One run")
    text = text.replace("[3300, 160.0]", f"[{100 + 160 * day.front_steps_per_mm:g}, 160.0]")
    text = text.replace("[3200, 60.0]", f"[{200 + 150 * day.rear_steps_per_mm:g}, 60.0]")
    for old, new in (day.changes or {}).items():
        assert old in text, old
        text = text.replace(old, new)
    text += f'[setups.a]\n[[runs]]\nlog = "run_1.csv"\nsetup = "a"\n{day.run}\n{day.extra}\n'
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    write_log(folder / "run_1.csv", front_mm, rear_mm, day)
    return folder


def ridden(folder: Path, front_mm: np.ndarray, rear_mm: np.ndarray, day: Day = PLAIN) -> RunAnalysis:
    """Return the run after `analyse`."""
    return again(write_day(folder, front_mm, rear_mm, day))


def again(folder: Path) -> RunAnalysis:
    """Return the first run of a day that is written already."""
    return telemetry.analyse(telemetry.read_ride_day(folder)).runs[0]


def without_rows(folder: Path, start: int, stop: int) -> Path:
    """Take rows of samples [start, stop) out of the log; return the folder."""
    lines = (folder / "run_1.csv").read_text(encoding="ascii").splitlines()
    (folder / "run_1.csv").write_text("\n".join(lines[: start + 1] + lines[stop + 1 :]) + "\n", encoding="ascii")
    return folder


def told(run: RunAnalysis, code: str) -> list[Finding]:
    """Return the run's findings of one code."""
    return [finding for finding in run.findings if finding.code == code]


def codes(run: RunAnalysis, *severities: str) -> set[str]:
    """Return the codes of its findings, of some severities or of all."""
    return {finding.code for finding in run.findings if not severities or finding.severity in severities}


def the_one(run: RunAnalysis, code: str) -> Finding:
    """Return the run's only finding of that code."""
    found = told(run, code)
    assert len(found) == 1, [finding.message for finding in run.findings]
    return found[0]


def assert_lost(run: RunAnalysis, end: End, code: str) -> None:
    """Check that an end keeps its entry without measures, the error the reason, and that the other end keeps all."""
    assert (run.usable, run.without) == ("with care", f"without its {end}")
    assert {row.end for row in run.measures} == {*ENDS, "both"} - {end}
    assert {gone.reason for gone in run.absent if gone.end == end} == {code}


def assert_says(finding: Finding, *words: str) -> None:
    """Check that a message is one line that holds every one of these words."""
    assert "\n" not in finding.message
    for word in words:
        assert word in finding.message, finding.message
