"""`bench`: what the parts of each setup do, worked out from the file alone."""

from __future__ import annotations

from telemetry.errors import CallError
from telemetry.model.bench import Bench, EndBench, Lacking, SetupBench
from telemetry.model.day import RideDay, Setup
from telemetry.telling.bench import bench_sheet

from .study import baseline_of


def bench(day: RideDay) -> Bench:
    """Work out what the parts of every setup do; a day without logs or runs will do.

    Parameters
    ----------
    day : RideDay

    Returns
    -------
    Bench
        ``.to_dict()`` is the JSON of ``telemetry bench --json``.

    Raises
    ------
    CallError
        If the day has no setup.
    """
    if not day.setups:
        remedy = "write one as [setups.NAME]; [bike.front] and [bike.rear] hold what all setups share"
        raise CallError(str(day.path), "no setup", "at least one", remedy)
    baseline = baseline_of(day)
    names = sorted(day.setups, key=lambda name: name != baseline)
    return Bench(day=day, setups=tuple(_of_setup(day.setups[name]) for name in names), tell=bench_sheet)


def _of_setup(setup: Setup) -> SetupBench:
    """Return a setup's answer, part by part.

    A part of an end is worked out in `_of_end`; one of the whole bike, which may need both ends' sag, here.
    """
    absent: list[Lacking] = []
    return SetupBench(
        name=setup.name,
        label=setup.label,
        front=EndBench(end="front"),
        rear=EndBench(end="rear"),
        absent=tuple(absent),
    )
