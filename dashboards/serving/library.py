"""The ride days of a folder: found, read in the background, and looked after while they are shown."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from queue import PriorityQueue
from typing import Literal, TypeAlias

from telemetry.errors import CallError, TelemetryError, clean_text
from telemetry.files import Stamp, holds, stamp
from telemetry.model.analysis import Analysis
from telemetry.model.day import RideDay
from telemetry.pipeline import Along, Seen, Study, Wish, along, analysis_of, look, require_runs, study
from telemetry.ride_day import FILE_NAME, read_ride_day

DEEPEST_FOLDER = 2
KEPT_DAYS, KEPT_LOOKS, KEPT_ALONGS, KEPT_READINGS = 3, 16, 3, 3
WANTED, LATER = 0, 1
State: TypeAlias = Literal["waiting", "reading", "ready", "failed"]
_Key: TypeAlias = tuple[object, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadDay:
    """A day with all its logs read and studied, and the looks that were taken at it."""

    day: RideDay
    done: Study
    analysis: Analysis
    whole: Seen | None
    stamps: dict[Path, Stamp | None]
    _looks: OrderedDict[_Key, Seen | None] = field(default_factory=OrderedDict)
    _alongs: list[tuple[Seen, Along]] = field(default_factory=list)

    def look(self, wish: Wish) -> Seen | None:
        """Return the day over what is wished of it; the latest looks are kept.

        Raises
        ------
        CallError
        """
        if wish == Wish():
            return self.whole
        key: _Key = tuple(
            None if part is None else part if isinstance(part, str) else tuple(part)
            for part in (wish.baseline, wish.candidates, wish.runs, wish.sections)
        )
        if key not in self._looks:
            self._looks[key] = look(self.done, wish)
            if len(self._looks) > KEPT_LOOKS:
                self._looks.popitem(last=False)
        self._looks.move_to_end(key)
        return self._looks[key]

    def along(self, seen: Seen) -> Along:
        """Return the shown runs along the trail; the latest are kept."""
        found = next((kept for of, kept in self._alongs if of is seen), None)
        if found is None:
            found = along(self.done, seen)
            self._alongs.append((seen, found))
            del self._alongs[:-KEPT_ALONGS]
        return found

    def changes(self) -> tuple[str, ...]:
        """Return which of the day's files have changed since it was read, a line each."""
        changed = [path for path, before in self.stamps.items() if stamp(path) != before]
        if not holds(self.day.path, self.day.source):
            changed.insert(0, self.day.path)
        return tuple(f"{clean_text(path.name)} {'has changed' if path.exists() else 'is gone'}" for path in changed)


@dataclass(slots=True, kw_only=True)
class Shelf:
    """One day of the folder: its place, and how far it has been read.

    `told` is what the list says of it once it was read, kept when the day itself is let go; `days` is the day by each
    of the last readings, the newest first: a page asks by the one it was made from. `failed_with` are the folder's
    files as they were when reading failed: once they differ, it is worth another try.
    """

    name: str
    path: Path
    state: State = "waiting"
    progress: str = ""
    trouble: str = ""
    told: str = ""
    version: int = 0
    read: ReadDay | None = None
    days: tuple[RideDay, ...] = ()
    failed_with: frozenset[tuple[Path, Stamp | None]] = frozenset()


def _files(folder: Path) -> frozenset[tuple[Path, Stamp | None]]:
    try:
        return frozenset((path, stamp(path)) for path in folder.iterdir())
    except OSError:
        return frozenset()


def days_in(folder: Path) -> Iterator[Path]:
    """Yield the ride days of a folder: in itself and up to two folders down, none by way of a link out of it."""
    root = folder.resolve()
    for depth in range(DEEPEST_FOLDER + 1):
        for path in sorted(folder.glob("*/" * depth + FILE_NAME)):
            hidden = any(part.startswith(".") for part in path.relative_to(folder).parts)
            if not hidden and path.is_file() and path.resolve().is_relative_to(root):
                yield path


