"""`add`: logs of a ride day's folder that the day doesn't mention yet, entered with what they are."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from telemetry.errors import CallError
from telemetry.model.day import RideDay
from telemetry.model.finding import End
from telemetry.ride_day import AddRecording, AddRun, NewLog, Proposal, logs_in, propose

from .loggers import displacement_sensors
from .recognising import recognise_logs
from .watching import last_ridden


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """What entering a folder's new logs comes to.

    Attributes
    ----------
    entered : tuple of NewLog
    proposal : Proposal or None
        The change; None where nothing is entered.
    left : tuple of str
        Which logs aren't entered, and why.
    setup : str
        What new runs are taken to be ridden with.
    """

    entered: tuple[NewLog, ...]
    proposal: Proposal | None
    left: tuple[str, ...]
    setup: str


def new_in(day: RideDay) -> tuple[tuple[NewLog, ...], tuple[str, ...]]:
    """Return the logs of a day's folder that it doesn't mention, and which others can't be read.

    Parameters
    ----------
    day : RideDay
    """
    found, failed = recognise_logs(day, [path for path in logs_in(day.folder) if path not in day.logs])
    return found, tuple(error.line for error in failed)


def add_logs(day: RideDay, found: Sequence[NewLog], setup: str | None = None) -> Added:
    """Return what entering new logs changes in a ride day's file; nothing is written yet.

    Parameters
    ----------
    day : RideDay
    found : sequence of NewLog
    setup : str, optional
        What the new runs were ridden with; else as the last run, with a question beside it in the file.

    Raises
    ------
    CallError
        If there is no such setup, or none at all; or the file has a form that can't be changed.
    """
    if setup is not None and setup not in day.setups:
        raise CallError("--setup", f"no setup {setup!r}", f"one of {', '.join(day.setups) or 'none'}")
    own = setup or last_ridden(day)
    if own is None:
        raise CallError(day.path.name, "no setup", "[setups] with one at least", "write down what is ridden")
    why = {item: _why_not(item, day, found) for item in found}
    entered = tuple(item for item in found if not why[item])
    edits = [_edit(item, day, own, known=setup is not None or len(day.setups) == 1) for item in entered]
    return Added(
        entered=entered,
        proposal=propose(day, edits) if edits else None,
        left=tuple(f"{item.log.name}: {reason}" for item, reason in why.items() if reason),
        setup=own,
    )


def _why_not(item: NewLog, day: RideDay, found: Sequence[NewLog]) -> str:
    """Return why a log isn't entered; empty where it is."""
    if item.lacking and (item.what.kind == "run" or not _ends_read(item, day)):
        return f"the columns of {', '.join(item.lacking)} aren't in it"
    if item.what.disagree:
        return item.what.question
    runs = day.runs or any(other.what.kind == "run" for other in found)
    if item.after_all and item.what.kind == "lifted" and runs:
        return (
            "a lifted recording counts for the runs after it, and none is there yet: add it together with the next run"
        )
    return ""


def _edit(item: NewLog, day: RideDay, setup: str, *, known: bool) -> AddRun | AddRecording:
    what = item.what
    if what.kind == "run":
        return AddRun(
            log=item.log.name,
            rear_log="" if item.rear_log is None else item.rear_log.name,
            setup=setup,
            started_at=item.started_at or dt.datetime.fromtimestamp(item.log.stat().st_mtime),  # noqa: DTZ006
            more={} if item.rear_log is None else {"name": item.name},
            asked="" if known else f"was it ridden with {setup}, as the last run?",
        )
    own = next((run.setup for run in day.runs if run.name == item.before_run), setup)
    read = _ends_read(item, day)
    end = item.end or (read[0] if item.lacking and len(read) == 1 else None)
    more = {"setup": own, "before_run": item.before_run, "load": what.load, "from": what.let_go, "end": end}
    return AddRecording(log=item.log.name, kind=what.kind, more=more, asked=what.question)


def _ends_read(item: NewLog, day: RideDay) -> list[End]:
    """Return the ends of which a log holds the sensor's column."""
    return [sensor.end for sensor in displacement_sensors(day.sensors) if sensor.name not in item.lacking]
