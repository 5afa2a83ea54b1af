"""Small ride days on disk for tests of the whole program."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

RATE_HZ = 250
FRONT_MM = 160.0
HEAD = """\
[ride_day]
title = "{title}"
date = 2026-05-16
[bike]
name = "Test mule"
wheelbase_mm = 1250
head_angle_deg = 64
[bike.front]
travel_mm = 160
[bike.rear]
stroke_mm = 60
ratio = 2.5
[log]
time = {{ column = "t_ms", unit = "ms" }}
[sensors.fork]
kind = "displacement"
end = "front"
column = "A0"
points = [[100, 0.0], [3300, 160.0]]
[sensors.shock]
kind = "displacement"
end = "rear"
measures = "stroke"
column = "A1"
points = [[200, 0.0], [3200, 60.0]]
"""


def trail(seconds: float, seed: int, deeper_mm: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    """Return front travel and shock stroke of a run: the same bumps each time, a line of its own, some deeper."""
    count = round(seconds * RATE_HZ)
    bumps, line = np.random.default_rng(1), np.random.default_rng(seed)
    rough = np.convolve(bumps.standard_normal(count), np.hanning(31), "same")
    rough = rough / rough.std() + 0.04 * np.convolve(line.standard_normal(count), np.hanning(31), "same")
    front = 45 + deeper_mm + 0.4 * line.standard_normal() + 13 * rough
    rear = 45 + 0.4 * line.standard_normal() + 13 * np.roll(rough, 50)
    return np.clip(front, 0.5, 159), np.clip(rear, 0.5, 149) / 2.5


def write_log(path: Path, front_mm: np.ndarray, stroke_mm: np.ndarray) -> None:
    time_ms = np.arange(front_mm.shape[0]) * 1000 // RATE_HZ
    rows = np.rint([time_ms, 100 + front_mm * 20, 200 + stroke_mm * 50]).astype(int).T
    path.write_text("t_ms,A0,A1\n" + "%d,%d,%d\n" * len(rows) % tuple(rows.ravel().tolist()), encoding="ascii")


def make_day(
    folder: Path,
    setups: Sequence[str],
    *,
    labels: Mapping[str, str] | None = None,
    deeper_mm: Mapping[str, float] | None = None,
    seconds: float = 40.0,
    extra: str = "",
) -> Path:
    """Write a day with one run of each entry of `setups`, in that order; return its folder."""
    folder.mkdir(parents=True, exist_ok=True)
    text = [HEAD.format(title="A test day")]
    for place, name in enumerate(dict.fromkeys(setups)):
        label = (labels or {}).get(name, f"setup {name}")
        text.append(f"[setups.{name}]\nlabel = {label!r}\n[setups.{name}.front]\nair_pressure_bar = {6 + place}\n")
    for number, name in enumerate(setups, 1):
        write_log(folder / f"run_{number}.csv", *trail(seconds, number, (deeper_mm or {}).get(name, 0.0)))
        text.append(f'[[runs]]\nlog = "run_{number}.csv"\nsetup = "{name}"\n')
    (folder / "ride_day.toml").write_text("\n".join([*text, extra]), encoding="utf-8")
    return folder
