"""Whether there is enough riding, and what else is to be said of a run as a whole."""

from __future__ import annotations

from telemetry.mechanics.bottoming_line import bottoming_line_mm
from telemetry.model.day import EndSetup, RunEntry
from telemetry.model.finding import Finding
from telemetry.model.motion import RidingTime
from telemetry.model.ride import EndSignal, Ride
from telemetry.model.sensor import DisplacementSensor, InertialSensor, columns_of

SHORT_RUN_S = 30.0
NOT_RIDING_S = 5.0
BEYOND_S = 0.5


def _riding_time(run: RunEntry, riding_s: float, log_s: float) -> tuple[Finding, ...]:
    name = run.name
    if riding_s < NOT_RIDING_S:
        message = f"{name}: {riding_s:.1f} s of riding (at least {NOT_RIDING_S:g} s needed); ride again"
        if (run.start_s or 0.0) + NOT_RIDING_S > log_s or (run.end_s or log_s) < NOT_RIDING_S:
            start, end = run.start_s or 0.0, log_s if run.end_s is None else run.end_s
            message = (
                f"{name}: {riding_s:.1f} s of riding (at least {NOT_RIDING_S:g} s needed) from start_s, {start:g} s, "
                f"to end_s, {end:g} s, of a log of {log_s:.1f} s; correct start_s and end_s, or ride again"
            )
        return (Finding(code="not_riding", message=message),)
    if riding_s < SHORT_RUN_S:
        message = (
            f"{name}: {riding_s:.1f} s of riding (limit {SHORT_RUN_S:g} s); rare events and slow measures say little"
            ": choose a longer stretch of trail"
        )
        return (Finding(code="short_run", message=message),)
    return ()


def _beyond_the_log(run: RunEntry, log_s: float) -> tuple[Finding, ...]:
    """Find a stated end that the log doesn't reach: it was cut off, or belongs to another run."""
    if run.end_s is None or run.end_s <= log_s + BEYOND_S:
        return ()
    message = (
        f"{run.name}: end_s, {run.end_s:g} s, lies beyond the log's end, {log_s:.2f} s: the log was cut off, or is "
        "another; what there is of it is measured: look at the file, then correct end_s or copy the log again"
    )
    return (Finding(code="end_beyond_log", message=message, second=log_s),)


def _same_column(run: RunEntry) -> tuple[Finding, ...]:
    """Find front and rear read from one column: a slip of the pen, unless it is meant."""
    columns = [sensor.column for sensor in run.sensors.values() if isinstance(sensor, DisplacementSensor)]
    twice = next((column for column in columns if columns.count(column) > 1), None)
    if twice is None or run.rear_log is not None:
        return ()
    message = (
        f"{run.name}: both ends read column {twice!r} (a column each is expected), so front against rear says nothing; "
        "check `column` of both sensors"
    )
    return (Finding(code="same_column", message=message),)


def _same_axes(run: RunEntry) -> tuple[Finding, ...]:
    """Find a column that stands for two axes of inertial sensors: a slip of the pen, never meant."""
    sensors = [sensor for sensor in run.sensors.values() if isinstance(sensor, InertialSensor)]
    columns = [(sensor.end if run.rear_log else None, column) for sensor in sensors for column in columns_of(sensor)]
    twice = next((column for column in columns if columns.count(column) > 1), None)
    if twice is None:
        return ()
    message = (
        f"{run.name}: two axes of inertial sensors read column {twice[1]!r} (a column each is expected), so one "
        "of them tells what isn't its own; check `columns` of the sensors"
    )
    return (Finding(code="same_column", message=message),)


def bottoming_untold(name: str, signal: EndSignal, time: RidingTime, setup: EndSetup) -> tuple[Finding, ...]:
    """Find an end that went so deep, short of the line, that what isn't known of zero and full travel decides.

    Parameters
    ----------
    name : str
        The run's.
    signal : EndSignal
    time : RidingTime
    setup : EndSetup
        The same end's.
    """
    line = bottoming_line_mm(signal.full_travel_mm, signal.bumper_touch_mm)
    deepest = float(signal.cleaned_mm[time.riding].max(initial=0.0))
    if not line - signal.unsure_mm <= deepest < line:
        return ()
    what = "the stated travel" if setup.is_stated else "full travel"
    remedy = "measure full travel by hand" if setup.is_stated else "lift both wheels for 5 s and record it"
    message = (
        f"{name}, {signal.end}: its deepest point stands {signal.full_travel_mm - deepest:.1f} mm short of {what}, "
        f"{signal.full_travel_mm:.0f} mm: as zero and full travel are known to {signal.unsure_mm:.1f} mm only, whether "
        f"it bottomed can't be told; {remedy}"
    )
    return (Finding(code="bottoming_untold", message=message, end=signal.end),)


def run_findings(run: RunEntry, ride: Ride, time: RidingTime, ends: tuple[EndSetup, ...]) -> tuple[Finding, ...]:
    """Return what is to be said of a run as a whole.

    Parameters
    ----------
    run : RunEntry
    ride : Ride
    time : RidingTime
    ends : tuple of EndSetup
        The measured ends.
    """
    found = list(
        _riding_time(run, round(time.riding_s, 2), float(ride.time_s[-1]))
    )  # a clock's last digits make no run short
    found.extend(_beyond_the_log(run, float(ride.time_s[-1])))
    found.extend(_same_column(run))
    found.extend(_same_axes(run))
    for end in ends:
        if end.end == "front" and end.is_stated:
            message = (
                f"{run.name}, front: bottoming is counted against the stated travel, {end.full_travel_mm:.0f} mm; "
                "measure it by hand (air out or coil off) and state measured_travel_mm"
            )
            found.append(Finding(code="travel_is_stated", message=message, end="front"))
        if end.end in ride.ends:
            found.extend(bottoming_untold(run.name, ride.ends[end.end], time, end))
    return tuple(found)
