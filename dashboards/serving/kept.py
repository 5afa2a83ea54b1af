"""A library's kept days: asked of its catalogue, read from their originals when a page wants one, let go of again."""

from __future__ import annotations

import time
from pathlib import Path

from dashboards.pages.laps_past import AT_A_TIME
from dashboards.pages.view import OtherLaps
from telemetry import library
from telemetry.errors import CallError, TelemetryError, clean_text
from telemetry.library import Known
from telemetry.model.day import RideDay
from telemetry.pipeline import laps_kept, open_library

from .rounds import Rounds
from .shelves import WANTED, Shelf, Shelves


class KeptDays(Shelves):
    """The days of a library, by their ids. What the catalogue says is never remembered: it is asked with every page.

    A round looks whether the days that are held are still there as they were read: one that was kept anew, forgotten
    or taken out meanwhile is let go of.

    Parameters
    ----------
    folder : Path
        The library's.

    Raises
    ------
    CallError
        If there is none, or its catalogue isn't whole.
    """

    def __init__(self, folder: Path) -> None:
        self._out = open_library(folder)
        self.folder = self._out.folder
        super().__init__()
        self._rounds = Rounds(self._round)
        self._rounds.start()

    @property
    def has_several(self) -> bool:
        """Whether there is a list to go back to."""
        return True

    @property
    def is_looked_through(self) -> bool:
        """Whether it is known by now which days there are."""
        return True

    def version(self) -> int:
        """Return nothing that changes: the list is made anew when it is loaded."""
        return self._version

    def opened(self) -> tuple[Shelf, ...]:
        """Return none: nothing is copied into a library's folders."""
        return ()

    def known(self, name: str) -> Shelf | None:
        """Return one day as far as it has been asked for."""
        self._rounds.somebody_asked()
        with self._lock:
            shelf = self._shelves.get(name)
        if shelf is not None:
            shelf.asked_at_s = time.monotonic()
        return shelf

    def shelf(self, name: str) -> Shelf:
        """Return one day in its newest version, and have it read if it isn't.

        Raises
        ------
        CallError
            If it isn't kept, or the library can't be read.
        """
        with library.reading(self.folder) as catalogue:
            known = library.newest_of(catalogue, name)
        if known is None:
            self._drop(name)
            shown = clean_text(name, longest=80)
            raise CallError("this library", f"no kept day {shown!r}", "the id of one", "look for it in the list")
        self._hold(name, known)
        shelf = self.find(name)
        if shelf is None:  # taken out at this moment
            raise CallError("this library", f"{name}, taken out just now", "a kept day", "load the page again")
        return shelf

    def other_laps(self, name: str) -> OtherLaps:
        """Return the laps of a day's trail and bike up to its date, of as many kept days as one page of laps shows."""
        with library.reading(self.folder) as catalogue:
            own = library.record_of(catalogue, name)
            if not own.trail:
                return OtherLaps()
            past = library.past_of(catalogue, bike=own.bike, trail=own.trail, until=own.date, most=AT_A_TIME)
        return OtherLaps(laps=tuple(lap for day in past.days if day.id != name for lap in laps_kept(day)))

    def close(self) -> None:
        """Remove what was copied to be read."""
        self._out.close()

    def _hold(self, name: str, known: Known) -> None:
        """Have a day there in this version; one that is there in another makes way."""
        edition = f"{known.number}.{known.content}"
        with self._lock:
            before = self._shelves.get(name)
            if before is not None and before.edition == edition:
                return
            version = 0 if before is None else before.version + 1
            self._shelves[name] = Shelf(name=name, path=self.folder, edition=edition, version=version)
        if before is not None:
            self._out.let_go(before.path)

    def _drop(self, name: str) -> None:
        with self._lock:
            gone = self._shelves.pop(name, None)
            self._opened = [other for other in self._opened if other != name]
        if gone is not None:
            self._out.let_go(gone.path)

    def _round(self) -> None:
        """Look whether the days that are held stand in the catalogue as they were read."""
        with self._lock:
            held = list(self._shelves)
        if not held:
            return
        try:
            with library.reading(self.folder) as catalogue:
                found = {name: library.newest_of(catalogue, name) for name in held}
        except TelemetryError:  # whoever loads a page is told
            return
        for name, known in found.items():
            if known is None:
                self._drop(name)
            else:
                self._hold(name, known)
                self._ask_where_open(name)

    def _ask_where_open(self, name: str) -> None:
        """Have a day read that a page shows, and that waits; one that a page has found gone meanwhile isn't there."""
        with self._lock:
            shelf = self._shelves.get(name)
            if shelf is not None and name in self._opened and shelf.state == "waiting":
                self._ask(name, WANTED)

    def _day_of(self, shelf: Shelf) -> RideDay:
        """Return a day as it was kept, with the kept days that it took its spread from."""
        day = self._out.day(shelf.name)
        shelf.path = day.path
        return day

    def _let_go(self) -> None:
        """Let go of days that nobody looks at, and of the copies that they were read from."""
        with self._lock:
            gone = [shelf for name, shelf in self._shelves.items() if name not in self._opened]
            for shelf in gone:
                shelf.read, shelf.days = None, ()
        for shelf in gone:
            self._out.let_go(shelf.path)