class Library:
    """All days of a folder. Reading happens on one thread of its own, what a page waits for first.

    Parameters
    ----------
    folder : Path
        Nothing outside of it is ever read.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._shelves: dict[str, Shelf] = {}
        self._lock = threading.Lock()
        self._queue: PriorityQueue[tuple[int, int, str]] = PriorityQueue()
        self._asked = 0
        self._opened: list[str] = []
        threading.Thread(target=self._work, name="reading", daemon=True).start()

    def shelves(self) -> tuple[Shelf, ...]:
        """Return every day there is now, in no order; days not known yet are put on the list to be read."""
        found = {path.parent.relative_to(self.folder).as_posix(): path for path in days_in(self.folder)}
        with self._lock:
            for name, path in found.items():
                if name not in self._shelves:
                    self._shelves[name] = Shelf(name=name, path=path)
                    self._ask(name, LATER)
            return tuple(self._shelves[name] for name in found)

    def shelf(self, name: str) -> Shelf:
        """Return one day, and have it read if it isn't.

        Raises
        ------
        CallError
            If the folder has no such day.
        """
        shelf = next((shelf for shelf in self.shelves() if shelf.name == name), None)
        if shelf is None:
            raise CallError("this folder", f"no ride day {clean_text(name, longest=80)!r}", "one of its ride days")
        with self._lock:
            self._opened = [name, *(other for other in self._opened if other != name)][:KEPT_DAYS]
            mended = shelf.state == "failed" and _files(shelf.path.parent) != shelf.failed_with
            if mended:
                shelf.state = "waiting"
            if mended or (shelf.read is None and shelf.state in ("waiting", "ready")):
                self._ask(name, WANTED)
        return shelf

    def version(self) -> int:
        """Return what tells the list of all days from the list as it was before."""
        shelves = self.shelves()
        return sum(shelf.version for shelf in shelves) + len(shelves)

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

    def again(self, name: str) -> None:
        """Have a day read again; the old one stands until the new one is there."""
        shelf = self.shelf(name)
        with self._lock:
            shelf.state = "waiting"
            self._ask(name, WANTED)

    def _ask(self, name: str, urgency: int) -> None:
        self._asked += 1
        self._queue.put((urgency, self._asked, name))

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
        except TelemetryError as error:
            shelf.trouble = error.line
        except MemoryError:
            shelf.trouble = "too little memory for these logs: close programs or split them"
        except Exception as error:  # noqa: BLE001 - a page tells it; the server goes on
            shelf.trouble = f"the program's own fault: {type(error).__name__}: {clean_text(str(error))}"
        else:
            shelf.read, shelf.told, shelf.trouble, state = read, _told(read), "", "ready"
            shelf.days = (read.day, *shelf.days)[:KEPT_READINGS]
        shelf.failed_with = files
        with self._lock:
            if shelf.state == "reading":  # else it was asked for again meanwhile, and is read again next
                shelf.state = state
        shelf.version += 1

    def _let_go(self) -> None:
        """Let go of days that nobody looks at: their logs are large."""
        with self._lock:
            for name, shelf in self._shelves.items():
                if name not in self._opened and len(self._shelves) > 1:
                    shelf.read = None


def _told(read: ReadDay) -> str:
    """Return the one line that the list says of a day."""
    seen = read.whole
    if seen is None:
        return "no usable run"
    if seen.comparison is None:
        return "one setup: nothing to compare"
    return next(iter(seen.comparison.summaries.values())).headline


def read_whole(path: Path, progress: Callable[[str], None] | None = None) -> ReadDay:
    """Read a day and all its logs.

    Parameters
    ----------
    path : Path
        Its ``ride_day.toml``.
    progress : callable, optional
        Told each run's name before it is read.

    Raises
    ------
    TelemetryError
    """
    day = read_ride_day(path)
    require_runs(day)
    stamps: dict[Path, Stamp | None] = {}
    for entry in day.runs:
        logs = [entry.log, *([entry.rear_log] if entry.rear_log is not None else [])]
        stamps.update((log, stamp(log)) for log in logs)
    stamps.update((item.log, stamp(item.log)) for item in day.static)
    done = study(day, progress)
    analysis = analysis_of(done, pictures=True)
    return ReadDay(day=day, done=done, analysis=analysis, whole=look(done, Wish()), stamps=stamps)
