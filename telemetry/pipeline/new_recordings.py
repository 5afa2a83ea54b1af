"""A recording made off the trail that the ride day doesn't mention yet: told what it is, and what comes of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from telemetry.model.analysis import StaticAnalysis
from telemetry.model.day import RideDay, StaticEntry
from telemetry.ride_day import NewLog

from .recordings import analyse_recordings
from .rides import Rides
from .studied import Study


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordingChecked:
    """One recording, judged as if it were entered with the setup ridden last.

    Attributes
    ----------
    new : NewLog
    day : RideDay
        With the recording in it.
    found : StaticAnalysis
    """

    new: NewLog
    day: RideDay
    found: StaticAnalysis

    def to_dict(self) -> dict[str, object]:
        """Return the recording as it stands in JSON."""
        asked = {"question": self.new.what.question} if self.new.what.question else {}
        return {**self.found.to_dict(), "before_run": self.new.before_run, "usable": self.found.usable, **asked}


def check_recording(done: Study, new: NewLog, setup: str) -> RecordingChecked:
    """Judge a recording that the ride day doesn't mention.

    Parameters
    ----------
    done : Study
    new : NewLog
        A recording.
    setup : str
        The setup it is taken to be made with.

    Raises
    ------
    LogError
        If it can't be read.
    """
    day, what = done.day, new.what
    if what.kind == "run":
        raise ValueError("a run is no recording")
    orders = {run.name: run.order for run in day.runs}
    item = StaticEntry(
        log=new.log,
        kind=what.kind,
        setup=setup,
        sensors=day.setups[setup].sensors,
        before_order=len(day.runs) + 1 if new.after_all else orders.get(new.before_run or "", 1),
        load=what.load,
        settled_from=what.let_go,
    )
    with_it = replace(day, static=(*day.static, item), cutoff_hz=done.rides.low_pass.cutoff_hz)
    found = analyse_recordings(Rides(with_it, done.rides.logs))[-1]
    return RecordingChecked(new=new, day=with_it, found=found)
