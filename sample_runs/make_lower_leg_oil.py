"""Make the sample ride day ``lower_leg_oil``: invented data, the same bytes each time on one machine.

A modest signal model, not physics: one trail (roughness, roots, drops and two small jumps) is ridden four times with
a slightly different line; fork and shock follow the road through a second-order response, the rear later by wheelbase
over ground speed; the fork's last third stiffens with the gas that is left in the lowers. Run it from anywhere:

    python sample_runs/make_lower_leg_oil.py
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.interpolate import PchipInterpolator
from scipy.signal import butter, lfilter, sosfilt

SEED = 20260516
RATE_HZ = 500
STILL_S = 3.0
RIDE_S = 82.0
WHEELBASE_M = 1.252
FRONT_TRAVEL_MM, REAR_STROKE_MM = 170.0, 62.5
FORK_COUNTS = (212.0, 3770.0)  # readings topped out and at full travel
SHOCK_COUNTS = (305.0, 3601.0)
STROKES_MM = np.linspace(0.0, REAR_STROKE_MM, 11)
TRAVELS_MM = 2.98 * STROKES_MM - 0.00544 * STROKES_MM**2
FOLDER = Path(__file__).parent / "lower_leg_oil"


@dataclass(frozen=True)
class Run:
    """One run of the day: its file, how soft the end of the fork's stroke is, and its ground speed."""

    file: str
    soft: float
    speed_m_s: float


RUNS = (
    Run("run_1.csv", 0.0, 6.10),
    Run("run_2.csv", 1.0, 6.18),
    Run("run_3.csv", 1.0, 6.14),
    Run("run_4.csv", 0.0, 6.15),
)


def road(rng: np.random.Generator, samples: int) -> np.ndarray:
    """Return the trail's height under the front wheel, mm: roughness, roots and rocks, drops."""
    rough = sosfilt(butter(2, [0.35, 7.0], "bandpass", fs=RATE_HZ, output="sos"), rng.standard_normal(samples))
    height = 4.5 * rough / rough.std()
    for start in np.sort(rng.integers(RATE_HZ, samples - RATE_HZ, 95)):
        length = int(rng.uniform(0.07, 0.2) * RATE_HZ)
        height[start : start + length] += rng.uniform(12, 46) * np.sin(np.linspace(0, np.pi, length))
    return height


def drops(rng: np.random.Generator, samples: int) -> np.ndarray:
    """Return slow pushes into the travel, mm: drops, corners, compressions of the trail."""
    push = np.zeros(samples)
    for start in np.sort(rng.integers(RATE_HZ, samples - 2 * RATE_HZ, 26)):
        length = int(rng.uniform(0.22, 0.45) * RATE_HZ)
        push[start : start + length] += rng.uniform(36, 108) * np.sin(np.linspace(0, np.pi, length)) ** 1.4
    return push


def followed(height: np.ndarray, natural_hz: float, damping: float) -> np.ndarray:
    """Return how far the wheel moves against the frame over a road: the road less a damped second-order body."""
    step = 1.0 / RATE_HZ
    w = 2 * np.pi * natural_hz
    a = [1 + 2 * damping * w * step + (w * step) ** 2, -2 - 2 * damping * w * step, 1.0]
    return lfilter([1.0, -2.0, 1.0], a, height)


def end_stop(travel_mm: np.ndarray, full_mm: float, knee: float, hard: float) -> np.ndarray:
    """Return travel with an end that stiffens past `knee` (share of full) and never passes full travel."""
    start = knee * full_mm
    room = full_mm - start
    over = np.maximum(travel_mm - start, 0.0) / room
    held = room * over / (1 + hard * over**1.5) ** (1 / 1.5)
    return np.clip(np.where(travel_mm > start, start + held, travel_mm), 0.0, full_mm - 0.2)


def flights(rng: np.random.Generator, samples: int) -> np.ndarray:
    """Return 1 on the ground and 0 in the air, with soft edges: two small jumps."""
    ground = np.ones(samples)
    for start in rng.integers(20 * RATE_HZ, samples - 20 * RATE_HZ, 2):
        length = int(rng.uniform(0.30, 0.42) * RATE_HZ)
        ground[start : start + length] = 0.0
    return np.convolve(ground, np.hanning(31) / np.hanning(31).sum(), "same")


