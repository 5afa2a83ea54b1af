"""What the parts of each setup do: what differs in sentences, then in tables with a setup a column."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import TypeAlias

from telemetry.model.bench import Bench
from telemetry.model.bench_damper import MID_RANGE
from telemetry.model.bench_figures import FigureRow, Ranged, Width
from telemetry.model.bench_friction import Interval
from telemetry.model.finding import End, Place
from telemetry.sheet import ABSENT, Sheet, Table, table
from telemetry.words import figure, percent, titled, two_digits, upper_first, with_end

from .bench_words import absent_lines, bench_against, remarks, rounded
from .names import ENDS, PLACES, TITLES
from .sitting import LOADS

Rows: TypeAlias = Sequence[tuple[str, FigureRow]]
PARTS: Mapping[str, str] = MappingProxyType(
    {
        "leverage": "leverage",
        "geometry": "geometry, unladen",
        "geometry_at_sag": "geometry at sag",
        "springs": "springs, at the wheel",
        "lower_legs": "lower legs",
        "damper": "damper, at its shaft",
        "masses": "what it carries, and how it sits",
        "set_up": "where to begin, within the maker's limits",
    }
)
"""What each part is called; one that isn't listed goes by its own name."""
WHOLE, SET_UP = "Whole bike", "set_up"
LOPSIDED = 2.0
"""A range that reaches so many times as far to one side is told by both its ends: gas near its end. Own choice."""
RANGES = (
    "± is half the 90 % range by how well each figure is known that goes in (plus_minus, else the usual width); "
    "a range that reaches further to one side stands with both its ends. "
    "What setups share is off alike in all: a difference is known better than either."
)
CAUTIONS: Mapping[str, str] = MappingProxyType(
    {
        "lower_legs": (
            "A crossover takes drilling or a fitting in a part that carries the rider: ask the maker or a qualified "
            "engineer first. More oil than the maker states can lock the fork before its end."
        ),
        "set_up": (
            "A starting point for one rider's mass, not a setting: the maker's least and most pressure, spring and "
            "preload go before it, adjusters change damping in steps of their own. Never open a part under pressure."
        ),
    }
)
LET_OUT = "Let air out in small steps."
UNDONE = (
    "Where friction comes from: settle recordings in setups of their own, each with one thing undone (axle clamp "
    "loose, wheel and axle out, spring out), tell it by the difference of their bands. Then everything back to torque, "
    "as the maker states."
)
FEW = 0.95
"""With fewer draws of parts that can be, ranges are told to be too narrow; own choice."""
MOST_BESIDE = 2
"""So many setups beside the first are told one after the other: side by side they go over a line."""
SAME, STATED, AT_SAG = "same", "as stated", ", at sag"
DIFFERENCE = "difference"
FAST = (
    "Fast: the gas as it rides about sag, with no time to give its heat away. Slow: the gas as the bike comes to rest."
)
FULL = "With --full: every force, rate and range by part, each leg, and how well each figure is known"


def bench_sheet(bench: Bench, *, full: bool = False) -> Sheet:
    """Return what differs between setups in sentences, then the bench's tables, rear before front; cautions.

    In `full` the tables hold every figure, and what had to be assumed and can't be told stand in tables too.
    """
    lines = tuple(against_lines(bench))
    rows = bench.rows
    places = [place for place in PLACES if any(row.end == place for row in rows)]
    tables = part_blocks(bench) if full else tuple(part for place in places for part in main_tables(bench, place))
    told = (RANGES,) if rows else ()
    told = (*told, FAST) if any(row.figure.what.endswith(", fast") for row in rows) else told
    told = (*told, _impossible(bench)) if bench.possible < FEW else told
    told = (*told, UNDONE) if any(setup.at(end).friction for setup in bench.setups for end in ENDS) else told
    friction = tuple(filter(None, (friction_table(bench),)))
    above = (*lines, *tables, *friction, *told, *notes(bench))
    if full:
        return (*above, *filter(None, (assumed_table(bench), absent_table(bench))))
    return (*above, *assumed_lines(bench), *_not_told(bench), FULL)


