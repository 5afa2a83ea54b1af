"""Changes to a ``ride_day.toml`` that keep its comments, its order and every other byte."""

from __future__ import annotations

import datetime as dt
import difflib
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array

from telemetry.errors import CallError, clean_text
from telemetry.files import write_bytes
from telemetry.model.day import RideDay

from .read import day_of

BOM = b"\xef\xbb\xbf"
LONGEST_REASON = 200
CONTEXT_LINES = 2


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
    """A log that becomes the last run; `started_at` is written where the other runs have one."""

    log: str
    setup: str
    started_at: dt.datetime


Wish: TypeAlias = Bounds | LeaveOut | NameFocus | AddRun


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A change to be looked at before it is written.

    Attributes
    ----------
    text : bytes
        The whole new file.
    lines : tuple of (sign, text)
        ``"+"`` comes in, ``"-"`` goes, ``" "`` stays; ``"…"`` stands for what isn't shown.
    made_from : str
        Fingerprint of the file it was made from.
    """

    path: Path
    text: bytes
    lines: tuple[tuple[str, str], ...]
    made_from: str


def fingerprint(data: bytes) -> str:
    """Return what tells one text from another."""
    return hashlib.sha256(data).hexdigest()


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise CallError(str(path), str(error.strerror).lower(), "a readable file", "check its permissions") from None


def _set(table: Any, key: str, value: object) -> None:
    if value is None:
        table.pop(key, None)
    else:
        table[key] = value


def _runs(document: tomlkit.TOMLDocument, path: Path) -> AoT | Array:
    runs = document.get("runs")
    if not isinstance(runs, AoT | Array):
        raise CallError(path.name, "runs in a form that can't be changed here", "[[runs]] tables", "write them so")
    return runs


def _run(document: tomlkit.TOMLDocument, day: RideDay, name: str) -> Any:
    """Return a run's table; runs are told by the name they have in the day."""
    entry = next((run for run in day.runs if run.name == name), None)
    if entry is None:
        known = ", ".join(run.name for run in day.runs)
        raise CallError(day.path.name, f"no run {clean_text(name, longest=80)!r}", f"one of {known}")
    return _runs(document, day.path)[entry.place]


def _apply(document: tomlkit.TOMLDocument, day: RideDay, wish: Wish) -> None:
    match wish:
        case Bounds():
            table = _run(document, day, wish.run)
            _set(table, "start_s", wish.start_s)
            _set(table, "end_s", wish.end_s)
        case LeaveOut():
            reason = None if wish.reason is None else clean_text(wish.reason, longest=LONGEST_REASON)
            if reason is not None and not reason:
                raise CallError(f"{day.path.name}, leave_out", "nothing", "the reason in a few words", "write it down")
            _set(_run(document, day, wish.run), "leave_out", reason)
        case NameFocus():
            if "comparison" not in document:
                document["comparison"] = tomlkit.table()
            table = document["comparison"]
            _set(table, "focus", list(wish.focus) or None)
            _set(table, "named_at", wish.named_at.replace(microsecond=0))
        case AddRun():
            _add_run(document, day, wish)


def _add_run(document: tomlkit.TOMLDocument, day: RideDay, wish: AddRun) -> None:
    if "runs" not in document:
        document["runs"] = tomlkit.aot()
    runs = _runs(document, day.path)
    table: Any = tomlkit.inline_table() if isinstance(runs, Array) else tomlkit.table()
    table["log"], table["setup"] = wish.log, wish.setup
    if any("started_at" in run for run in runs):
        table["started_at"] = wish.started_at.replace(microsecond=0)
    elif any("order" in run for run in runs):
        table["order"] = 1 + max(int(run["order"]) for run in runs)
    if isinstance(runs, Array):
        runs.add_line(table)
    else:
        table.add(tomlkit.nl())
        runs.append(table)


def _shown(before: str, after: str) -> tuple[tuple[str, str], ...]:
    lines: list[tuple[str, str]] = []
    for line in difflib.unified_diff(before.splitlines(), after.splitlines(), n=CONTEXT_LINES, lineterm=""):
        if line.startswith(("---", "+++")) and not lines:
            continue
        if line.startswith("@@"):
            lines.extend([("…", "")] if lines else [])
        else:
            lines.append((line[0], line[1:]))
    return tuple(lines)


def propose(day: RideDay, wishes: Sequence[Wish]) -> Proposal:
    """Return what a ride day's file would be with some wishes written into it; nothing is written yet.

    Parameters
    ----------
    day : RideDay
        As read from the file.
    wishes : sequence of Wish

    Raises
    ------
    RideDayError
        If the day would be wrong with them, key by key.
    CallError
        If there is no such run, a reason is empty, or nothing would change.
    """
    path = day.path
    data = _read(path)
    marked = data.startswith(BOM)
    before = data.removeprefix(BOM).decode("utf-8")
    crlf = "\r\n" in before
    try:
        document = tomlkit.parse(before)
        for wish in wishes:
            _apply(document, day, wish)
        after = tomlkit.dumps(document)
    except TOMLKitError as error:
        raise CallError(path.name, clean_text(str(error)), "a file that can be changed", "change it by hand") from None
    if crlf:
        after = after.replace("\r\n", "\n").replace("\n", "\r\n")
    text = (BOM if marked else b"") + after.encode("utf-8")
    day_of(path, text)
    if after == before:
        raise CallError(path.name, "nothing to change", "something that differs from the file", "it says so already")
    return Proposal(path=path, text=text, lines=_shown(before, after), made_from=fingerprint(data))


def write(proposal: Proposal) -> None:
    """Write a proposal: the whole file or nothing.

    Raises
    ------
    CallError
        If the file has changed since the proposal was made, or can't be written.
    """
    if fingerprint(_read(proposal.path)) != proposal.made_from:
        raise CallError(
            proposal.path.name, "another text than the change was made from", "the same", "look at the change again"
        )
    write_bytes(proposal.path.resolve(), proposal.text)
