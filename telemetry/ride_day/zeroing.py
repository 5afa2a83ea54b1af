"""Which lifted recording's zero holds for a sensor."""

from __future__ import annotations

from collections.abc import Sequence

from telemetry.model.day import RideDay, StaticEntry
from telemetry.model.sensor import DisplacementSensor


def lifted_in_force(day: RideDay, order: int, sensors: Sequence[DisplacementSensor]) -> StaticEntry | None:
    """Return the lifted recording whose zero holds for a sensor in the run of that order.

    Parameters
    ----------
    day : RideDay
    order : int
        Position among the day's runs, from 1.
    sensors : sequence of DisplacementSensor
        The sensor as resolved for that run, and as its setup has it: a run's own keys don't undo its setup's zero.

    Returns
    -------
    StaticEntry or None
        The latest lifted recording before the run that was made with such a sensor: a setup that replaces a sensor's
        keys needs its own.
    """
    fitting = [item for item in _lifted(day, sensors) if item.before_order <= order]
    # of two before the same run, the later one in the file holds
    return max(enumerate(fitting), key=lambda item: (item[1].before_order, item[0]))[1] if fitting else None


def lifted_next(day: RideDay, order: int, sensors: Sequence[DisplacementSensor]) -> StaticEntry | None:
    """Return the first lifted recording after the run of that order that was made with such a sensor.

    Parameters
    ----------
    day : RideDay
    order : int
        Position among the day's runs, from 1.
    sensors : sequence of DisplacementSensor
    """
    later = [item for item in _lifted(day, sensors) if item.before_order > order]
    return min(later, key=lambda item: item.before_order, default=None)


def _lifted(day: RideDay, sensors: Sequence[DisplacementSensor]) -> list[StaticEntry]:
    return [item for item in day.static if item.kind == "lifted" and item.made_with(sensors)]