def notes(bench: Bench) -> tuple[str, ...]:
    """Return where adjusters have little left, what to mind, and what else has to be said."""
    parts = {row.part for row in bench.rows}
    cautions = (words for part, words in CAUTIONS.items() if part in parts)
    parts_set_up = (setup.at(end).set_up for setup in bench.setups for end in ENDS)
    let_out = (LET_OUT,) if any(own is not None and own.is_air for own in parts_set_up) else ()
    return (*adjuster_lines(bench), *cautions, *let_out, *remarks(bench))


def against_lines(bench: Bench) -> Iterator[str]:
    """Yield what each other setup's parts do otherwise than the first's, and what differs on paper."""
    told = {own.setup: own.lines for own in bench_against(bench)}
    for setup in bench.setups[1:]:
        differing = [row.words for row in bench.setup_differences if row.candidate == setup.name]
        yield f"{setup.label}, against {bench.setups[0].label}: {'; '.join(differing) or 'nothing differs on paper'}"
        for line in told.get(setup.name, ()):
            yield f"  {upper_first(line)}."
    if bench.setups[1:]:
        yield ""


def _not_told(bench: Bench) -> Iterator[str]:
    lines = absent_lines(bench)
    if lines:
        yield "Not told, and why:"
        yield from (f"  {line}" for line in lines)


def assumed_lines(bench: Bench) -> Iterator[str]:
    """Yield on one line what was taken where nothing is stated."""
    found = {_taken(width): None for _, width in _widths(bench) if width.assumed is not None}
    if found:
        yield f"Taken for granted, for it isn't stated: {'; '.join(found)}."


def _taken(width: Width) -> str:
    value = f"{width.assumed:g} ± {two_digits(width.plus_minus)} {width.unit}".rstrip()
    return f"{with_end(width.words, width.end)} {value}"


def _impossible(bench: Bench) -> str:
    return (
        f"Ranges are too narrow: in {percent(1 - bench.possible)} % of the draws the figures are those of no parts "
        "that can be (more oil than volume, say), and these were left out. Measure again what is known worst."
    )


def adjuster_lines(bench: Bench) -> Iterator[str]:
    """Yield where adjusters stand that have little left one way, the same of several setups once."""
    told: dict[str, list[str]] = {}
    for end in ENDS:
        for setup in bench.setups:
            damper = setup.at(end).damper
            for own in damper.adjusters if damper is not None else ():
                if own.of and own.stands != MID_RANGE:
                    at = f"{own.from_closed:g} of {own.of:g} {own.unit} from closed"
                    told.setdefault(f"{TITLES[end]}, {own.words}: {at}, {own.stands}", []).append(setup.label)
    return (f"{words} ({', '.join(labels)})." for words, labels in told.items())


def part_blocks(bench: Bench) -> tuple[Table, ...]:
    """Return the same for a page of text: with more than two setups a block for what each changes."""
    return tuple(
        block
        for place in PLACES
        for part in _parts_at(bench, place)
        for block in _blocks(bench, *_of_part(bench, place, part))
    )


def main_tables(bench: Bench, place: Place) -> tuple[Table, ...]:
    """Return what is read first at one place: a column a setup where anything differs there, else one of all.

    With more than two setups one table of the first, then one of what each other changes.
    """
    rows = [row for row in bench.rows if row.end == place and row.figure.main]
    told = [(f"{row.figure.what}{AT_SAG if row.part == 'geometry_at_sag' else ''}", row) for row in rows]
    title = WHOLE if place == "both" else TITLES[place]
    if not rows:
        return ()
    if not _all_alike(bench, told) or len(bench.setups) == 1:
        return _blocks(bench, told, title)
    return (_of_first(bench, told, title, "all setups"),)


def part_table(bench: Bench, place: Place, part: str) -> Table:
    """Return one part at one place, a column a setup, and what each differs by from the first."""
    return _with_setups(bench, *_of_part(bench, place, part))


