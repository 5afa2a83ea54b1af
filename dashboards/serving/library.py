"""The ride days of a folder: found and read beside the server's loop, and looked after while they are shown."""

from __future__ import annotations

import time
from pathlib import Path

from dashboards.pages.view import OtherLaps
from telemetry.files import holds, stamp
from telemetry.model.day import RideDay
from telemetry.ride_day import read_ride_day

from .complaints import what_went_wrong
from .glance import glance
from .read_day import names_of_new_logs
from .rounds import Rounds
from .shelves import LATER, WANTED, Shelf, Shelves, files_in, no_day
from .where_days_lie import days_in

TELL_EVERY_S = 1.0
"""Pages of the list load anew when a day has been looked at: no oftener than this while many are."""


class Library(Shelves):
    """All days of a folder. A thread goes its rounds through it; whoever asks is told what the last round found.

    Parameters
    ----------
    folder : Path
        Nothing outside of it is ever read.
    """

    def __init__(self, folder: Path) -> None:
        super().__init__()
        self.folder = folder
        self._there: dict[str, Path] | None = None  # until the folder has been looked through once
        self._told_s = 0.0
        self._rounds = Rounds(self._round)
        self._rounds.start()

    def shelves(self) -> tuple[Shelf, ...]:
        """Return every day there is, in no order; waits for the first round."""
        self._rounds.wait_for_first()
        self._rounds.somebody_asked()
        with self._lock:
            return tuple(self._shelves[name] for name in self._there or ())

    @property
    def has_several(self) -> bool:
        """Whether there is a list to go back to."""
        return len(self.shelves()) > 1

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

    def known(self, name: str) -> Shelf | None:
        """Return one day as the last round found it."""
        self._rounds.somebody_asked()
        with self._lock:
            if name not in (self._there or ()):
                return None
            shelf = self._shelves[name]
            shelf.asked_at_s = time.monotonic()
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
            raise no_day(name)
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
        if shelf.state == "failed" and files_in(shelf.path.parent) != shelf.failed_with:
            with self._lock:
                shelf.state = "waiting"
                self._ask(shelf.name, WANTED)

    @staticmethod
    def _by_file(shelf: Shelf) -> RideDay:
        """Return a day by its file alone: its logs may not have been read, or hold nothing that can be shown."""
        known = next((day for day in shelf.days if holds(day.path, day.source)), None)
        return known or read_ride_day(shelf.path)
