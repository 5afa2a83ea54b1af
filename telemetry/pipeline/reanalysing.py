"""`library reanalyse`: kept days measured anew, here or on a cluster; old results stay beside new."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import asdict, dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import Protocol

from telemetry import library
from telemetry.errors import CallError, TelemetryError
from telemetry.library import Due, Kept, KeptFile, Store, Wanted

from .lenders import DEFINITIONS
from .measuring_anew import Measured, Take, Work, versions, work_of
from .originals import Originals
from .side_by_side import cores, here, side_by_side
from .what_changed import Changes


class Shows(Protocol):
    """What shows how far the work is."""

    def expect(self, total: int) -> None:
        """Take note of how many days there are to do."""

    def __call__(self, name: str) -> None:
        """Take note of one that is done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Which days: by ids or words, and as in a search; `anyway` those too that stand by today's definitions."""

    names: tuple[str, ...] = ()
    wanted: Wanted = field(default_factory=Wanted)
    anyway: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Hands:
    """Who measures: so many processes here (0: one a core), or a cluster's workers; and where they read originals."""

    at_once: int = 0
    scheduler: str = ""
    data_from: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotMeasured:
    """A day that stays as it was measured before, and why."""

    day: str
    reason: str


@dataclass(slots=True, kw_only=True)
class Reanalysed:
    """What measuring anew came to.

    Attributes
    ----------
    definitions : int
        Today's.
    standing : int
        Days asked for that stood measured by them.
    by_earlier_call : int
        Of the days measured, those that an unfinished call had been through.
    changes : Changes
        Over all days measured.
    travel_made : int
        Files of travel written.
    not_measured : list of NotMeasured
    """

    definitions: int
    standing: int
    by_earlier_call: int
    changes: Changes = field(default_factory=Changes)
    travel_made: int = 0
    not_measured: list[NotMeasured] = field(default_factory=list)

    def to_dict(self) -> dict[str, object]:
        """Return the JSON object of `telemetry library reanalyse --json`."""
        return {
            "definitions": self.definitions,
            "standing": self.standing,
            "by_earlier_call": self.by_earlier_call,
            **self.changes.to_dict(),
            "travel_made": self.travel_made,
            "not_measured": [asdict(item) for item in self.not_measured],
        }


def reanalyse(
    folder: str | os.PathLike[str] | None = None,
    asked: Asked | None = None,
    hands: Hands | None = None,
    shows: Shows | None = None,
) -> Reanalysed:
    """Measure kept days anew from their originals, where they aren't measured by today's definitions.

    Parameters
    ----------
    folder : str or path, optional
        Of the library; else ``TELEMETRY_LIBRARY``, else the user's data folder.
    asked : Asked, optional
        Else all days.
    hands : Hands, optional
        Else a process a core.
    shows : callable, optional
        Told each day's id once it is done.

    Raises
    ------
    CallError
        If there is no library, or the cluster can't do it; what was done until then stays, and the same call goes on
        from there.

    Notes
    -----
    Each day is entered by itself, wholly or not at all, by this process alone. What can't be measured is told, and
    stays as it was.
    """
    root, asked, hands = library.library_folder(folder), asked or Asked(), hands or Hands()
    due = _due(root, asked)
    answer = Reanalysed(definitions=DEFINITIONS, standing=due.standing, by_earlier_call=len(due.done))
    for stem in due.done:
        with suppress(CallError):  # damaged since: a check tells it
            kept = Store(root).read_record(stem)
            answer.changes.add(kept.id, kept.results if stem in due.alike else kept.before[-1], kept.results)
    if due.stems:
        _measure(root, due, hands, answer, shows)
    if due.stems or due.done:
        library.end_round(root)
    return answer


def _measure(root: Path, due: Due, hands: Hands, answer: Reanalysed, shows: Shows | None) -> None:
    if shows is not None:
        shows.expect(len(due.stems))
    with (
        Store(root).staged() as beside,
        _hands(hands, root, due, beside) as given,
        closing(given.measured(answer)) as measured,
    ):
        for kept, found in measured:
            _enter(root, kept, found, answer)
            if shows is not None:
                shows(kept.id)