def beside_figure(bench: Bench, place: Place, part: str, setups: Sequence[str]) -> Table:
    """Return what is read first of a part with its ranges, to stand beside its figure: a column a drawn setup."""
    drawn = [setup for setup in bench.setups if setup.name in setups]
    rows = [row for row in bench.rows if (row.end, row.part) == (place, part) and row.figure.main]
    told = [
        [titled(row.figure.what, row.figure.unit), *(_cell(row, row.values.get(setup.name)) for setup in drawn)]
        for row in rows
    ]
    return table(["", *(setup.label for setup in drawn)], told)


def begin_tables(bench: Bench) -> tuple[Table, ...]:
    """Return where to begin, an end a table: a column a setup, or one of all; the end's name is its title."""
    return tuple(_begin(bench, end) for end in ENDS if SET_UP in _parts_at(bench, end))


def _begin(bench: Bench, end: End) -> Table:
    rows, _ = _of_part(bench, end, SET_UP)
    if len(bench.setups) > 1 and _all_alike(bench, rows):
        return _of_first(bench, rows, TITLES[end], "all setups")
    told = [
        [what, row.figure.unit, *(_cell(row, row.values.get(setup.name)) for setup in bench.setups)]
        for what, row in rows
    ]
    return table(["", "unit", *(setup.label for setup in bench.setups)], told, title=TITLES[end], right_from=2)


def _all_alike(bench: Bench, rows: Rows) -> bool:
    """Tell whether every setup has every figure, and no setup another one than the first."""
    return all(
        len(row.values) == len(bench.setups) and all(own.is_nothing for own in row.differences.values())
        for _, row in rows
    )


def tables_by_place(bench: Bench) -> tuple[tuple[str, tuple[Table, ...]], ...]:
    """Return every figure but where to begin, gathered by place: "Rear: every figure", a table for each part."""
    found = []
    for place in PLACES:
        own = tuple(part_table(bench, place, part) for part in _parts_at(bench, place) if part != SET_UP)
        found += [(f"{WHOLE if place == 'both' else TITLES[place]}: every figure", own)] if own else []
    return tuple(found)


def _parts_at(bench: Bench, place: Place) -> list[str]:
    return list(dict.fromkeys(row.part for row in bench.rows if row.end == place))


def _of_part(bench: Bench, place: Place, part: str) -> tuple[Rows, str]:
    rows = [(row.figure.what, row) for row in bench.rows if (row.end, row.part) == (place, part)]
    return rows, f"{WHOLE if place == 'both' else TITLES[place]}: {PARTS.get(part, part.replace('_', ' '))}"


def _of_first(bench: Bench, rows: Rows, title: str, head: str) -> Table:
    first = bench.setups[0].name
    cells = [[what, row.figure.unit, _cell(row, row.values[first])] for what, row in rows if first in row.values]
    return table(["", "unit", head], cells, title=title, right_from=2)


def _blocks(bench: Bench, rows: Rows, title: str) -> tuple[Table, ...]:
    """Return one table of one or two setups; of more the first one's, then what each other changes."""
    first, *others = bench.setups
    if len(others) < MOST_BESIDE:
        return (_with_setups(bench, rows, title),)
    found = [_of_first(bench, rows, title, first.label)]
    for other in others:
        changed = [(what, row) for what, row in rows if _changes(row, first.name, other.name)]
        if changed:
            found.append(
                _with_setups(
                    replace(bench, setups=(first, other)), changed, f"{title}: {other.label} against {first.label}"
                )
            )
    return tuple(own for own in found if own.rows)


def _changes(row: FigureRow, first: str, other: str) -> bool:
    apart = row.differences.get(other)
    return (first in row.values) != (other in row.values) if apart is None else not apart.is_nothing


def _with_setups(bench: Bench, rows: Rows, title: str) -> Table:
    others = [setup for setup in bench.setups[1:] if any(setup.name in row.differences for row in bench.rows)]
    columns = ["", "unit", *(setup.label for setup in bench.setups)]
    columns += [DIFFERENCE if len(others) == 1 else f"{DIFFERENCE}, {setup.label}" for setup in others]
    told = []
    for what, row in rows:
        cells = [_cell(row, row.values.get(setup.name)) for setup in bench.setups]
        apart = [_difference(row, row.differences.get(setup.name)) for setup in others]
        told.append([what, row.figure.unit, *cells, *apart])
    return table(columns, told, title=title, right_from=2)


