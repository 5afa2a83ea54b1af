"""Logs as riders' loggers write them: what a bike does, in shares of full travel, through a sensor and a form."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from telemetry.model.arrays import Floats

RATE_HZ = 100.0
RUN_S, RECORDING_S = 12.0, 6.0
OF_THE_BIKE = (
    (r"# date = .*", "date = 2026-05-16"),
    (r"# travel_mm = <as the maker.*", "travel_mm = 170"),
    (r"# stroke_mm = <.*", "stroke_mm = 62.5"),
    (r"# ratio = <.*", "ratio = 2.64"),
)
"""What every draft asks that has nothing to do with how a log is written, and answers to it."""

Motion = tuple[Floats, Floats]
"""Front and rear, shares of full travel, `RATE_HZ` rows a second."""


def _noise(seed: int, count: int) -> Floats:
    return np.random.default_rng(seed).normal(0.0, 0.002, count)


def run(seed: int, seconds: float = RUN_S) -> Motion:
    """A run: bumps of drawn depth about sag, topped out now and then."""
    random = np.random.default_rng(seed)
    count = round(seconds * RATE_HZ)
    at_s = np.arange(count) / RATE_HZ
    ends = []
    for level in (0.22, 0.30):
        bumps = sum(
            random.uniform(0.3, 1.0) * np.sin(2 * np.pi * (hz * at_s + random.uniform())) for hz in (0.9, 1.7, 3.1)
        )
        depth = np.clip(level + 0.16 * bumps + 0.25 * np.maximum(0, np.sin(2 * np.pi * 0.13 * at_s)) ** 8, 0.0, 0.97)
        ends.append(depth + _noise(seed, count))
    return ends[0], ends[1]


def _resting(seed: int, front: float, rear: float) -> Motion:
    count = round(RECORDING_S * RATE_HZ)
    return front + _noise(seed, count), rear + _noise(seed + 1, count)


def lifted(seed: int) -> Motion:
    return _resting(seed, 0.0, 0.0)


def sag(seed: int) -> Motion:
    return _resting(seed, 0.19, 0.28)


def settle(seed: int, start: float = 0.55) -> Motion:
    """Held at one depth for a second, let go, at rest."""
    front, rear = _resting(seed, 0.12, 0.16)
    at_s = np.arange(front.size) / RATE_HZ
    gone = np.where(at_s < 1.0, 1.0, np.exp(-(at_s - 1.0) / 0.15))
    return front + (start - 0.12) * gone, rear + (start - 0.16) * gone


def bounce(seed: int) -> Motion:
    front, rear = _resting(seed, 0.20, 0.28)
    at_s = np.arange(front.size) / RATE_HZ
    since = np.maximum(0.0, at_s - 1.0)
    swing = np.where(at_s < 1.0, 0.0, np.exp(-since / 0.25) * np.sin(2 * np.pi * 2.0 * since))
    return front + 0.25 * swing, rear + 0.25 * swing


MOTIONS: Mapping[str, Callable[[int], Motion]] = {
    "run": run,
    "lifted": lifted,
    "sag": sag,
    "settle": settle,
    "bounce": bounce,
}


@dataclass(frozen=True, kw_only=True)
class Sensor:
    """How an end's depth becomes readings: topped out, at full travel, and a column's name."""

    column: str
    topped_out: float
    full: float
    decimals: int = 0

    def readings(self, depth: Floats) -> list[str]:
        return [f"{value:.{self.decimals}f}" for value in self.topped_out + depth * (self.full - self.topped_out)]


FORK = Sensor(column="A0", topped_out=212, full=3770)
SHOCK = Sensor(column="A1", topped_out=305, full=3601)


@dataclass(frozen=True, kw_only=True)
class Form:
    """How a logger writes: its clock's name and cells, what else it logs, the sign between cells."""

    clock: str = "t_ms"
    stamp: Callable[[float], str] = lambda at_s: f"{1000 * at_s:.0f}"
    others: Mapping[str, Callable[[float], float]] | None = None
    delimiter: str = ","
    decimal: str = "."
    head: str = ""
    encoding: str = "utf-8"
    others_first: bool = False


def write(path: Path, motion: Motion, sensors: Mapping[str, Sensor], form: Form) -> Path:
    """Write a log of the ends that have a sensor.

    Parameters
    ----------
    path : Path
    motion : front and rear
    sensors : mapping of "front" and "rear" to Sensor
    form : Form
    """
    depth = {"front": motion[0], "rear": motion[1]}
    at_s = np.arange(motion[0].size) / RATE_HZ
    others = form.others or {}
    ends = [(sensor.column, sensor.readings(depth[end])) for end, sensor in sensors.items()]
    beside = [(name, [f"{value(at):.2f}" for at in at_s]) for name, value in others.items()]
    clock = [(form.clock, [form.stamp(at) for at in at_s])] if form.clock else []
    written = [*clock, *beside, *ends] if form.others_first else [*clock, *ends, *beside]
    header = form.delimiter.join(name for name, _ in written if name)
    cells = zip(*(column for _, column in written), strict=True)
    rows = (form.delimiter.join(cell.replace(".", form.decimal) for cell in row) for row in cells)
    text = form.head + "\n".join(filter(None, [header, *rows])) + "\n"
    path.write_text(text, encoding=form.encoding)
    return path
