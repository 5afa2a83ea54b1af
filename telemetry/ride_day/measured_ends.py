"""Whether each measured end has what its sensor needs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from telemetry.model.day import RunEntry, Setup, StaticEntry
from telemetry.model.sensor import DisplacementSensor, Sensor

from .problems import Problems


def check_measured_ends(
    setups: Mapping[str, Setup], runs: Sequence[RunEntry], static: Sequence[StaticEntry], problems: Problems
) -> None:
    """Find measured ends without full travel, stroke sensors without leverage, two sensors at one end, and no setup.

    Setups that were neither ridden nor recorded count where nothing was.
    """
    if static and not setups:
        problems.add("setups", "none", "at least one [setups.NAME]: recordings are read with a setup's travel")
    ridden = [(setups[run.setup], run.sensors) for run in runs]
    recorded = [(setups[item.setup], item.sensors) for item in static if item.setup is not None]
    every = ridden + recorded or [(item, item.sensors) for item in setups.values()]
    for setup, sensors in {(setup.name, id(sensors)): (setup, sensors) for setup, sensors in every}.values():
        _check_sensors(setup, sensors, problems)


def _check_sensors(setup: Setup, sensors: Mapping[str, Sensor], problems: Problems) -> None:
    seen: dict[str, str] = {}
    for sensor in sensors.values():
        if not isinstance(sensor, DisplacementSensor):
            continue
        if sensor.end in seen:
            found = f"{seen[sensor.end]!r} and {sensor.name!r} both at the {sensor.end}"
            problems.add(f"sensors.{sensor.name}.end", found, "one displacement sensor an end")
        seen[sensor.end] = sensor.name
        _check_end(setup, sensor, problems)


def _check_end(setup: Setup, sensor: DisplacementSensor, problems: Problems) -> None:
    end = setup.at(sensor.end)
    if sensor.measures == "stroke" and end.leverage is None:
        found = f"a stroke sensor without leverage (setup {setup.name!r})"
        problems.add(f"sensors.{sensor.name}.measures", found, "leverage, ratio or linkage at the rear")
    elif end.full_travel_mm is None:
        needed = "travel_mm" if sensor.end == "front" else "stroke_mm with leverage, ratio or linkage; or travel_mm"
        problems.add(f"bike.{sensor.end}", f"no full travel (setup {setup.name!r})", f"{needed}, in mm")
