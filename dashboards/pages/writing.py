"""A change to the day's file: asked for on a page, shown as lines that come and go, then written."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from operator import itemgetter
from urllib.parse import urlencode

from telemetry.errors import CallError, TelemetryError, clean_text
from telemetry.model.catalogue import named_rows, stated_rows
from telemetry.model.day import RideDay
from telemetry.ride_day import Bounds, ChangedFileError, ChangeSetup, Edit, LeaveOut, NameFocus, Proposal, propose

from . import entering, entries, marking, settings
from .fields import Fields, mistakes_of, seconds_of
from .new_logs import made_at, new_log

PAGE = "write"
ENTRIES = ("enter", "run")
"""What an entered log is asked for by; the second word says it is a run."""
NAMED_LATE = "Named after the first run: this is told with the result, for what decides is best named before riding."
LONGEST_SHOWN = dt.timedelta(minutes=10)
"""Own choice: whoever names what decides names it now, not when the page was opened."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """Why what was shown isn't written: in a line, and what has become of the file since.

    Attributes
    ----------
    since : tuple of (sign, text)
        Lines that have come and gone in the file.
    trouble : str
        What is wrong with the file as it is; empty where nothing is.
    """

    line: str
    since: tuple[tuple[str, str], ...] = ()
    trouble: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A proposal as it is shown, and by what it is asked for again when it is to be written.

    `at` is the moment that goes into the file with it, where one does; `refusal` says why it can't be written.
    """

    proposal: Proposal
    fields: Fields
    title: str
    at: dt.datetime
    refusal: Refusal | None = None

    def link(self, day: str) -> str:
        """Return the link that asks for the same of the day as it will be then."""
        return f"?{urlencode([('day', day), ('page', PAGE), *self.fields])}"


def _bounds(name: str, one: Mapping[str, str]) -> Bounds:
    return Bounds(
        run=name,
        start_s=seconds_of(one.get("start", ""), f"the start of {name}"),
        end_s=seconds_of(one.get("end", ""), f"the end of {name}"),
    )


def moment_of(day: RideDay, fields: Fields, now: dt.datetime) -> dt.datetime:
    """Return the moment that goes into the file with what is asked for: a new run's, else now.

    Raises
    ------
    CallError
        If there is no such new log.
    """
    one = dict(fields)
    return made_at(new_log(day, one.get("name", ""))) if one.get("what") in ENTRIES else now


def outlived(day: RideDay, shown: Shown, now: dt.datetime) -> Refusal | None:
    """Return why what was shown no longer holds, though the file is as it was; None where it holds.

    Raises
    ------
    CallError
        If there is no such new log any more.
    """
    what, name = (dict(shown.fields).get(key, "") for key in ("what", "name"))
    if what == "focus" and not dt.timedelta() <= now - shown.at <= LONGEST_SHOWN:
        return Refusal(line="This was shown a while ago, and the time goes into the file. Look at it again")
    if what in ENTRIES and moment_of(day, shown.fields, now) != shown.at:
        return Refusal(line=f"{clean_text(name, longest=80)} was written again since this was shown. Look at it again")
    return None


def notice_of(day: RideDay, fields: Fields) -> str:
    """Return what is to be known before such a change is written; empty where nothing is."""
    what = dict(fields).get("what", "")
    return {"focus": NAMED_LATE, "stretch": marking.PLACED_LATE}.get(what, "") if day.runs else ""


def template_of(shown: Shown) -> str:
    """Return the template that tells it: to be written, or why not."""
    return "write.html" if shown.refusal is None else "unwritten.html"


def refused(shown: Shown, error: ChangedFileError) -> Shown:
    """Return what was shown with what has become of its file."""
    line = f"{shown.proposal.path.name} is not the file that this was made from"
    if not error.since and not error.trouble:
        line += ": line ends, or a byte order mark, are others"
    return replace(shown, refusal=Refusal(line=line, since=error.since, trouble=error.trouble))


