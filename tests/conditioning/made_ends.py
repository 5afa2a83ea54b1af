"""Sensors and setups that conditioning is tested with: a fork with a 12 bit converter, a shock with a curve."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from telemetry.conditioning import EndRecipe, RideRecipe, Zero
from telemetry.model.day import EndSetup, LeverageTable
from telemetry.model.log import Log
from telemetry.model.ride import Ride
from telemetry.model.sensor import DisplacementSensor
from telemetry.pipeline.rides import clean
from tests.measures.made_rides import made_log

FRONT_MM, STROKE_MM, REAR_MM = 170.0, 60.0, 158.4
FORK_POINTS = ((100.0, 0.0), (3500.0, 170.0))  # 0.05 mm a reading
SHOCK_POINTS = ((3900.0, 0.0), (900.0, 60.0))  # falls as the shock shortens, 0.02 mm a reading
CURVE = LeverageTable(
    stroke_mm=tuple(np.linspace(0, STROKE_MM, 13).tolist()),
    travel_mm=tuple(2.94 * s - 0.005 * s**2 for s in np.linspace(0, STROKE_MM, 13).tolist()),
    source="curve.csv",
)


def curve_travel_mm(stroke_mm: np.ndarray) -> np.ndarray:
    """Return the wheel travel that CURVE's points lie on; its ratio falls from 2.94 to 2.34."""
    return 2.94 * stroke_mm - 0.005 * stroke_mm**2


def fork(points: Sequence[tuple[float, float]] = FORK_POINTS, **keys: object) -> DisplacementSensor:
    return DisplacementSensor(
        name="fork",
        end="front",
        column="A0",
        measures="travel",
        points=tuple(points),
        **keys,  # type: ignore[arg-type]
    )


def shock(points: Sequence[tuple[float, float]] = SHOCK_POINTS, **keys: object) -> DisplacementSensor:
    return DisplacementSensor(
        name="shock",
        end="rear",
        column="A1",
        measures="stroke",
        points=tuple(points),
        **keys,  # type: ignore[arg-type]
    )


def front_end(sensor: DisplacementSensor | None = None, zero: Zero | None = None):
    setup = EndSetup(end="front", full_travel_mm=FRONT_MM, full_travel_from="measured_travel_mm")
    return EndRecipe(sensor=sensor or fork(), setup=setup, zero=zero)


def rear_end(sensor: DisplacementSensor | None = None, zero: Zero | None = None):
    setup = EndSetup(
        end="rear", full_travel_mm=REAR_MM, full_travel_from="leverage", stroke_mm=STROKE_MM, leverage=CURVE
    )
    return EndRecipe(sensor=sensor or shock(), setup=setup, zero=zero)


def ride_of(log: Log, *ends: EndRecipe, cutoff_hz: float = 60.0, **keys: object) -> Ride:
    return clean(log, RideRecipe(name="run_1", setup="a", ends=ends, cutoff_hz=cutoff_hz, **keys))  # type: ignore[arg-type]


def front_ride(readings: np.ndarray, rate_hz: float = 500.0, end: EndRecipe | None = None) -> Ride:
    """Return a ride of the fork's readings."""
    return ride_of(made_log({"A0": np.asarray(readings, dtype=float)}, rate_hz), end or front_end())


def codes(ride: Ride) -> list[str]:
    return [finding.code for finding in ride.findings]
