"""New logs in the order made: two loggers' of one run together, and the run that each recording stands before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from telemetry.model.finding import End
from telemetry.trade_words import LETTERS, ends_by_letter

from .log_names import LogName, read_name
from .recognising import Recognised
from .runs import stem

_LETTERS = tuple(letter for pair in LETTERS for letter in pair)
MOST_APART_S = 120.0
"""Own choice: two loggers of one run are started within so long of one another."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLog:
    """A log that no ride day mentions, or the two of a run with two loggers.

    Attributes
    ----------
    log : Path
    rear_log : Path or None
        The rear's, where two loggers ran along.
    what : Recognised
    started_at : datetime or None
        By its own clock, else by its name.
    before_run : str or None
        Which run a recording stands before, by time or number; None for the first there is.
    after_all : bool
        Whether a recording was made after every run there is, so that no run can be named yet.
    lacking : tuple of str
        Sensors of the day whose column isn't in it.
    end : End or None
        The only end that it holds, where each end has a logger of its own.
    """

    log: Path
    what: Recognised
    rear_log: Path | None = None
    started_at: dt.datetime | None = None
    before_run: str | None = None
    after_all: bool = False
    lacking: tuple[str, ...] = ()
    end: End | None = None

    @property
    def said(self) -> LogName:
        """What its file name says."""
        return read_name(self.log.name)

    @property
    def name(self) -> str:
        """What a run of it is called: its file's name, without the word for the end where there are two."""
        if self.rear_log is None:
            return stem(self.log.name)
        words = self.said.apart_from_ends(_LETTERS)
        if not words and self.started_at is not None:
            return f"{self.started_at:%Y-%m-%d_%H-%M-%S}"
        if not words or all(word.isdigit() for word in words):
            return "_".join(("run", *words)) if words else stem(self.log.name)
        return "_".join(words)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ridden:
    """A run that a recording may stand before."""

    name: str
    log: str
    started_at: dt.datetime | None = None


def ends_of_files(names: Sequence[str]) -> dict[str, End]:
    """Return which of some file names speak of one end: by a word, or by a letter where both letters are there.

    Examples
    --------
    >>> ends_of_files(["fork_1.csv", "run_2.csv", "f_3.csv", "r_3.csv"])
    {'fork_1.csv': 'front', 'f_3.csv': 'front', 'r_3.csv': 'rear'}
    """
    said = [read_name(name) for name in names]
    by_letter = ends_by_letter([own.words for own in said])
    ends = {name: own.end or by_letter.get(place) for place, (name, own) in enumerate(zip(names, said, strict=True))}
    return {name: end for name, end in ends.items() if end is not None}


def paired(fronts: Sequence[NewLog], rears: Sequence[NewLog]) -> list[NewLog]:
    """Return logs of one end each, put together where two are of one run: by name, else by the time they began.

    Parameters
    ----------
    fronts, rears : sequence of NewLog

    Returns
    -------
    list of NewLog
        Those that found no other stand alone.
    """
    left, made = list(rears), []
    for front in fronts:
        other = next((rear for rear in left if _together(front, rear)), None)
        if other is not None:
            left.remove(other)
        made.append(front if other is None else replace(front, rear_log=other.log))
    return [*made, *left]


def _together(front: NewLog, rear: NewLog) -> bool:
    alike = front.said.apart_from_ends(_LETTERS) == rear.said.apart_from_ends(_LETTERS)
    if front.started_at is None or rear.started_at is None:
        return alike
    return abs((front.started_at - rear.started_at).total_seconds()) <= MOST_APART_S


def in_order(logs: Iterable[NewLog]) -> tuple[NewLog, ...]:
    """Return logs in the order made: by time where each tells it and no two the same, else by name, 2 before 10.

    Runs of which each has a number of its own stand by that: ``soft 2`` before ``firm 4``.
    """
    found = sorted(logs, key=lambda item: (item.said.day or dt.date.min, item.said.order, item.log.name))
    times = {item.started_at for item in found if item.started_at is not None}
    if len(times) == len(found):
        return tuple(sorted(found, key=lambda item: (item.started_at is not None, item.started_at)))
    runs = [item for item in found if item.what.kind == "run"]
    numbers = {number for run in runs if (number := run.said.number) is not None and run.said.day is None}
    if len(numbers) == len(runs):
        runs.sort(key=lambda run: run.said.number or 0)
    return (*runs, *(item for item in found if item.what.kind != "run"))


def placed(recording: NewLog, runs: Sequence[Ridden]) -> NewLog:
    """Return a recording with the run it stands before: by time where all tell it, else by its name or number.

    Parameters
    ----------
    recording : NewLog
    runs : sequence of Ridden
        In the order ridden.
    """
    started = recording.started_at
    if started is not None and runs and all(run.started_at is not None for run in runs):
        return _before(recording, [run for run in runs if run.started_at is not None and run.started_at > started])
    said = recording.said
    for place, run in enumerate(runs):
        if said.speaks_of(run.name):
            return _before(recording, runs[place + 1 if said.after else place :])
    if said.number is None or not runs:
        return recording
    numbered = [(number, run) for run in runs if (number := read_name(run.log).number) is not None]
    own = [run for number, run in numbered if number == said.number and not said.after]
    later = own or [run for number, run in numbered if number > said.number]
    return _before(recording, later) if numbered else recording


def _before(recording: NewLog, later: Sequence[Ridden]) -> NewLog:
    return replace(recording, before_run=later[0].name if later else None, after_all=not later)
