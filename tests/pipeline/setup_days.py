"""Ride days of an evening's setting up: recordings off the trail with known answers, and no run unless asked for."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from tests.pipeline.small_days import RATE_HZ, make_day, write_log

ROWS = 6 * RATE_HZ
ZERO_MM, ZERO_STROKE_MM = 1.3, 0.8
SAG_MM = {"front": 43.0, "rear": 50.0}
BAND_MM = {"front": 8.0, "rear": 4.0}
BOUNCE_HZ = {"front": 2.0, "rear": 2.4}
DAMPING = {"front": 0.12, "rear": 0.20}
STATIC = """\
[[static]]
log = "lifted_1.csv"
kind = "lifted"
[[static]]
log = "sag_1.csv"
kind = "sag"
setup = "a"
load = "standing"
[[static]]
log = "settle_1.csv"
kind = "settle"
setup = "a"
from = "compressed"
[[static]]
log = "settle_2.csv"
kind = "settle"
setup = "a"
from = "extended"
[[static]]
log = "bounce_1.csv"
kind = "bounce"
setup = "a"
"""


def swinging(hertz: float, damping: float, at_mm: float) -> np.ndarray:
    """Return a push of 60 mm and the closed form of the swings that follow, x = e^(-d w t) cos(w sqrt(1 - d^2) t)."""
    time = np.arange(ROWS) / RATE_HZ - 1.0
    w = 2 * np.pi * hertz
    swings = 60 * np.exp(-damping * w * time) * np.cos(w * np.sqrt(1 - damping**2) * time)
    push = np.where(time > -0.3, 30 * (1 - np.cos(np.pi * (time + 0.3) / 0.3)), 0.0)
    return at_mm + np.where(time < 0, push, swings)


def make_setup_day(folder: Path, runs: Sequence[str] = (), extra: str = "", seconds: float = 40.0) -> Path:
    """Write lifted, sag, settle and bounce recordings, their levels from true zero; return the folder."""
    setups = "" if "a" in runs else '[setups.a]\nlabel = "20 ml"\n'
    make_day(folder, runs, extra=setups + STATIC + extra, seconds=seconds)

    def write(name: str, front_mm: float | np.ndarray, rear_mm: float | np.ndarray) -> None:
        stroke_mm = np.full(ROWS, ZERO_STROKE_MM) + np.asarray(rear_mm) / 2.5
        write_log(folder / name, np.full(ROWS, ZERO_MM) + front_mm, stroke_mm)

    write("lifted_1.csv", 0.0, 0.0)
    write("sag_1.csv", SAG_MM["front"], SAG_MM["rear"])
    write("settle_1.csv", *(SAG_MM[end] + BAND_MM[end] / 2 for end in ("front", "rear")))
    write("settle_2.csv", *(SAG_MM[end] - BAND_MM[end] / 2 for end in ("front", "rear")))
    write("bounce_1.csv", *(swinging(BOUNCE_HZ[end], DAMPING[end], 55.0) for end in ("front", "rear")))
    return folder
