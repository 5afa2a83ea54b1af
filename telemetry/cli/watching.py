"""How what a watched folder tells is laid out on a terminal."""

from __future__ import annotations

from telemetry.pipeline import DayChecked, LogChecked, RecordingChecked, Trouble
from telemetry.ride_day import kind_in_words
from telemetry.telling.logs import recording_values, verdict_of

from .checks import check_sheet, checked, findings_of
from .tables import say, say_json


def watched(told: DayChecked | LogChecked | RecordingChecked | Trouble, *, as_json: bool, notes: bool = False) -> None:
    """Print what a watched folder tells: for programs one JSON object a line."""
    if as_json:
        answer = checked(told.analysis) if isinstance(told, DayChecked) else told.to_dict()
        say_json(answer, indent=None)
    elif isinstance(told, DayChecked):
        check_sheet(told.analysis, notes=notes)
        say("waiting for logs; Ctrl-C ends it")
    elif isinstance(told, Trouble):
        say(told.line)
    elif isinstance(told, RecordingChecked):
        _new_recording(told, notes=notes)
    elif not told.setup:
        say(f"{told.log}: not judged, for the ride day has no setup yet")
    else:
        say(f"{told.log} (not in the ride day yet, judged as a run with {told.setup}): {verdict_of(told)}")
        if told.question:
            say(told.question, indent=2)
        findings_of(told.findings, notes=notes)


def _new_recording(told: RecordingChecked, *, notes: bool) -> None:
    """Print a recording that isn't in the ride day yet: what it is, where it belongs, its worth and what it gave."""
    new = told.new
    where = f", made before {new.before_run}" if new.before_run else ", made after every run" if new.after_all else ""
    what = f"{kind_in_words(new.what.kind)}, {'by its name' if new.what.sure else 'by what it looks like'}{where}"
    say(f"{new.log.name} (not in the ride day yet: {what}): {told.found.usable}")
    if new.what.question:
        say(new.what.question, indent=2)
    for line in recording_values(told.day, told.found):
        say(line, indent=2)
    findings_of(told.found.findings, notes=notes)
