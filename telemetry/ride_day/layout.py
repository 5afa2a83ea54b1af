"""Which columns of unknown logs read the ends' positions: by name, else by the file's name, else by what is left."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from telemetry.model.finding import ENDS, OTHER_END, End
from telemetry.model.log import ColumnSketch, LogSketch
from telemetry.trade_words import LENGTHS_MM, PERCENT

from .arranging import ends_of_files
from .log_names import read_name
from .recognising import Scale, Signals, signals_of

LONGEST_MM = 500.0
"""No end travels further; a column said to hold mm that reads beyond holds something else. Common sense."""
PERCENT_LOWEST, PERCENT_HIGHEST, PERCENT_SPAN = -10.0, 110.0, 20.0
"""Own choices: a column in percent of travel reads within the first two, a zero that is off among it, and moves by the
third at least; shares from 0 to 1 and counts don't."""
LOOSE_SHARE = 0.5
"""A column that moves by this share of what it does elsewhere in every recording at rest reads no end; own choice: an
end at rest moves by a few hundredths, an input with nothing plugged in by as much as ever."""
AT_REST = ("lifted", "still", "sag")
ODD_SHARE = 0.005
"""Readings beyond this share of half seconds at each side, such as spikes, don't tell an end's range; own choice."""

Alike: TypeAlias = tuple[object, ...]
"""A log's columns by name and number, and the end its file's name speaks of: logs of one logger have them alike."""
By: TypeAlias = Literal["its name", "its file's name", "its place", "what is left"]


@dataclass(frozen=True, slots=True, kw_only=True)
class EndColumn:
    """The column that reads an end's position.

    Attributes
    ----------
    end : End
    column : ColumnSketch
    sketch : LogSketch
        Of a log that holds it.
    by : str
        What was gone by.
    moves : bool
        Whether it moves in any log as travel does.
    """

    end: End
    column: ColumnSketch
    sketch: LogSketch
    by: By
    moves: bool

    @property
    def mm(self) -> float | None:
        """How many mm its unit is, by its name or a row of units; None where they tell no length."""
        return LENGTHS_MM.get(self.column.unit)

    @property
    def too_long(self) -> bool:
        """Whether it reads further than any end travels, in the unit that it says."""
        span = (self.column.highest or 0.0) - (self.column.lowest or 0.0)
        return self.mm is not None and span * self.mm > LONGEST_MM

    def is_percent(self, low: float, high: float) -> bool:
        """Tell whether it reads percent of travel: by its unit, and by its range over all logs."""
        within = low >= PERCENT_LOWEST and high <= PERCENT_HIGHEST and high - low >= PERCENT_SPAN
        return self.column.unit in PERCENT and within


