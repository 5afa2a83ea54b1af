"""Each end's tables in a drafted ``ride_day.toml``: the bike's, and the sensor that reads its position."""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet

from telemetry.errors import clean_text
from telemetry.model.finding import ENDS, End
from telemetry.model.log import ColumnSketch, LogSketch
from telemetry.toml_string import toml_string

from . import draft_words as words
from .folder import Folder
from .layout import PERCENT_HIGHEST, PERCENT_LOWEST, EndColumn

SENSORS: dict[End, str] = {"front": "fork", "rear": "shock"}
LONGEST_STROKE_MM = 110.0
"""Own choice: what reads further at the rear reads the wheel's travel, not the shock's stroke."""


def column_words(column: ColumnSketch, sketch: LogSketch) -> str:
    """Return a column as the file names it: by its number where its name is missing or not its own."""
    if column.of_rows:
        return toml_string(str(column.name))
    twins = [other for other in sketch.columns if other.name == column.name]
    if isinstance(column.name, int) or not column.name.strip() or len(twins) > 1:
        return str(column.number)
    return toml_string(column.name)


def end_tables(ends: AbstractSet[End], leverage: str | None, stroke_mm: float | None) -> Iterator[str]:
    """Return what is asked of the ends that a sensor reads.

    Parameters
    ----------
    ends : set of End
    leverage : str or None
        The file beside the logs that holds the rear's curve.
    stroke_mm : float or None
        Where it ends.
    """
    if "front" in ends:
        yield words.FRONT
    if "rear" in ends and leverage is not None and stroke_mm is not None:
        yield words.REAR_BY_FILE.format(file=toml_string(leverage), stroke=f"{stroke_mm:g}")
    elif "rear" in ends:
        yield words.REAR


def sensor_tables(found: Folder) -> Iterator[str]:
    """Return the sensors that read the ends' positions, and what is asked of them.

    Parameters
    ----------
    found : Folder
    """
    taken: dict[End, EndColumn] = {}
    logs = [found.sketch(run) for run in (*found.runs, *found.recordings)]
    for sketch in [*logs, *found.sketches]:
        for end, own in found.layout.columns(sketch).items():
            taken.setdefault(end, own)
    for end in ENDS:
        if end in taken:
            yield _sensor(taken[end], found)
    yield from _no_numbers(found.sketches[0])
    for sketch in {own.sketch.path: own.sketch for own in taken.values()}.values():
        for column in found.layout.others(sketch):
            low, high = _range(found, sketch, column)
            yield words.ONE_MORE.format(column=clean_text(column_words(column, sketch)), low=low, high=high)
        for column in found.layout.loose(sketch):
            low, high = _range(found, sketch, column)
            yield words.LOOSE.format(column=clean_text(column_words(column, sketch)), low=low, high=high)


def _no_numbers(sketch: LogSketch) -> Iterator[str]:
    """Return what is asked of columns that read an end by their names but hold text."""
    for column in sketch.columns:
        if column.proposal == "text" and column.named_travel and column.example.lstrip("+-")[:1].isdigit():
            name, example = column_words(column, sketch), toml_string(clean_text(column.example, longest=40))
            yield words.NO_NUMBERS.format(column=clean_text(name), example=clean_text(example))


def _range(found: Folder, sketch: LogSketch, column: ColumnSketch) -> tuple[str, str]:
    """Return a column's lowest and highest reading over all logs that write alike."""
    own = [other.columns[column.number - 1] for other in found.layout.alike(sketch)]
    lows = [item.lowest for item in own if item.lowest is not None]
    highs = [item.highest for item in own if item.highest is not None]
    return f"{min(lows, default=0.0):g}", f"{max(highs, default=0.0):g}"


def _sensor(own: EndColumn, found: Folder) -> str:
    name = column_words(own.column, own.sketch)
    low, high = _range(found, own.sketch, own.column)
    sure = own.by in ("its name", "its file's name")
    told = f"by {own.by}; check it" if sure else words.ASK_END.format(by=own.by)
    text = words.DISPLACEMENT.format(name=SENSORS[own.end], end=own.end, told=told, column=name, low=low, high=high)
    doubt = "" if own.moves else words.FLAT.format(column=clean_text(name), low=low, high=high)
    measures = _measures(own, float(low), float(high)) if own.end == "rear" else ""
    return text + doubt + measures + _points(own, found, float(low), float(high))


def _measures(own: EndColumn, low: float, high: float) -> str:
    wheel = own.mm is not None and not own.too_long and (high - low) * own.mm > LONGEST_STROKE_MM
    return words.MEASURES_TRAVEL if wheel else words.MEASURES


def _points(own: EndColumn, found: Folder, low: float, high: float) -> str:
    """Return the calibration where the column's unit tells it; else what is asked, with what lifted logs read."""
    if own.mm is not None and not own.too_long:
        sign = -1 if abs(low) > abs(high) else 1
        return words.POINTS_MM.format(reading=f"{sign * 100 / own.mm:g}", unit=clean_text(own.column.unit))
    unit = clean_text(own.column.unit)
    doubt = words.NOT_MM.format(unit=unit, low=f"{low:g}", high=f"{high:g}") if own.too_long else ""
    level = found.layout.topped_out(own.sketch, own.column)
    if own.is_percent(low, high):
        downward = level is not None and level > (PERCENT_LOWEST + PERCENT_HIGHEST) / 2
        topped_out, full = ("100.0", "0.0") if downward else ("0.0", "100.0")
        return words.POINTS_PERCENT + words.POINTS_PERCENT_LINE.format(topped_out=topped_out, full=full)
    return doubt + words.POINTS.format(topped_out="<reading topped out>" if level is None else f"{level:g}")
