"""A folder of unknown logs: what each is, which two are of one run, in which order they were made, and on which day."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from telemetry.model.finding import ENDS
from telemetry.model.log import ColumnSketch, LogSketch

from .arranging import NewLog, Ridden, in_order, paired, placed
from .layout import Layout
from .log_names import RUN, read_name
from .recognising import SAID, Recognised, recognised

HARDLY_SHARE = 0.08
"""Where inertial sensors alone are logged, a log in which every axis stays within this share of its range over all logs
is at rest; common sense."""
EARLIEST = dt.date(2010, 1, 1)
"""Own choice: a clock that was never set shows 1970, 1980 or 2000."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Folder:
    """What a folder's logs are.

    Attributes
    ----------
    sketches : tuple of LogSketch
    layout : Layout
    runs, recordings : tuple of NewLog
        In the order made; those of two loggers together. A recording of one end alone says so in `ends`.
    stated : tuple of tuple of date
        The day that each log states above its readings; two where day and month may be the other way round.
    """

    sketches: tuple[LogSketch, ...]
    layout: Layout
    runs: tuple[NewLog, ...]
    recordings: tuple[NewLog, ...]
    stated: tuple[tuple[dt.date, ...], ...] = ()

    def sketch(self, item: NewLog) -> LogSketch:
        """Return the sketch of a log."""
        return next(own for own in self.sketches if own.path == item.log)

    @property
    def timed(self) -> bool:
        """Whether every run's start is told, and no two are the same."""
        times = {item.started_at for item in self.runs if item.started_at is not None}
        return bool(times) and len(times) == len(self.runs)

    @property
    def days(self) -> tuple[dt.date, ...]:
        """The days that the logs tell, by clock or name, that of most first.

        Else what they state above their readings, or what the folder's name tells.
        """
        items = (*self.runs, *self.recordings)
        told = [item.started_at.date() if item.started_at is not None else item.said.day for item in items]
        days = tuple(day for day, _ in Counter(day for day in told if day is not None).most_common())
        stated = tuple(day for day, _ in Counter(own[0] for own in self.stated if len(own) == 1).most_common())
        named = read_name(self.sketches[0].path.resolve().parent.name).day
        return days or stated or (() if named is None else (named,))

    @property
    def day_and_month(self) -> tuple[dt.date, ...]:
        """The two days that all logs state where nothing tells which number is the month; empty else."""
        read = set(self.stated)
        return () if self.days or len(read) != 1 else next(iter(read))

    def may_count_recordings(self, item: NewLog) -> bool:
        """Tell whether a recording's number, taken for a run's, may as well say the how manieth recording it is.

        So it may where recordings of several kinds are numbered in one count from 1 on, or those of its kind are and
        aren't as many as the runs.
        """
        said, ridden = item.said, {run.said.number for run in self.runs}
        if said.number not in ridden or said.number == 1 or RUN.speaks_in(said.words):
            return False
        bare = [own for own in self.recordings if not RUN.speaks_in(own.said.words)]
        all_kinds = [own for own in bare if own.said.end == said.end]
        alike = [own for own in all_kinds if own.what.kind == item.what.kind]
        if len(alike) < len(all_kinds) and _count_up(all_kinds):
            return True
        return len(alike) != len(self.runs) and _count_up(alike)

    @property
    def of_one_end(self) -> bool:
        """Whether each end has a logger of its own."""
        return any(run.rear_log is not None for run in self.runs)


def _count_up(items: Sequence[NewLog]) -> bool:
    """Tell whether logs are numbered from 1 on, two at least; one without a number is one more."""
    numbers = sorted(number for item in items if (number := item.said.number) is not None)
    return len(numbers) > 0 and numbers in (list(range(1, len(numbers) + 1)), list(range(2, len(items) + 1)))


def look_at(sketches: Sequence[LogSketch], today: dt.date) -> Folder:
    """Return what a folder's logs are.

    Parameters
    ----------
    sketches : sequence of LogSketch
        One at least.
    today : date
        No log was made later.
    """
    layout = Layout(sketches)
    made = {sketch.path: _made(sketch, layout, sketches, today) for sketch in sketches}
    alone = {end: [made[own.path] for own in sketches if layout.end_of(own) == end] for end in ENDS}
    both = [made[own.path] for own in sketches if layout.end_of(own) is None]
    runs = {end: [item for item in alone[end] if item.what.kind == "run"] for end in ENDS}
    still = [item for end in ENDS for item in alone[end] if item.what.kind != "run"]
    ordered = in_order([*both, *still, *paired(runs["front"], runs["rear"])])
    ridden = tuple(item for item in ordered if item.what.kind == "run")
    known = [Ridden(name=item.name, log=item.log.name, started_at=item.started_at) for item in ridden]
    return Folder(
        sketches=tuple(sketches),
        layout=layout,
        runs=ridden,
        recordings=tuple(placed(item, known) for item in ordered if item.what.kind != "run"),
        stated=tuple(days for own in sketches if (days := _likely(own.preface.days, today))),
    )


def _made(sketch: LogSketch, layout: Layout, sketches: Sequence[LogSketch], today: dt.date) -> NewLog:
    name = read_name(sketch.path.name)
    if len(sketches) == 1 and name.kind is None:  # nothing to tell its range by
        what = Recognised(kind="run", sure=True, why="")
    elif layout.columns(sketch) or name.kind is not None:
        what = recognised(name, layout.signals(sketch))
    else:
        what = _by_acceleration(sketch, sketches)
    told = sketch.started_at
    by_clock = told if told is not None and _likely([told.date()], today) else None
    return NewLog(log=sketch.path, what=what, started_at=by_clock or name.started_at)


def _likely(days: Sequence[dt.date], today: dt.date) -> tuple[dt.date, ...]:
    """Return the days on which a log may have been made."""
    return tuple(day for day in days if EARLIEST <= day <= today + dt.timedelta(days=1))


def _by_acceleration(sketch: LogSketch, sketches: Sequence[LogSketch]) -> Recognised:
    live = [column for column in sketch.columns if column.proposal == "inertial"]
    if not live or any(_share_moved(column, sketches) > HARDLY_SHARE for column in live):
        return Recognised(kind="run", sure=True, why="")
    return Recognised(kind="still", sure=False, why=SAID["still"])


def _share_moved(column: ColumnSketch, sketches: Sequence[LogSketch]) -> float:
    alike = [own for sketch in sketches for own in sketch.columns if own.name == column.name]
    lows = [own.lowest for own in alike if own.lowest is not None]
    highs = [own.highest for own in alike if own.highest is not None]
    if column.lowest is None or column.highest is None or max(highs) <= min(lows):
        return 0.0
    return (column.highest - column.lowest) / (max(highs) - min(lows))