class Layout:
    """What a folder's logs hold.

    Parameters
    ----------
    sketches : sequence of LogSketch
    """

    def __init__(self, sketches: Sequence[LogSketch]) -> None:
        self._file_ends = ends_of_files([sketch.path.name for sketch in sketches])
        self._groups: dict[Alike, list[LogSketch]] = defaultdict(list)
        for sketch in sketches:
            self._groups[self._alike(sketch)].append(sketch)
        self._loose = {alike: _loose(group) for alike, group in self._groups.items()}
        self._columns = {sketch.path: self._found(sketch) for sketch in sketches}
        self._scales: dict[tuple[Alike, int], Scale | None] = {}

    @property
    def groups(self) -> list[list[LogSketch]]:
        """The logs by their columns."""
        return list(self._groups.values())

    def alike(self, sketch: LogSketch) -> list[LogSketch]:
        """Return the logs written as this one, itself among them."""
        return self._groups[self._alike(sketch)]

    def columns(self, sketch: LogSketch) -> Mapping[End, EndColumn]:
        """Return the column of each end that a log reads."""
        return self._columns[sketch.path]

    def end_of(self, sketch: LogSketch) -> End | None:
        """Return the only end that a log reads; None where it reads both or none."""
        ends = list(self._columns[sketch.path])
        return ends[0] if len(ends) == 1 else None

    def others(self, sketch: LogSketch) -> list[ColumnSketch]:
        """Return a log's columns that move as travel does and that no end takes."""
        taken = {own.column.number for own in self.columns(sketch).values()}
        named = [own for own in self._candidates(sketch) if own.number not in taken]
        return [own for own in named if self._moves(sketch, own)]

    def loose(self, sketch: LogSketch) -> list[ColumnSketch]:
        """Return columns that no name calls travel and that move at rest as much as elsewhere."""
        return [own for own in sketch.columns if own.number in self._loose[self._alike(sketch)]]

    def signals(self, sketch: LogSketch) -> Signals:
        """Return what the ends do in a log, by its columns' ranges over all logs."""
        columns = {end: own.column for end, own in self.columns(sketch).items()}
        scales = {end: scale for end, own in columns.items() if (scale := self._scale(sketch, own)) is not None}
        return signals_of(columns, scales, sketch.duration_s)

    def _alike(self, sketch: LogSketch) -> Alike:
        return (self._file_ends.get(sketch.path.name), *((own.name, own.number) for own in sketch.columns))

    def _moves(self, sketch: LogSketch, column: ColumnSketch) -> bool:
        alike = (other.columns[column.number - 1] for other in self.alike(sketch))
        return any(own.proposal == "travel" for own in alike)

    def _candidates(self, sketch: LogSketch) -> list[ColumnSketch]:
        """Return columns that may be travel, those whose names say so first, of alike ones those in mm."""
        loose = self._loose[self._alike(sketch)]
        known = [own for own in sketch.columns if own.number not in loose]
        found = [own for own in known if own.named_travel or self._moves(sketch, own)]
        usable = [own for own in found if own.proposal not in ("time", "inertial", "ground_speed", "text", "unknown")]
        return sorted(usable, key=lambda own: (not own.named_travel, own.unit not in LENGTHS_MM, own.number))

    def _found(self, sketch: LogSketch) -> dict[End, EndColumn]:
        left = self._candidates(sketch)
        found: dict[End, tuple[ColumnSketch, By]] = {}
        for end in ENDS:
            named = next((own for own in left if own.end == end), None)
            if named is not None:
                found[end] = named, "its name"
        left = sorted((own for own in left if own.end is None), key=lambda own: (not own.named_travel, own.number))
        of_file = self._file_ends.get(sketch.path.name)
        if of_file is not None and not found and left:
            found[of_file] = left[0], "its file's name"
        elif of_file is None or of_file not in found or len(found) > 1:
            by: By = "what is left" if found else "its place"
            for end in ENDS:
                if end not in found and left and OTHER_END[end] is not of_file:
                    found[end] = left.pop(0), by
        return {
            end: EndColumn(
                end=end, column=found[end][0], sketch=sketch, by=found[end][1], moves=self._moves(sketch, found[end][0])
            )
            for end in ENDS
            if end in found
        }

    def span(self, sketch: LogSketch, column: ColumnSketch) -> tuple[float, float] | None:
        """Return a column's lowest and highest reading over all logs that write alike, but for odd ones."""
        own = [other.columns[column.number - 1].outline for other in self.alike(sketch)]
        lows = sorted(low for outline in own for low, _ in outline)
        highs = sorted(high for outline in own for _, high in outline)
        odd = int(ODD_SHARE * len(lows))
        return (lows[odd], highs[-1 - odd]) if lows and highs[-1 - odd] > lows[odd] else None

    def topped_out(self, sketch: LogSketch, column: ColumnSketch) -> float | None:
        """Return what a column reads in recordings named lifted; None without any."""
        lifted = [other for other in self.alike(sketch) if read_name(other.path.name).kind == "lifted"]
        levels = (middle_of(other.columns[column.number - 1]) for other in lifted)
        return next((level for level in levels if level is not None), None)

    def _scale(self, sketch: LogSketch, column: ColumnSketch) -> Scale | None:
        key = self._alike(sketch), column.number
        if key not in self._scales:
            span = self.span(sketch, column)
            self._scales[key] = None if span is None else self._scale_of(sketch, column, *span)
        return self._scales[key]

    def _scale_of(self, sketch: LogSketch, column: ColumnSketch, low: float, high: float) -> Scale | None:
        """Return which end of a column's range is topped out: where it was lifted, else the nearer to its rides."""
        level = self.topped_out(sketch, column)
        if level is None:
            alike = [other.columns[column.number - 1] for other in self.alike(sketch)]
            livest = max(alike, key=lambda own: (own.highest or 0.0) - (own.lowest or 0.0))
            level = middle_of(livest)
        upward = level is None or level - low <= high - level
        return Scale(topped_out=low, full=high) if upward else Scale(topped_out=high, full=low)


def middle_of(column: ColumnSketch) -> float | None:
    """Return the median of a column's half seconds."""
    middles = sorted((low + high) / 2 for low, high in column.outline)
    return middles[len(middles) // 2] if middles else None


def _loose(alike: Sequence[LogSketch]) -> frozenset[int]:
    """Return the numbers of columns that read no end, of logs written alike; none where that would be all of them."""
    rest = [own for own in alike if read_name(own.path.name).kind in AT_REST]
    ridden = [own for own in alike if read_name(own.path.name).kind is None]
    places = {
        place
        for sketch in alike
        for place, own in enumerate(sketch.columns)
        if own.proposal == "travel" and own.outline
    }
    if not rest or not ridden:
        return frozenset()
    loose = {
        place
        for place in places
        if not alike[0].columns[place].named_travel
        and min(_usual_move(own.columns[place]) for own in rest)
        >= LOOSE_SHARE * max(_usual_move(own.columns[place]) for own in ridden)
    }
    return frozenset() if loose == places else frozenset(alike[0].columns[place].number for place in loose)


def _usual_move(column: ColumnSketch) -> float:
    """Return by how much a column moves in its usual half second."""
    spans = sorted(high - low for low, high in column.outline)
    return spans[len(spans) // 2] if spans else 0.0
