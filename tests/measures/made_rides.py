"""Rides made of given wheel travel, cleaned as any log is: what measures are tested on."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np

from telemetry.conditioning import EndRecipe, RideRecipe
from telemetry.measures import RunMotion, find_motion
from telemetry.model.day import EndSetup, LeverageTable
from telemetry.model.finding import End
from telemetry.model.log import Log
from telemetry.model.ride import Ride
from telemetry.model.sensor import DisplacementSensor
from telemetry.pipeline.rides import clean

FRONT_MM, REAR_MM = 170.0, 160.0


def made_log(
    columns: Mapping[str, np.ndarray], rate_hz: float, segments: tuple[tuple[int, int], ...] | None = None
) -> Log:
    count = next(iter(columns.values())).shape[0]
    return Log(
        path=Path("made.csv"),
        time_s=np.arange(count) / rate_hz,
        columns=dict(columns),
        rate_hz=rate_hz,
        even=True,
        segments=segments or ((0, count),),
        gap_s=0.0,
        stamp_resolution_s=1e-3,
        first_row=2,
        source_rows=None,
        first_stamp=None,
        findings=(),
        history=(),
    )


def recipe(end: End, bumper_mm: float | None = None) -> EndRecipe:
    full = FRONT_MM if end == "front" else REAR_MM
    leverage = LeverageTable(stroke_mm=(0.0, 64.0), travel_mm=(0.0, REAR_MM), source="ratio = 2.5")
    return EndRecipe(
        sensor=DisplacementSensor(name=end, end=end, column=end, measures="travel", points=((0.0, 0.0), (full, full))),
        setup=EndSetup(
            end=end,
            full_travel_mm=full,
            full_travel_from="measured_travel_mm",
            stroke_mm=64.0 if end == "rear" else None,
            bumper_touch_mm=bumper_mm,
            leverage=leverage if end == "rear" else None,
        ),
    )


def made_ride(
    travel_mm: Mapping[End, np.ndarray],
    rate_hz: float = 500.0,
    *,
    segments: tuple[tuple[int, int], ...] | None = None,
    bumper_mm: float | None = None,
    bounds_s: tuple[float | None, float | None] = (None, None),
) -> Ride:
    log = made_log({end: np.asarray(values, dtype=float) for end, values in travel_mm.items()}, rate_hz, segments)
    plan = RideRecipe(
        name="made",
        setup="a",
        ends=tuple(recipe(end, bumper_mm) for end in travel_mm),
        cutoff_hz=60.0,
        start_s=bounds_s[0],
        end_s=bounds_s[1],
    )
    return clean(log, plan)


def made_motion(travel_mm: Mapping[End, np.ndarray], rate_hz: float = 500.0, **options: object) -> RunMotion:
    return find_motion(made_ride(travel_mm, rate_hz, **options))  # type: ignore[arg-type]


def half_cosine(low: float, high: float, seconds: float, rate_hz: float = 500.0) -> np.ndarray:
    """Return a stroke from low to high, still at both ends; its peak speed is pi (high - low) / (2 seconds)."""
    count = round(seconds * rate_hz)
    return low + (high - low) * (1 - np.cos(np.pi * np.arange(1, count + 1) / count)) / 2


def path(*corners: tuple[float, float], start: float = 0.0, rate_hz: float = 500.0) -> np.ndarray:
    """Return half-cosine strokes through corners (level in mm, seconds to get there)."""
    parts = [np.array([start])]
    level = start
    for target, seconds in corners:
        parts.append(half_cosine(level, target, seconds, rate_hz))
        level = target
    return np.concatenate(parts)
