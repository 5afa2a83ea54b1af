"""How often a change is seen on days of inertial sensors alone: where nothing was changed, and where damping was.

    python -m tests.benchmarks.inertial_days                 # 40 days of each, 3 + 3 runs; half an hour
    python -m tests.benchmarks.inertial_days --days 10 --seed 7

Every day is an invented bike on a natural trail of its own, ridden for about a minute a run, with drawn sensors: on
wheel and chassis at both ends or at the front alone, 200 to 1000 rows a second, cases put on askew. It is written as
logs, read and compared as a tuner's would be. Prints the days with any "changed" beside what 5 % allows by luck, and,
of days on which one or both dampers got 15 % lighter, those with a row "changed" at such an end, beside the 80 % that
are asked for. The exit code is 1 where either fails beyond luck.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from scipy import stats

import telemetry
from telemetry.model.comparison import Result
from telemetry.model.finding import ENDS, End
from telemetry.simulation.day_made import make_day
from telemetry.simulation.natural_ride import natural_scenario

ORDER = ["a", "b", "b", "a", "a", "b"]
LIGHTER = 0.85
ALLOWED, ASKED = 0.05, 0.80
RIDDEN_S = 60.0
WHEEL_RANGES_G = (16, 32, 64, 100)


@dataclass(frozen=True, slots=True)
class DrawnDay:
    """Keys of a scenario, and the ends at which the other setup's dampers are lighter."""

    change: Mapping[str, Any]
    lighter: tuple[End, ...]


def _bike(rng: np.random.Generator) -> dict[str, Any]:
    """Return a bike: springs, dampers and masses each up to a fifth off the built-in one's, as bikes differ."""

    def about(value: float, share: float = 0.2) -> float:
        return float(round(value * rng.uniform(1 - share, 1 + share), 3))

    ends = {
        "front": {"compression_below_n_s_m": 500, "compression_above_n_s_m": 300, "rebound_below_n_s_m": 1100}
        | {"rebound_above_n_s_m": 400, "friction_n": 25, "tyre_n_mm": 95, "unsprung_kg": 3.4},
        "rear": {"compression_below_n_s_m": 6500, "compression_above_n_s_m": 2900, "rebound_below_n_s_m": 7500}
        | {"rebound_above_n_s_m": 3000, "friction_n": 30, "tyre_n_mm": 110, "unsprung_kg": 3.9},
    }
    drawn = {end: {key: about(value) for key, value in keys.items()} for end, keys in ends.items()}
    return {"frame_kg": float(rng.uniform(19, 30)), **drawn}


def _sensor(rng: np.random.Generator, rate_hz: float, full_scale_g: float, own: dict[str, Any]) -> dict[str, Any]:
    """Return an inertial sensor: askew by up to 30 degrees, biased; three in four have a low-pass."""
    smoothed = rng.random() < 0.75
    return {
        "full_scale_g": full_scale_g,
        "acceleration_unit": str(rng.choice(["g", "m/s2", "milli-g", "counts"])),
        "acceleration_noise_m_s2_rthz": float(rng.uniform(0.001, 0.004)),
        "acceleration_bias_m_s2": rng.uniform(-0.1, 0.1, 3).tolist(),
        "rotation_bias_deg_s": rng.uniform(-0.6, 0.6, 3).tolist(),
        "misalignment_deg": [float(rng.uniform(-5, 5)), float(rng.uniform(-30, 30)), float(rng.uniform(-5, 5))],
        **({"low_pass_hz": 0.4 * rate_hz} if smoothed else {}),
        **own,
    }


def _logger(rng: np.random.Generator, ends: tuple[End, ...]) -> dict[str, Any]:
    rate_hz = float(rng.choice([200, 320, 500, 1000]))
    at_stem = {"at": str(rng.choice(["front", "bar"]))}
    sensors = {
        "chassis_imu": _sensor(rng, rate_hz, float(rng.choice([16, 32])), at_stem),
        "wheel_imu": _sensor(rng, rate_hz, float(rng.choice(WHEEL_RANGES_G)), {"rotation": bool(rng.random() < 0.5)}),
        "rear_chassis_imu": _sensor(rng, rate_hz, float(rng.choice([16, 32])), {}),
        "rear_wheel_imu": _sensor(rng, rate_hz, float(rng.choice(WHEEL_RANGES_G)), {}),
    }
    kept = {name: sensors[name] if "rear" in ends or "rear" not in name else None for name in sensors}
    return {"rate_hz": rate_hz, "fork": None, "shock": None, **kept}


