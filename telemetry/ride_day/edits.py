"""Changes to a ``ride_day.toml`` that keep its comments, its order and every other byte."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeAlias

from telemetry.errors import CallError, RideDayError, TelemetryError, clean_text
from telemetry.files import holds, swap_bytes
from telemetry.model.day import RideDay

from .edited import COMPARISON, MARKS, RUNS, SETUPS, STATIC, STRETCHES, Change, Keys, UnchangeableError, edited, said
from .file import content, find_ride_day, parse_text, text_of
from .lines import Shown, shown, with_own_ends
from .read import day_of
from .runs import named

BOM = b"\xef\xbb\xbf"
LONGEST_REASON = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """Where a run starts and ends, s of its log; None leaves it to the three pushes, or the whole log."""

    run: str
    start_s: float | None
    end_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LeaveOut:
    """Why a run takes no part; None takes it back in."""

    run: str
    reason: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class NameFocus:
    """What decides, as ``measure:end``, and when it was named: naming after riding is told with the result."""

    focus: tuple[str, ...]
    named_at: dt.datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class AddRun:
    """A log that becomes the last run; `started_at` is written where the other runs have one.

    `rear_log` is the rear's, where each end has a logger of its own; `more` are further keys of the run, `asked` is
    what is still to be asked of it.
    """

    log: str
    setup: str
    started_at: dt.datetime
    rear_log: str = ""
    more: Keys = field(default_factory=dict)
    asked: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AddRecording:
    """A log that becomes the last recording off the trail: its keys, those that are None left out.

    `asked` is what is still to be asked of it.
    """

    log: str
    kind: str
    more: Keys = field(default_factory=dict)
    asked: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeSetup:
    """Keys of a setup's own tables, as they are spelled in the file; None takes one out, so that it is inherited.

    Attributes
    ----------
    setup : str
    own : mapping
        ``label`` and ``based_on``.
    at : mapping of {"front", "rear", "bike"} to keys
    is_new : bool
        Whether there is no such setup yet.
    """

    setup: str
    own: Keys = field(default_factory=dict)
    at: Mapping[str, Keys] = field(default_factory=dict)
    is_new: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceMark:
    """A place in a run, s of its log; one of that name in the same run moves."""

    run: str
    name: str
    at_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceStretch:
    """A named stretch of trail in a run, s of its log; one of that name in the same run moves."""

    run: str
    name: str
    start_s: float
    end_s: float


Edit: TypeAlias = PlaceMark | PlaceStretch | Bounds | LeaveOut | NameFocus | AddRun | AddRecording | ChangeSetup


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A change to be looked at before it is written.

    Attributes
    ----------
    before, text : bytes
        The whole file that it was made from, and the whole new one.
    lines : tuple of (sign, text)
        ``"+"`` comes in, ``"-"`` goes, ``" "`` stays; ``"…"`` stands for what isn't shown.
    """

    path: Path
    before: bytes
    text: bytes
    lines: Shown

    @property
    def made_from(self) -> str:
        """Fingerprint of the file it was made from."""
        return hashlib.sha256(self.before).hexdigest()

    @property
    def made_into(self) -> str:
        """Fingerprint of the file it would make."""
        return hashlib.sha256(self.text).hexdigest()


class ChangedFileError(CallError):
    """The file isn't the one that a change was asked for.

    Parameters
    ----------
    proposal : Proposal
        What was asked for.
    since : tuple of (sign, text)
        What has changed in the file since, in lines; empty where it can't be read.
    trouble : str
        What is wrong with the file as it is; empty where nothing is.
    """

    def __init__(self, proposal: Proposal, since: Shown, trouble: str) -> None:
        self.proposal = proposal
        self.since = since
        self.trouble = trouble
        super().__init__(
            proposal.path.name, "another text than the change was made from", "the same", "look at the change again"
        )

    def __reduce__(self) -> tuple[type[ChangedFileError], tuple[Proposal, Shown, str]]:  # type: ignore[override]
        return type(self), (self.proposal, self.since, self.trouble)


