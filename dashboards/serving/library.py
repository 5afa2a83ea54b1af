"""The ride days of a folder: found and read beside the server's loop, and looked after while they are shown."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass
from pathlib import Path
from queue import PriorityQueue
from typing import Literal, TypeAlias

from dashboards.pages.day_list import Glance
from dashboards.pages.view import OtherLaps
from telemetry.errors import CallError, clean_text
from telemetry.files import Stamp, holds, stamp
from telemetry.model.day import RideDay
from telemetry.ride_day import read_ride_day
from telemetry.telling.earlier_laps import Lap, laps_of

from .complaints import every_problem, what_went_wrong
from .glance import glance
from .read_day import ReadDay, headline_of, names_of_new_logs, read_whole
from .rounds import Rounds
from .where_days_lie import days_in

KEPT_DAYS, KEPT_READINGS = 3, 3
WANTED, LATER = 0, 1
TELL_EVERY_S = 1.0
"""Pages of the list load anew when a day has been looked at: no oftener than this while many are."""
State: TypeAlias = Literal["waiting", "reading", "ready", "failed"]


@dataclass(slots=True, kw_only=True)
class Shelf:
    """One day of the folder: its place, and how far it has been read.

    `trouble` is why it can't be read, `problems` each thing wrong with its file where that is several. `headline` is
    what the list says of it once it was read, `laps` what pages of later days are told of its runs, both kept when the
    day itself is let go; `days` is the day by each of the last readings, the newest first: a page asks by the one it
    was made from. `failed_with` are the folder's files as they were when reading failed: once they differ, it is worth
    another try. `changes` and `logs` are what has happened to its folder since, as it was last looked at.
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

    @property
    def title(self) -> str:
        """The day's title, as far as its file could be read; else its name."""
        return (self.glance.title if self.glance is not None else "") or self.name

    def keep(self, day: RideDay) -> None:
        """Keep a day among the latest readings, once."""
        others = (other for other in self.days if other.fingerprint != day.fingerprint)
        self.days = (day, *others)[:KEPT_READINGS]


def _files(folder: Path) -> frozenset[tuple[Path, Stamp | None]]:
    try:
        return frozenset((path, stamp(path)) for path in folder.iterdir())
    except OSError:
        return frozenset()


