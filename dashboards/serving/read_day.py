"""One ride day with all its logs read, and the looks that were taken at it."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from telemetry.errors import CallError, clean_text
from telemetry.files import Stamp, holds, stamp
from telemetry.model.analysis import Analysis
from telemetry.model.bench import Bench
from telemetry.model.day import RideDay
from telemetry.pipeline import (
    Along,
    Selection,
    ShownDay,
    Study,
    along,
    analysis_of,
    bench_of,
    look,
    new_logs,
    nothing_to_see,
    study,
)
from telemetry.telling.day import NO_RUN
from telemetry.telling.sitting import sitting_in_short
from telemetry.words import lower_first

from .on_paper import RidesOnPaper

KEPT_LOOKS, KEPT_ALONGS = 16, 3


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadDay:
    """A day with all its logs read and studied, and the looks that were taken at it."""

    day: RideDay
    done: Study
    analysis: Analysis
    whole: ShownDay
    stamps: dict[Path, Stamp | None]
    _looks: OrderedDict[Selection, ShownDay | None] = field(default_factory=OrderedDict)
    _alongs: list[tuple[ShownDay, Along]] = field(default_factory=list)
    _benches: list[Bench] = field(default_factory=list)
    paper: RidesOnPaper = field(init=False)

    def __post_init__(self) -> None:
        """Have the day ready to be ridden on paper."""
        object.__setattr__(self, "paper", RidesOnPaper(self.done))

    def look(self, selection: Selection) -> ShownDay | None:
        """Return the day over what is wished of it; the latest looks are kept.

        Raises
        ------
        CallError
        """
        if selection == Selection() or not self.whole.pictures:
            return self.whole
        if selection not in self._looks:
            self._looks[selection] = look(self.done, selection)
            if len(self._looks) > KEPT_LOOKS:
                self._looks.popitem(last=False)
        self._looks.move_to_end(selection)
        return self._looks[selection]

    def along(self, seen: ShownDay) -> Along:
        """Return the shown runs along the trail; the latest are kept."""
        found = next((kept for of, kept in self._alongs if of is seen), None)
        if found is None:
            found = along(self.done, seen)
            self._alongs.append((seen, found))
            del self._alongs[:-KEPT_ALONGS]
        return found

    def bench(self) -> Bench:
        """Return what the day's parts do, worked out once.

        Raises
        ------
        TelemetryError
            If figures of its parts contradict each other.
        """
        if not self._benches:
            self._benches.append(bench_of(self.day))
        return self._benches[0]

    def changes(self) -> tuple[str, ...]:
        """Return which of the day's files have changed since it was read, a line each."""
        changed = [path for path, before in self.stamps.items() if stamp(path) != before]
        if not holds(self.day.path, self.day.source):
            changed.insert(0, self.day.path)
        return tuple(f"{clean_text(path.name)} {'has changed' if stamp(path) else 'is gone'}" for path in changed)


def names_of_new_logs(day: RideDay) -> tuple[str, ...]:
    """Return the logs in a day's folder that it doesn't mention, by name; none where it can't be listed."""
    try:
        return tuple(clean_text(log.name) for log in new_logs(day))
    except CallError:
        return ()


def headline_of(read: ReadDay) -> str:
    """Return the one line that the list says of a day."""
    seen = read.whole
    if not seen.pictures:
        told = ["no usable run" if read.day.runs else NO_RUN, sitting_in_short(read.analysis)]
        return "; ".join(lower_first(words) for words in told if words)
    if seen.comparison is None:
        return "one setup: nothing to compare"
    return next(iter(seen.comparison.summaries.values())).headline


def read_whole(day: RideDay, progress: Callable[[str], None] | None = None) -> ReadDay:
    """Read all logs of a day.

    Parameters
    ----------
    day : RideDay
    progress : callable, optional
        Told each run's name before it is read.

    Raises
    ------
    TelemetryError
    """
    stamps: dict[Path, Stamp | None] = {}
    for entry in day.runs:
        logs = [entry.log, *([entry.rear_log] if entry.rear_log is not None else [])]
        stamps.update((log, stamp(log)) for log in logs)
    stamps.update((item.log, stamp(item.log)) for item in day.static)
    done = study(day, progress)
    analysis = analysis_of(done, pictures=True)
    whole = look(done, Selection()) or nothing_to_see()
    return ReadDay(day=day, done=done, analysis=analysis, whole=whole, stamps=stamps)