def _standing(path: Path) -> bytes:
    if path.is_dir():
        raise CallError(path.name, "a folder", "the ride day's file", "move it away")
    return content(find_ride_day(path))


def _changed_file(proposal: Proposal) -> ChangedFileError:
    """Return what was asked for, with what has become of the file."""
    since: Shown = ()
    try:
        now = _standing(proposal.path)
        since = shown(text_of(proposal.before, proposal.path), text_of(now, proposal.path))
        day_of(proposal.path, now)
    except TelemetryError as error:
        return ChangedFileError(proposal, since, error.line)
    return ChangedFileError(proposal, since, "")


def _changes(raw: Mapping[str, Any], name: str, edit: Edit) -> Iterator[Change]:
    """Yield what an edit is in the file's words.

    Parameters
    ----------
    raw : mapping
        What the file says so far.
    name : str
        The file's.
    edit : Edit

    Raises
    ------
    CallError
        If there is no such run or setup, or a reason or a name is empty.
    """
    if isinstance(edit, ChangeSetup):
        yield from _of_setup(raw, name, edit)
    elif isinstance(edit, AddRun):
        yield Change(way=(RUNS,), keys=_new_run(raw.get(RUNS, []), edit), asked=edit.asked)
    elif isinstance(edit, AddRecording):
        yield Change(way=(STATIC,), keys={"log": edit.log, "kind": edit.kind, **edit.more}, asked=edit.asked)
    elif isinstance(edit, NameFocus):
        keys = {"focus": list(edit.focus) or None, "named_at": edit.named_at.replace(microsecond=0)}
        yield Change(way=(COMPARISON,), keys=keys)
    elif isinstance(edit, PlaceMark | PlaceStretch):
        yield _of_place(raw, name, edit)
    else:
        yield _of_run(raw, name, edit)


def _of_setup(raw: Mapping[str, Any], name: str, edit: ChangeSetup) -> Iterator[Change]:
    known = raw.get(SETUPS, {})
    told = clean_text(edit.setup, longest=80)
    if edit.is_new and edit.setup in known:
        raise CallError(name, f"a setup {told!r} already", "a name that no other setup has", "name it otherwise")
    if not edit.is_new and edit.setup not in known:
        raise CallError(name, f"no setup {told!r}", f"one of {', '.join(known) or 'none'}")
    if edit.own or edit.is_new:
        yield Change(way=(SETUPS, edit.setup), keys=edit.own)
    for place, keys in edit.at.items():
        if keys:
            yield Change(way=(SETUPS, edit.setup, place), keys=keys)


def _of_run(raw: Mapping[str, Any], name: str, edit: Bounds | LeaveOut) -> Change:
    place = _place_of(raw, name, edit.run)
    if isinstance(edit, Bounds):
        return Change(way=(RUNS,), entry=place, keys={"start_s": edit.start_s, "end_s": edit.end_s})
    reason = None if edit.reason is None else clean_text(edit.reason, longest=LONGEST_REASON)
    if reason is not None and not reason:
        raise CallError(f"{name}, leave_out", "nothing", "the reason in a few words", "write it down")
    return Change(way=(RUNS,), entry=place, keys={"leave_out": reason})


def _place_of(raw: Mapping[str, Any], name: str, run: str) -> int:
    """Return a run's place in the file, from 0; refuse one that isn't there."""
    known = [named(one) for one in raw.get(RUNS, [])]
    if run not in known:
        raise CallError(name, f"no run {clean_text(run, longest=80)!r}", f"one of {', '.join(known) or 'none'}")
    return known.index(run)