class Library:
    """All days of a folder. One thread goes its rounds through the folder, another reads what a page waits for.

    Whoever asks is told what was found on the last round: `find`, `version` and `again` take no file and no time.

    Parameters
    ----------
    folder : Path
        Nothing outside of it is ever read.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._shelves: dict[str, Shelf] = {}
        self._there: dict[str, Path] | None = None  # until the folder has been looked through once
        self._version = 0
        self._told_s = 0.0
        self._lock = threading.Lock()
        self._queue: PriorityQueue[tuple[int, int, str]] = PriorityQueue()
        self._asked = 0
        self._opened: list[str] = []
        self._rounds = Rounds(self._round)
        threading.Thread(target=self._work, name="reading", daemon=True).start()
        self._rounds.start()

    def shelves(self) -> tuple[Shelf, ...]:
        """Return every day there is, in no order; waits for the first round."""
        self._rounds.wait_for_first()
        self._rounds.somebody_asked()
        with self._lock:
            return tuple(self._shelves[name] for name in self._there or ())

    @property
    def is_looked_through(self) -> bool:
        """Whether it is known by now which days there are."""
        return self._there is not None

    def version(self) -> int:
        """Return what tells the list of all days from the list as it was before."""
        self._rounds.somebody_asked()
        return self._version

    def opened(self) -> tuple[Shelf, ...]:
        """Return the days that were looked at last, and have their folders looked after."""
        with self._lock:
            found = tuple(self._shelves[name] for name in self._opened if name in (self._there or ()))
        for shelf in found:
            shelf.asked_at_s = time.monotonic()
        return found

    def find(self, name: str) -> Shelf | None:
        """Return one day as far as it is known by now, and have it read if it isn't."""
        self._rounds.somebody_asked()
        with self._lock:
            if name not in (self._there or ()):
                return None
            shelf = self._shelves[name]
            shelf.asked_at_s = time.monotonic()
            self._opened = [name, *(other for other in self._opened if other != name)][:KEPT_DAYS]
            if shelf.read is None and shelf.state in ("waiting", "ready"):
                self._ask(name, WANTED)
            return shelf

    def shelf(self, name: str) -> Shelf:
        """Return one day; one that isn't known is looked for.

        Raises
        ------
        CallError
            If the folder has no such day.
        """
        shelf = self.find(name)
        if shelf is None:
            self._rounds.wait_for_another()
            shelf = self.find(name)
        if shelf is None:
            raise _no_day(name)
        return shelf

    def other_laps(self, name: str) -> OtherLaps:
        """Return the laps of every other day that has been read once, and how many earlier days haven't been yet."""
        with self._lock:
            others = [shelf for other, shelf in self._shelves.items() if other != name and other in (self._there or ())]
            own = self._shelves[name].glance
        laps = tuple(lap for shelf in others for lap in shelf.laps)
        waiting = [shelf.glance for shelf in others if shelf.state in ("waiting", "reading") and not shelf.laps]
        unread = sum(seen is not None and own is not None and seen.date < own.date for seen in waiting)
        return OtherLaps(laps=laps, unread=unread)

    def day_of(self, name: str, fingerprint: str) -> RideDay:
        """Return a day as it was read from the very file that a page was made from.

        Raises
        ------
        CallError
            If the folder has no such day, or it isn't among the latest readings.
        """
        found = next((day for day in self.shelf(name).days if day.fingerprint == fingerprint), None)
        if found is None:
            raise CallError("this page", "one made long ago", "a page made from the day as it is", "open the day again")
        return found

    def day_now(self, name: str) -> RideDay:
        """Return a day as its file says it now; what a page makes of it may ask by it. Takes the file, not the logs.

        Raises
        ------
        CallError
            If the folder has no such day, or its file can't be read.
        RideDayError
            If it is wrong.
        """
        shelf = self.shelf(name)
        found = self._by_file(shelf)
        with self._lock:
            shelf.keep(found)
        return found

    def again(self, name: str) -> None:
        """Have a day read again; the old one stands until the new one is there.

        Raises
        ------
        CallError
            If the folder has no such day.
        """
        shelf = self.find(name)
        if shelf is None:
            raise _no_day(name)
        with self._lock:
            shelf.state = "waiting"
            self._ask(name, WANTED)

    def _ask(self, name: str, urgency: int) -> None:
        self._asked += 1
        self._queue.put((urgency, self._asked, name))

    def _round(self) -> None:
        """Go through the folder once: which days there are, what their files say, what changed in those looked at."""
        found = days_in(self.folder)
        with self._lock:
            for name in found.keys() - self._shelves.keys():
                self._shelves[name] = Shelf(name=name, path=found[name])
                self._ask(name, LATER)
            changed, self._there = self._there != found, found
        for name in found:
            shelf = self._shelves[name]
            changed = self._glance(shelf) or changed
            if changed and time.monotonic() - self._told_s > TELL_EVERY_S:
                self._tell()
                changed = False
            if self._rounds.asked_lately(shelf.asked_at_s):
                self._look_after(shelf)
        if changed:
            self._tell()

    def _tell(self) -> None:
        """Have pages of the list load anew."""
        with self._lock:
            self._version += 1
        self._told_s = time.monotonic()

    def _glance(self, shelf: Shelf) -> bool:
        """Read a day's own file anew where it or its folder has changed; tell whether the list says something else."""
        now = stamp(shelf.path), stamp(shelf.path.parent)  # a log that was missing may have come
        if shelf.glance is not None and now == shelf.glanced_at:
            return False
        shelf.glanced_at, before, shelf.glance = now, shelf.glance, glance(shelf.path)
        return shelf.glance != before

    def _look_after(self, shelf: Shelf) -> None:
        """Look at the folder of a day that a page shows: what changed, which logs are new, is it worth another try."""
        read = shelf.read
        try:
            changes = () if read is None else read.changes()
            logs = names_of_new_logs(self._by_file(shelf) if read is None else read.day)
        except Exception as error:  # noqa: BLE001 - the page tells it; the others are looked after all the same
            changes, logs = () if read is None else (what_went_wrong(error),), ()
        with self._lock:
            if shelf.read is read:
                shelf.changes, shelf.logs = changes, logs
        if shelf.state == "failed" and _files(shelf.path.parent) != shelf.failed_with:
            with self._lock:
                shelf.state = "waiting"
                self._ask(shelf.name, WANTED)

    @staticmethod
    def _by_file(shelf: Shelf) -> RideDay:
        """Return a day by its file alone: its logs may not have been read, or hold nothing that can be shown."""
        known = next((day for day in shelf.days if holds(day.path, day.source)), None)
        return known or read_ride_day(shelf.path)

    def _work(self) -> None:
        while True:
            urgency, _, name = self._queue.get()
            shelf = self._shelves[name]
            done = shelf.state == "ready" and (shelf.read is not None or urgency == LATER)
            if (not done and shelf.state != "failed") or shelf.state == "waiting":
                self._read(shelf)
            self._let_go()

    def _read(self, shelf: Shelf) -> None:
        shelf.state = "reading"
        files = _files(shelf.path.parent)

        def progress(run: str) -> None:
            shelf.progress = clean_text(run, longest=80)

        state: State = "failed"
        try:
            read = read_whole(shelf.path, progress)
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


def _no_day(name: str) -> CallError:
    return CallError("this folder", f"no ride day {clean_text(name, longest=80)!r}", "one of its ride days")