def _cell(row: FigureRow, value: Ranged | None) -> str:
    if value is None:
        return ABSENT
    places = row.figure.places
    half = (value.high - value.low) / 2
    if round(half, places) == 0:
        return figure(value.value, places)
    below, above = value.value - value.low, value.high - value.value
    if max(below, above) > LOPSIDED * min(below, above):
        return _with_ends(value, places)
    return " ± ".join(rounded(number, half, places) for number in (value.value, half))


def _difference(row: FigureRow, value: Ranged | None) -> str:
    if value is None:
        return ABSENT
    places = row.figure.places
    if value.is_nothing:
        return SAME
    return _with_ends(value, places, signed=True)


def _with_ends(value: Ranged, places: int, *, signed: bool = False) -> str:
    """Return a figure with both ends of its range: "3700 (3000 to 5600)"; alone where both read alike."""
    half = (value.high - value.low) / 2
    told, low, high = (rounded(number, half, places, signed=signed) for number in (value.value, value.low, value.high))
    return told if low == high else f"{told} ({low} to {high})"


def friction_table(bench: Bench) -> Table | None:
    """Return each setup's friction bands, what they make of a sag reading, and how they differ; None without any."""
    changes = {(own.setup, own.end, own.load): own.difference_mm for own in bench.friction}
    rows = []
    for end in ENDS:
        for setup in bench.setups:
            own = setup.at(end).friction
            for band in own.bands if own else ():
                settled = f"{len(band.compressed_mm)} and {len(band.extended_mm)}"
                change = changes.get((setup.name, end, band.load))
                cells = [f"± {figure(band.sag_plus_minus_mm, 1)}", ABSENT if change is None else _interval(change)]
                rows.append([end, setup.label, LOADS[band.load], settled, _interval(band.band_mm), *cells])
    columns = ["end", "setup", "load", "settled from either side", "band, mm", "one sag reading, mm", "less the first"]
    return table(columns, rows, title="Friction at rest, 90 % intervals", right_from=3) if rows else None


def _interval(value: Interval) -> str:
    if value.low is None or value.high is None:
        return f"{figure(value.value, 1)} (settle each side twice for an interval)"
    return f"{figure(value.value, 1)} ({figure(value.low, 1)} to {figure(value.high, 1)})"


def _widths(bench: Bench) -> Iterator[tuple[str, Width]]:
    for setup in bench.setups:
        for width in setup.widths:
            yield setup.label, width


def assumed_table(bench: Bench) -> Table | None:
    """Return what was taken where nothing is stated, and how well stated figures were taken to be known; None."""
    rows: dict[tuple[str, ...], None] = {}
    for _, width in _widths(bench):
        unit = f" {width.unit}".rstrip()
        if width.assumed is not None:
            rows[width.words, width.end, f"{width.assumed:g}{unit}", f"± {width.plus_minus:g}"] = None
        elif not width.stated:
            rows[width.words, width.end, STATED, f"± {two_digits(width.plus_minus)}{unit}"] = None
    title = "Taken for granted: state it, or how well it is known (plus_minus), for narrower ranges"
    found = sorted(rows, key=lambda row: row[2] == STATED)
    return table(["figure", "end", "taken", "known to"], found, title=title, right_from=2) if found else None


def absent_table(bench: Bench) -> Table | None:
    """Return what can't be told, with the keys that would give it; None where nothing lacks."""
    rows: dict[tuple[str, ...], list[str]] = {}
    for setup in bench.setups:
        for item in setup.absent:
            rows.setdefault((item.end, item.what, item.reason), []).append(setup.label)
    every = len(bench.setups)
    of = ["all" if len(labels) == every else ", ".join(labels) for labels in rows.values()]
    found = [[*row[:2], labels, row[2]] for row, labels in zip(rows, of, strict=True)]
    columns = ["end", "not told", "setups", "why"]
    return table(columns, found, title="Not told", right_from=4) if found else None