def _of_place(raw: Mapping[str, Any], name: str, edit: PlaceMark | PlaceStretch) -> Change:
    """Return a mark or a stretch: in place of its like in that run, of one that is only named yet, else anew."""
    _place_of(raw, name, edit.run)
    if not edit.name.strip():
        raise CallError(f"{name}, name", "nothing", "what the place is called", "name it")
    if isinstance(edit, PlaceMark):
        table, where = MARKS, {"at_s": edit.at_s}
    else:
        table, where = STRETCHES, {"start_s": edit.start_s, "end_s": edit.end_s}
    there = [(one.get("name"), one.get("run")) for one in raw.get(table, [])]
    alike = [(edit.name, edit.run), *([(edit.name, None)] if table == STRETCHES else [])]
    entry = next((there.index(one) for one in alike if one in there), None)
    return Change(way=(table,), entry=entry, keys={"name": edit.name, "run": edit.run, **where})


def _new_run(runs: Sequence[Mapping[str, Any]], edit: AddRun) -> dict[str, object]:
    """Return a new run's keys; it is told in order as the others are, its time in the zone of the last that has one."""
    log = {"front": edit.log, "rear": edit.rear_log} if edit.rear_log else edit.log
    keys: dict[str, object] = {"log": log, "setup": edit.setup}
    times = [run["started_at"] for run in runs if "started_at" in run]
    if times:
        zone = next((time.tzinfo for time in reversed(times) if time.tzinfo is not None), None)
        started = edit.started_at.replace(microsecond=0)
        if zone is not None:
            keys["started_at"] = started.astimezone(zone)
        else:
            keys["started_at"] = started if started.tzinfo is None else started.astimezone().replace(tzinfo=None)
    elif any("order" in run for run in runs):
        keys["order"] = 1 + max(int(run["order"]) for run in runs)
    return {**keys, **edit.more}


def propose(day: RideDay, edits: Sequence[Edit]) -> Proposal:
    """Return what a ride day's file would be with some edits written into it; nothing is written yet.

    Parameters
    ----------
    day : RideDay
        As read from the file.
    edits : sequence of Edit

    Raises
    ------
    RideDayError
        If the day would be wrong with them, key by key.
    ChangedFileError
        If the file isn't, byte for byte, the one that the day was read from.
    CallError
        If there is no such run, a reason is empty, nothing would change, or the file has a form that can't be changed.
    """
    proposal = _made(day, edits)
    if not holds(day.path, day.source):
        raise _changed_file(proposal)
    return proposal


def _made(day: RideDay, edits: Sequence[Edit]) -> Proposal:
    path, name = day.path, day.path.name
    before = text_of(day.source, path)
    after, wanted = before, parse_text(before, name)
    for edit in edits:
        for change in _changes(wanted, name, edit):
            wanted = said(wanted, change)
            try:
                after = edited(after, change)
                parse_text(after, name)
            except (UnchangeableError, RideDayError):
                raise _by_hand(name) from None
    marked = day.source.startswith(BOM)
    own = day.source.removeprefix(BOM).decode("utf-8")
    text = (BOM if marked else b"") + with_own_ends(own, after).encode("utf-8")
    if parse_text(text_of(text, path), name) != wanted:
        raise _by_hand(name)
    day_of(path, text)
    if text == day.source:
        raise CallError(name, "nothing to change", "something that differs from the file", "it says so already")
    return Proposal(path=path, before=day.source, text=text, lines=shown(before, after))


def _by_hand(name: str) -> CallError:
    return CallError(
        name, "a form that can't be changed here", "tables as the handbook shows them", "change it by hand"
    )


def write(proposal: Proposal) -> None:
    """Write a proposal: the whole file or nothing.

    Raises
    ------
    ChangedFileError
        If the file has changed since the proposal was made; if it says just what is proposed, it is as good as written.
    CallError
        If the file can't be written.
    """
    if not swap_bytes(proposal.path, proposal.before, proposal.text) and not holds(proposal.path, proposal.text):
        raise _changed_file(proposal)
