"""Days read beside the server's loop, one after the other, and let go of again: wherever they come from."""

from __future__ import annotations

import threading
from abc import ABC, abstractmethod
from dataclasses import dataclass
from pathlib import Path
from queue import PriorityQueue
from typing import Literal, TypeAlias

from dashboards.pages.day_list import Glance
from dashboards.pages.view import OtherLaps
from telemetry.errors import CallError, clean_text
from telemetry.files import Stamp, stamp
from telemetry.model.day import RideDay
from telemetry.ride_day import read_ride_day
from telemetry.telling.earlier_laps import Lap, laps_of

from .complaints import every_problem, what_went_wrong
from .read_day import ReadDay, headline_of, read_whole

KEPT_DAYS, KEPT_READINGS = 3, 3
WANTED, LATER = 0, 1
State: TypeAlias = Literal["waiting", "reading", "ready", "failed"]


@dataclass(slots=True, kw_only=True)
class Shelf:
    """One day of the folder: its place, and how far it has been read.

    `trouble` is why it can't be read, `problems` each thing wrong with its file where that is several. `headline` is
    what the list says of it once it was read, `laps` what pages of later days are told of its runs, both kept when the
    day itself is let go; `days` is the day by each of the last readings, the newest first: a page asks by the one it
    was made from. `failed_with` are the folder's files as they were when reading failed: once they differ, it is worth
    another try. `changes` and `logs` are what has happened to its folder since, as it was last looked at. `edition`
    tells which version of a kept day it is.
    """

    name: str
    path: Path
    state: State = "waiting"
    progress: str = ""
    trouble: str = ""
    problems: tuple[str, ...] = ()
    headline: str = ""
    laps: tuple[Lap, ...] = ()
    version: int = 0
    glance: Glance | None = None
    read: ReadDay | None = None
    days: tuple[RideDay, ...] = ()
    failed_with: frozenset[tuple[Path, Stamp | None]] = frozenset()
    glanced_at: tuple[Stamp | None, Stamp | None] | None = None
    asked_at_s: float = float("-inf")
    changes: tuple[str, ...] = ()
    logs: tuple[str, ...] = ()
    edition: str = ""

    @property
    def title(self) -> str:
        """The day's title, as far as its file could be read; else its name."""
        return (self.glance.title if self.glance is not None else "") or self.name

    def keep(self, day: RideDay) -> None:
        """Keep a day among the latest readings, once."""
        others = (other for other in self.days if other.fingerprint != day.fingerprint)
        self.days = (day, *others)[:KEPT_READINGS]

    def day_of(self, fingerprint: str) -> RideDay | None:
        """Return the day by the reading of this fingerprint; None where it isn't among the latest."""
        return next((day for day in self.days if day.fingerprint == fingerprint), None)