def show(day: RideDay, fields: Fields, at: dt.datetime) -> Shown:
    """Return the change that a page asks for, to be looked at; what was asked too where the file has changed.

    Parameters
    ----------
    day : RideDay
    fields : sequence of (name, value)
    at : datetime
        With a zone: what `moment_of` gave.

    Raises
    ------
    CallError, RideDayError
        If what is asked for makes no sense, or the day would be wrong with it.
    """
    edits, title = _edits(day, fields, at)
    try:
        return Shown(proposal=propose(day, edits), fields=fields, title=title, at=at)
    except ChangedFileError as error:
        return refused(Shown(proposal=error.proposal, fields=fields, title=title, at=at), error)


def mistakes(day: RideDay, fields: Fields, at: dt.datetime, error: TelemetryError) -> dict[str, str]:
    """Return what is wrong with what a form asks for, field by field; nothing where no form of ours asks.

    Parameters
    ----------
    day, fields, at
        As `show` was given them.
    error : TelemetryError
        That it raised.
    """
    what = dict(fields).get("what", "")
    if what not in (*ENTRIES, settings.PAGE):
        return {}
    try:
        edits, _ = _edits(day, fields, at)
    except TelemetryError:
        return mistakes_of(error, {})
    if what == settings.PAGE and isinstance(edits[0], ChangeSetup):
        return mistakes_of(error, settings.fields_by_path(fields, edits[0]))
    return mistakes_of(error, entries.fields_by_key(day, edits))


def form_page(fields: Fields) -> str:
    """Return the page on which a change is asked for."""
    what = dict(fields).get("what", "")
    pages = {settings.PAGE: settings.PAGE} | dict.fromkeys(ENTRIES, entering.PAGE)
    return (pages | dict.fromkeys(marking.PLACES, marking.PAGE)).get(what, "trust")


def asked_on(fields: Fields) -> tuple[str, str]:
    """Return the page that leads on from a change, written or not, and what its link says beside it."""
    page = form_page(fields)
    return settings.back_from(fields) if page == settings.PAGE else (page, "")


def after_writing(shown: Shown, *, others_wait: bool) -> tuple[str, str]:
    """Return which page follows what was written, as `asked_on`; further logs that wait are next."""
    if form_page(shown.fields) == entering.PAGE and not others_wait:
        return "trust", ""
    return asked_on(shown.fields)


def _edits(day: RideDay, fields: Fields, at: dt.datetime) -> tuple[Sequence[Edit], str]:
    what = dict(fields).get("what", "")
    if what in ENTRIES:
        return entries.entry_edits(day, fields, at)
    edit, title = settings.setup_edit(day, fields) if what == settings.PAGE else _edit(fields, at)
    return [edit], title


def _edit(fields: Fields, at: dt.datetime) -> tuple[Edit, str]:
    one = dict(fields)
    what, name = one.get("what", ""), one.get("name", "")
    told = clean_text(name, longest=80)
    if what in marking.PLACES:
        return marking.place_edit(one)
    if what == "bounds":
        return _bounds(name, one), f"Mark start and end of {told}"
    if what == "leave_out":
        return LeaveOut(run=name, reason=one.get("reason", "")), f"Leave out {told}"
    if what == "take_in":
        return LeaveOut(run=name, reason=None), f"Take {told} back in"
    if what == "focus":
        focus = tuple(value for field, value in fields if field == "focus")
        clock = at.astimezone().replace(tzinfo=None)  # the tuner's own clock, as in the file
        return NameFocus(focus=focus, named_at=clock), "Name what decides"
    raise CallError("this link", f"a change {clean_text(what, longest=40)!r}", "one that a page offers")


@dataclass(frozen=True, slots=True, kw_only=True)
class FocusRow:
    """One measure that may be named: a box for each place, by place."""

    label: str
    boxes: Mapping[str, tuple[str, bool]]


def focus_rows(day: RideDay) -> tuple[FocusRow, ...]:
    """Return what may be named as what decides, and what is."""
    named = day.comparison.focus
    rows = []
    may_be = (*stated_rows(day.travel_ends, day.ends_by_acceleration), *named_rows(named))
    for spec, places in groupby(may_be, key=itemgetter(0)):
        boxes: dict[str, tuple[str, bool]] = {
            end: (f"{spec.name}:{end}", (spec.name, end) in named or (spec.name, None) in named) for _, end in places
        }
        rows.append(FocusRow(label=spec.label, boxes=boxes))
    return tuple(rows)