def still(level_mm: float) -> np.ndarray:
    """Return a rest at one level before or after the ride."""
    return np.full(int(STILL_S * RATE_HZ), level_mm)


def ridden(run: Run, number: int) -> tuple[np.ndarray, np.ndarray]:
    """Return true fork travel and shock stroke of one run, mm."""
    samples = int(RIDE_S * RATE_HZ)
    trail = np.random.default_rng(SEED)
    height, push, ground = road(trail, samples), drops(trail, samples), flights(trail, samples)
    line = np.random.default_rng([SEED, number])
    height = height * (1 + 0.05 * line.standard_normal()) + 0.12 * road(line, samples)
    push = push * (1 + 0.05 * line.standard_normal())
    lag = round(WHEELBASE_M / run.speed_m_s * RATE_HZ)
    later = np.concatenate([np.zeros(lag), (height + 0.6 * push)[:-lag]])
    fork_sag, wheel_sag = 47.0 + 0.5 * line.standard_normal(), 50.0 + 0.5 * line.standard_normal()
    fork = (fork_sag + followed(height, 2.0, 0.33) * 1.25 + push) * ground
    fork = end_stop(fork, FRONT_TRAVEL_MM, 0.62, 0.42 - 0.16 * run.soft)
    air_rear = np.concatenate([np.ones(lag), ground[:-lag]])
    wheel = (wheel_sag + followed(later, 2.2, 0.30) * 1.2 + 0.8 * np.roll(push, lag)) * air_rear
    wheel = end_stop(wheel, float(TRAVELS_MM[-1]), 0.66, 0.35)
    stroke = PchipInterpolator(TRAVELS_MM, STROKES_MM)(wheel)
    return np.concatenate([still(fork_sag), fork, still(fork_sag)]), np.concatenate(
        [still(stroke[0]), stroke, still(stroke[-1])]
    )


def counts(mm: np.ndarray, ends: tuple[float, float], full_mm: float, rng: np.random.Generator) -> np.ndarray:
    """Return what a 12-bit converter reads, with a little noise."""
    reading = ends[0] + mm / full_mm * (ends[1] - ends[0]) + rng.normal(0.0, 0.8, mm.shape)
    return np.clip(np.round(reading), 0, 4095).astype(int)


def write(file: str, fork_mm: np.ndarray, stroke_mm: np.ndarray, number: int, folder: Path) -> None:
    """Write one log: milliseconds and two readings."""
    rng = np.random.default_rng([SEED, 1000 + number])
    fork = counts(fork_mm, FORK_COUNTS, FRONT_TRAVEL_MM, rng)
    shock = counts(stroke_mm, SHOCK_COUNTS, REAR_STROKE_MM, rng)
    rows = [f"{place * 1000 // RATE_HZ},{a},{b}" for place, (a, b) in enumerate(zip(fork, shock, strict=True))]
    (folder / file).write_text("t_ms,A0,A1\n" + "\n".join(rows) + "\n", encoding="ascii", newline="\n")


def main(folder: Path = FOLDER) -> None:
    """Write all logs and the leverage curve into a folder; ``ride_day.toml`` is written by hand."""
    for number, run in enumerate(RUNS, 1):
        write(run.file, *ridden(run, number), number, folder)
    rest = np.zeros(5 * RATE_HZ)
    write("lifted_1.csv", rest + 0.4, rest + 0.1, 11, folder)
    write("lifted_2.csv", rest + 0.4, rest + 0.1, 12, folder)
    write("lifted_3.csv", rest + 0.5, rest + 0.1, 14, folder)
    write("sag_1.csv", rest + 45.8, rest + 18.1, 13, folder)
    lines = [f"{stroke:.2f},{travel:.3f}" for stroke, travel in zip(STROKES_MM, TRAVELS_MM, strict=True)]
    table = "stroke_mm,travel_mm\n" + "\n".join(lines) + "\n"
    (folder / "leverage.csv").write_text(table, encoding="ascii", newline="\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER)