class Shelves(ABC):
    """Days that pages ask for by name. One thread reads what a page waits for; the days looked at last are held.

    `find`, `known`, `version` and `again` take no file and no time: they tell what is known by now.
    """

    def __init__(self) -> None:
        self._shelves: dict[str, Shelf] = {}
        self._version = 0
        self._lock = threading.Lock()
        self._queue: PriorityQueue[tuple[int, int, str]] = PriorityQueue()
        self._asked = 0
        self._opened: list[str] = []
        threading.Thread(target=self._work, name="reading", daemon=True).start()

    @property
    @abstractmethod
    def has_several(self) -> bool:
        """Whether there is a list to go back to."""

    @property
    @abstractmethod
    def is_looked_through(self) -> bool:
        """Whether it is known by now which days there are."""

    @abstractmethod
    def version(self) -> int:
        """Return what tells the list of all days from the list as it was before."""

    @abstractmethod
    def opened(self) -> tuple[Shelf, ...]:
        """Return the days whose folders are looked after for new logs."""

    @abstractmethod
    def known(self, name: str) -> Shelf | None:
        """Return one day as far as it is known by now; None where there is none."""

    @abstractmethod
    def shelf(self, name: str) -> Shelf:
        """Return one day, and have it read if it isn't; one that isn't known is looked for.

        Raises
        ------
        CallError
            If there is no such day.
        """

    @abstractmethod
    def other_laps(self, name: str) -> OtherLaps:
        """Return the laps of other days that a day's own may be told beside."""

    def close(self) -> None:  # noqa: B027 - a folder's days stand where they are
        """Remove what was put on disk to be read."""

    def find(self, name: str) -> Shelf | None:
        """Return one day as far as it is known by now, and have it read if it isn't."""
        shelf = self.known(name)
        if shelf is None:
            return None
        with self._lock:
            self._opened = [name, *(other for other in self._opened if other != name)][:KEPT_DAYS]
            if shelf.read is None and shelf.state in ("waiting", "ready"):
                self._ask(name, WANTED)
        return shelf

    def day_of(self, name: str, fingerprint: str) -> RideDay:
        """Return a day as it was read from the very file that a page was made from, also where it is gone since.

        Raises
        ------
        CallError
            If there is no such day, or it isn't among the latest readings.
        """
        with self._lock:
            known = self._shelves.get(name)
        found = None if known is None else known.day_of(fingerprint)
        found = found or self.shelf(name).day_of(fingerprint)
        if found is None:
            raise CallError("this page", "one made long ago", "a page made from the day as it is", "open the day again")
        return found

    def again(self, name: str) -> None:
        """Have a day read again; the old one stands until the new one is there.

        Raises
        ------
        CallError
            If there is no such day.
        """
        shelf = self.find(name)
        if shelf is None:
            raise no_day(name)
        with self._lock:
            shelf.state = "waiting"
            self._ask(name, WANTED)

    def _ask(self, name: str, urgency: int) -> None:
        self._asked += 1
        self._queue.put((urgency, self._asked, name))

    def _day_of(self, shelf: Shelf) -> RideDay:
        """Return a day by its own file, to have its logs read now."""
        return read_ride_day(shelf.path)

    def _work(self) -> None:
        while True:
            urgency, _, name = self._queue.get()
            shelf = self._shelves.get(name)
            if shelf is None:  # gone meanwhile
                continue
            done = shelf.state == "ready" and (shelf.read is not None or urgency == LATER)
            if (not done and shelf.state != "failed") or shelf.state == "waiting":
                self._read(shelf)
            self._let_go()

    def _read(self, shelf: Shelf) -> None:
        shelf.state = "reading"
        files = files_in(shelf.path.parent)

        def progress(run: str) -> None:
            shelf.progress = clean_text(run, longest=80)

        state: State = "failed"
        try:
            read = read_whole(self._day_of(shelf), progress)
            headline = headline_of(read)
        except Exception as error:  # noqa: BLE001 - whatever one day raises, its page tells it and the others stand
            shelf.trouble, shelf.problems = what_went_wrong(error), every_problem(error)
        else:
            shelf.headline, shelf.laps, state = headline, laps_of(read.analysis), "ready"
            shelf.trouble, shelf.problems = "", ()
            with self._lock:
                shelf.keep(read.day)
                shelf.read, shelf.changes, shelf.logs = read, (), ()
        shelf.failed_with = files
        with self._lock:
            if shelf.state == "reading":  # else it was asked for again meanwhile, and is read again next
                shelf.state = state
            shelf.version += 1
            self._version += 1

    def _let_go(self) -> None:
        """Let go of days that nobody looks at: their logs are large."""
        with self._lock:
            for name, shelf in self._shelves.items():
                if name not in self._opened and len(self._shelves) > 1:
                    shelf.read = None


def files_in(folder: Path) -> frozenset[tuple[Path, Stamp | None]]:
    """Return a folder's files as they are; none where it can't be listed."""
    try:
        return frozenset((path, stamp(path)) for path in folder.iterdir())
    except OSError:
        return frozenset()


def no_day(name: str) -> CallError:
    """Return the error of a day that there isn't."""
    return CallError("this folder", f"no ride day {clean_text(name, longest=80)!r}", "one of its ride days")
