"""What the parts of each setup do, in tables: a setup a column, so that what differs stands side by side."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from telemetry.model.bench import Bench
from telemetry.model.bench_damper import MID_RANGE
from telemetry.model.bench_figures import FigureRow, Ranged, Width
from telemetry.model.bench_friction import Interval
from telemetry.model.finding import Place
from telemetry.sheet import ABSENT, Sheet, Table, table
from telemetry.words import figure, percent

from .names import ENDS, PLACES, TITLES
from .sitting import LOADS

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
WHOLE = "Whole bike"
RANGES = (
    "± is half the 90 % range by how well each figure is known that goes in (plus_minus, else the usual width). "
    "Figures that both setups share are off alike in both."
)
CAUTIONS: Mapping[str, str] = MappingProxyType(
    {
        "lower_legs": (
            "A crossover takes drilling or a fitting in a part that carries the rider: ask the maker or a qualified "
            "engineer first. More oil than the maker states can lock the fork before its end."
        ),
        "set_up": (
            "A starting point for one rider's mass, not a setting: the maker's least and most pressure, spring and "
            "preload go before it, adjusters change damping in steps of their own. Let air out in small steps, never "
            "open a part under pressure."
        ),
    }
)
UNDONE = (
    "Where friction comes from: settle recordings in setups of their own, each with one thing undone (axle clamp "
    "loose, wheel and axle out, spring out), tell it by the difference of their bands. Then everything back to torque, "
    "as the maker states."
)
FEW = 0.95
"""With fewer draws of parts that can be, ranges are told to be too narrow; own choice."""
SAME, STATED = "same", "as stated"


def bench_sheet(bench: Bench) -> Sheet:
    """Return the bench's tables, rear before front; cautions; what had to be assumed; what can't be told, and why."""
    rows = bench.rows
    tables = [part_table(bench, place, part) for place in PLACES for part in _parts_at(rows, place)]
    parts = {row.part for row in rows}
    cautions = [*adjuster_lines(bench), *(words for part, words in CAUTIONS.items() if part in parts)]
    told = (RANGES,) if rows else ()
    told = (*told, _impossible(bench)) if bench.possible < FEW else told
    told = (*told, UNDONE) if any(setup.at(end).friction for setup in bench.setups for end in ENDS) else told
    lists = [found for found in (friction_table(bench), assumed_table(bench), absent_table(bench)) if found is not None]
    return (*tables, *told, *cautions, *lists)


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


def _parts_at(rows: tuple[FigureRow, ...], place: Place) -> list[str]:
    return list(dict.fromkeys(row.part for row in rows if row.end == place))


def part_table(bench: Bench, place: Place, part: str) -> Table:
    """Return one part at one place, a column a setup, and what each differs by from the first."""
    others = [setup for setup in bench.setups[1:] if any(setup.name in row.differences for row in bench.rows)]
    columns = ["", "unit", *(setup.label for setup in bench.setups)]
    columns += [f"{setup.label} less {bench.setups[0].label}" for setup in others]
    rows = []
    for row in bench.rows:
        if (row.end, row.part) == (place, part):
            cells = [_cell(row, row.values.get(setup.name)) for setup in bench.setups]
            apart = [_difference(row, row.differences.get(setup.name)) for setup in others]
            rows.append([row.figure.what, row.figure.unit, *cells, *apart])
    return table(
        columns,
        rows,
        title=f"{WHOLE if place == 'both' else TITLES[place]}: {PARTS.get(part, part.replace('_', ' '))}",
        right_from=2,
    )


def _cell(row: FigureRow, value: Ranged | None) -> str:
    if value is None:
        return ABSENT
    places = row.figure.places
    half = (value.high - value.low) / 2
    told = figure(value.value, places)
    return told if round(half, places) == 0 else f"{told} ± {figure(half, places)}"


def _difference(row: FigureRow, value: Ranged | None) -> str:
    if value is None:
        return ABSENT
    places = row.figure.places
    if value.low == value.high == value.value == 0:
        return SAME
    told, low, high = (figure(number, places, signed=True) for number in (value.value, value.low, value.high))
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
            rows[width.words, width.end, STATED, f"± {width.plus_minus:.2g}{unit}"] = None
    title = "Taken for granted: state it, or how well it is known (plus_minus), for narrower ranges"
    found = sorted(rows, key=lambda row: row[2] == STATED)
    return table(["figure", "end", "taken", "known to"], found, title=title, right_from=2) if found else None


def absent_table(bench: Bench) -> Table | None:
    """Return what can't be told, with the keys that would give it; None where nothing lacks."""
    rows: dict[tuple[str, ...], list[str]] = {}
    for setup in bench.setups:
        for item in setup.absent:
            rows.setdefault((item.end, item.what, item.reason), []).append(setup.label)
    found = [[*row[:2], ", ".join(labels), row[2]] for row, labels in rows.items()]
    columns = ["end", "not told", "setups", "why"]
    return table(columns, found, title="Not told", right_from=4) if found else None