def _due(root: Path, asked: Asked) -> Due:
    with library.reading(root) as catalogue:
        every = {day.id for day in library.find(catalogue, Wanted())} if asked.names else set()
        named = [name for name in asked.names if name in every]
        strange = [name for name in asked.names if name not in every and (named or library.DAY.fullmatch(name))]
        if strange:
            what = f"no day {strange[0]!r}"
            raise CallError(str(root), what, "ids of kept days, or words alone", "`telemetry find` lists them")
        wanted = asked.wanted if named else replace(asked.wanted, words=" ".join(asked.names))
        days = {day.id for day in library.find(catalogue, wanted)}
    days = days & set(named) if named else days
    return library.due_anew(root, days, DEFINITIONS, anyway=asked.anyway, named=bool(named))


def _enter(root: Path, kept: Kept, found: Measured, answer: Reanalysed) -> None:
    if found.refused:
        where = "one that measures for this process"
        raise CallError(where, found.refused, "the same versions as here", "install the same there and here")
    if found.results is None:
        answer.not_measured.append(NotMeasured(day=kept.id, reason=found.why_not))
        return
    entered = library.enter_anew(root, kept, found.results, found.travel)
    if entered is None:
        reason = "taken out or changed meanwhile: ask for it again"
        answer.not_measured.append(NotMeasured(day=kept.id, reason=reason))
        return
    answer.changes.add(kept.id, entered.old, entered.kept.results)
    answer.travel_made += len(found.travel)


class _Given:
    """Gives the days out, each once those are done that lend it their spread, and takes what is measured back."""

    def __init__(self, store: Store, due: Due, originals: Originals, beside: Path | None) -> None:
        self._store, self._originals, self._beside = store, originals, beside
        self._next = deque(due.stems)
        self._open = set(due.stems)
        self._old = set(due.old)
        self._out: dict[str, Kept] = {}
        self._held_up: dict[str, list[str]] = {}
        self.work: Callable[[Take], Iterator[Measured]] = here

    def measured(self, answer: Reanalysed) -> Generator[tuple[Kept, Measured], None, None]:
        """Yield each version with what it is measured as; what can't be read is told in the answer."""
        for found in self.work(partial(self._take, answer)):
            yield self._out.pop(found.stem), found
            self._is_through(found.stem)

    def _is_through(self, stem: str) -> None:
        self._open.discard(stem)
        self._old.discard(stem)
        self._next.extendleft(self._held_up.pop(stem, ()))

    def _take(self, answer: Reanalysed) -> Work | None:
        while self._next:
            stem = self._next.popleft()
            try:
                kept = self._store.read_record(stem)
                lenders = self._lenders(kept)
            except TelemetryError as error:  # damaged, or taken out meanwhile
                answer.not_measured.append(NotMeasured(day=stem.rpartition(".")[0], reason=error.line))
                self._is_through(stem)
                continue
            if lenders is not None:
                work = work_of(kept, self._originals, self._beside, lenders)
                self._out[stem] = work.kept
                return work
        return None

    def _lenders(self, kept: Kept) -> list[Kept] | None:
        """Return the versions that lend to one; None where one of them is to be measured before."""
        stems = [stem for stem in kept.lent_by or () if self._store.record(stem).exists()]
        for stem in stems:
            if stem in self._old and stem not in self._open:  # wasn't asked for; without it the verdicts weren't those
                self._old.discard(stem)
                self._open.add(stem)
                self._next.append(stem)
            if stem in self._open:
                self._held_up.setdefault(stem, []).append(kept.stem)
                return None
        return [self._store.read_record(stem) for stem in stems]


@contextmanager
def _hands(hands: Hands, root: Path, due: Due, beside: Path) -> Iterator[_Given]:
    originals, store = Originals(root, hands.data_from), Store(root)
    if not hands.scheduler:
        count = min(hands.at_once or cores(), len(due.stems))
        given = _Given(store, due, originals, beside)
        given.work = here if count == 1 else partial(side_by_side, count=count)
        yield given
        return
    from .on_cluster import connected, on_cluster, require_workers  # noqa: PLC0415 - an extra

    with connected(hands.scheduler) as client:
        threads = require_workers(client, versions(), originals, _sample(store, due.stems))
        given = _Given(store, due, originals, None)
        given.work = partial(on_cluster, client, threads=threads)
        yield given


def _sample(store: Store, stems: Sequence[str]) -> KeptFile | None:
    """Return a file that is there, and that every worker has to find; None where there is none."""
    for stem in stems:
        with suppress(CallError):
            for file in store.read_record(stem).originals:
                if store.path(file.kind, file.sha256).exists():
                    return file
    return None