def drawn_day(seed: int, *, changed: bool, ridden_s: float = RIDDEN_S) -> DrawnDay:
    """Return a day's keys, drawn from its seed; with `changed`, lighter dampers at one of the measured ends or both."""
    rng = np.random.default_rng(seed)
    bike = _bike(rng)
    ends: tuple[End, ...] = ENDS if rng.random() < 0.7 else ("front",)
    choices: tuple[tuple[End, ...], ...] = (ENDS, ("front",), ("rear",))
    lighter = ends if len(ends) == 1 else choices[int(rng.integers(3))]
    speed_m_s = float(rng.uniform(6.5, 8.5))
    natural = {
        "length_m": round(0.8 * speed_m_s * ridden_s),
        "speed_m_s": speed_m_s,
        "road_class": str(rng.choice(["C", "D"])),
        "rocks_per_100_m": float(rng.uniform(4, 12)),
        "roots_per_100_m": float(rng.uniform(4, 12)),
    }
    apart = {"written": {"valving": "taken apart and put together again"}}
    lighter_too = {"viscosity_share": LIGHTER, **apart}
    other: dict[str, object] = dict.fromkeys(lighter if changed else ends, lighter_too if changed else apart)
    change = {
        "day": {
            "title": "A day of inertial sensors",
            "seed": seed,
            "order": ORDER,
            "speed_spread_percent": float(rng.uniform(0.3, 0.6)),
            "stance_spread_mm": float(rng.uniform(3, 8)),
        },
        "trail": {"line_percent": float(rng.uniform(1, 2)), "natural": natural},
        "bike": bike,
        "logger": _logger(rng, ends),
        "recordings": [{"kind": "still"}],
        "setups": {"b": other},
        "comparison": {"baseline": "a", "candidates": ["b"]},
    }
    return DrawnDay(change=change, lighter=lighter if changed else ())


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparedDay:
    """What the program said of a day: its rows that could be judged, and the ends with lighter dampers."""

    lighter: tuple[End, ...]
    rows: tuple[Result, ...]

    @property
    def changed(self) -> list[str]:
        """The rows called "changed"."""
        return [f"{row.measure}:{row.end}" for row in self.rows if row.verdict == "changed"]

    @property
    def found(self) -> list[str]:
        """Those of them at an end with a lighter damper."""
        return [name for name in self.changed if name.rsplit(":", 1)[1] in self.lighter]


def compared_day(day: DrawnDay, seed: int) -> ComparedDay:
    """Simulate a day, write its logs, read them and compare."""
    with tempfile.TemporaryDirectory() as place:
        make_day(natural_scenario(seed, day.change), Path(place) / "day")
        compared = telemetry.compare(telemetry.read_ride_day(Path(place) / "day"))
    judged = tuple(row for row in compared.verdicts.results if row.difference is not None)
    if not judged:
        raise RuntimeError(f"seed {seed}: no row could be judged; expected those of acceleration")
    return ComparedDay(lighter=day.lighter, rows=judged)


def _by_and_within(row: Result) -> tuple[float, float]:
    """Return by how much a row moved, and half its 90 % interval: %, points of a share."""
    ends = row if row.percent is None else row.percent
    if ends.difference is None or ends.inner_low is None or ends.inner_high is None:
        return np.nan, np.nan
    return ends.difference, (ends.inner_high - ends.inner_low) / 2


def row_lines(lighter: Sequence[ComparedDay], same: Sequence[ComparedDay]) -> list[str]:
    """Return how each row moves where dampers are lighter, how well a day knows it, and how often it is told."""
    moved: dict[str, list[Result]] = defaultdict(list)
    for day in lighter:
        for row in day.rows:
            if row.end in day.lighter:
                moved[row.measure].append(row)
    false = [row.measure for day in same for row in day.rows if row.verdict == "changed"]
    lines = [f"{'row':38} {'ends':>4} {'moves by':>9} {'known to':>9} {'changed':>8} {'unchanged':>10} {'false':>6}"]
    for name, rows in sorted(moved.items()):
        by, within = np.nanmedian([_by_and_within(row) for row in rows], axis=0)
        changed, unchanged = (sum(row.verdict == told for row in rows) for told in ("changed", "unchanged"))
        figures = f"{by:+9.1f} {within:9.1f} {changed:8d} {unchanged:10d} {false.count(name):6d}"
        lines.append(f"{name:38} {len(rows):4d} {figures}")
    return lines


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1000)
    asked = parser.parse_args()
    same, lighter = [], []
    for seed in range(asked.seed, asked.seed + asked.days):
        same.append(compared_day(drawn_day(seed, changed=False), seed))
        lighter.append(compared_day(drawn_day(seed, changed=True), seed))
        told = ", ".join(lighter[-1].found) or "nothing"
        print(f"{seed}: 15 % lighter {' and '.join(lighter[-1].lighter)}: {told}", end="", flush=True)
        print(f"; nothing changed: {', '.join(same[-1].changed) or 'nothing'}", flush=True)
    wrong, found = sum(bool(day.changed) for day in same), sum(bool(day.found) for day in lighter)
    most, least = stats.binom.ppf(0.975, asked.days, ALLOWED), stats.binom.ppf(0.025, asked.days, ASKED)
    print("", *row_lines(lighter, same), "", sep="\n")
    print(f'nothing changed: {wrong} of {asked.days} days with any "changed" (5 % asked for, by luck up to {most:.0f})')
    print(f"15 % lighter: found on {found} of {asked.days} days (80 % asked for, by luck down to {least:.0f})")
    return int(wrong > most or found < least)


if __name__ == "__main__":
    sys.exit(main())
