"""A lap beside earlier ones of the same trail on the same bike: the only yardstick it has, and no verdict."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from telemetry.model.analysis import Analysis, RunAnalysis
from telemetry.model.catalogue import SPECS
from telemetry.model.finding import End, Place
from telemetry.model.measure import MeasureAt
from telemetry.sheet import ABSENT, Table, table
from telemetry.words import counted, figure, shown_unit, upper_first

from .day import date_in_words
from .names import ENDS, short_name
from .untold import in_place_of_zero
from .values import places_of

COMPARED = (
    "dynamic_sag",
    "hit_depth_10_per_min",
    "bottom_outs",
    "compression_speed_10_per_min",
    "rebound_speed_10_per_min",
)
TOLD: tuple[MeasureAt, ...] = (
    *((name, end) for name in (*COMPARED, "travel_p95") for end in ENDS),
    ("ground_speed", "both"),
)
"""What is held of a lap."""
SHOWN = ("dynamic_sag", "hit_depth_10_per_min", "bottom_outs")
MOST_LAPS, FEWEST_FOR_A_RANGE = 8, 3
"""Own choices: fewer laps' lowest and highest say little of what laps are like."""
NO_VERDICT = "No verdict: whether a change did it takes runs of both setups, ridden in turn."
TRAVEL_WITHIN_MM = 1.0
"""Full travel that differs by no more counts as the same over kept days and laps; own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lap:
    """One usable run of a day as later laps are told of it.

    Attributes
    ----------
    trail, rider : str
        As the day names them.
    full_mm : mapping of end to float
    values : mapping of (measure, end) to float
    day : str
        The id of a kept day; empty elsewhere.
    definitions : int
        Of the measures that a kept day was told by; 0: today's.
    """

    date: dt.date
    order: int
    run: str
    setup: str
    bike: str
    trail: str
    rider: str
    riding_s: float
    full_mm: Mapping[End, float] = field(default_factory=lambda: MappingProxyType({}))
    values: Mapping[MeasureAt, float] = field(default_factory=lambda: MappingProxyType({}))
    day: str = ""
    definitions: int = 0

    def is_earlier(self, than: Lap) -> bool:
        """Tell whether this lap was ridden before another, on the same trail and bike, by the same rider."""
        alike = (_alike(getattr(self, name), getattr(than, name)) for name in ("trail", "bike", "rider"))
        ends = self.full_mm.keys() & than.full_mm.keys()
        same_travel = all(abs(self.full_mm[end] - than.full_mm[end]) <= TRAVEL_WITHIN_MM for end in ends)
        same = same_travel and self.definitions == than.definitions
        before = (self.date, self.order) < (than.date, than.order)
        return bool(self.trail and than.trail) and all(alike) and same and before


def _alike(one: str, other: str) -> bool:
    """Tell whether two names are one, or one isn't stated."""
    return not one or not other or one.casefold() == other.casefold()


def laps_of(analysis: Analysis) -> tuple[Lap, ...]:
    """Return a day's usable runs as laps, in the order ridden; without those that were left out."""
    day, found = analysis.day, []
    for run in analysis.runs:
        if not run.measures or run.entry.leave_out:
            continue
        setup = day.setups[run.entry.setup]
        full = {end: setup.at(end).full_travel_mm for end in ENDS}
        values = {(name, end): _value(run, name, end) for name, end in TOLD}
        found.append(
            Lap(
                date=run.entry.date or day.date,
                order=run.entry.order,
                run=run.entry.name,
                setup=setup.label,
                bike=day.bike.name,
                trail=day.trail,
                rider=run.entry.rider or day.rider,
                riding_s=run.value("riding_time", "both") or 0.0,
                full_mm=MappingProxyType({end: mm for end, mm in full.items() if mm is not None}),
                values=MappingProxyType({key: value for key, value in values.items() if value is not None}),
            )
        )
    return tuple(found)


def _value(run: RunAnalysis, measure: str, end: Place) -> float | None:
    """Return a value; None where there is none, or a zero that says less than that."""
    value = run.value(measure, end)
    return None if value is None or in_place_of_zero(run, measure, end, value) else value


def earlier_laps(lap: Lap, others: Sequence[Lap]) -> tuple[Lap, ...]:
    """Return those of other laps that it may be told beside, the latest first."""
    found = [other for other in others if other.is_earlier(lap)]
    return tuple(sorted(found, key=lambda other: (other.date, other.order), reverse=True))


def beside_earlier(lap: Lap, earlier: Sequence[Lap]) -> tuple[str, ...]:
    """Return what of a lap lies outside of all earlier ones by what matters, a sentence each; what doesn't, in one.

    Parameters
    ----------
    lap : Lap
    earlier : sequence of Lap
        Those it may be told beside.
    """
    if not earlier:
        return ()
    count = counted(len(earlier), "earlier lap")
    if len(earlier) < FEWEST_FOR_A_RANGE:
        return (f"{upper_first(count)} of this trail on this bike: too few to say what is usual.",)
    outside, inside = [], 0
    for measure in COMPARED:
        for end in ENDS:
            now = lap.values.get((measure, end))
            then = [value for other in earlier if (value := other.values.get((measure, end))) is not None]
            if now is None or len(then) < FEWEST_FOR_A_RANGE:
                continue
            if not _stands_out(measure, now, then):
                inside += 1
                continue
            outside.append(_outside(measure, end, now, then))
    what = "All else" if outside else "Everything compared"
    rest = f"{what} is as on {count}, or off by less than matters." if inside else ""
    return (*outside, *([rest] if rest else []), *([NO_VERDICT] if outside else []))


def _stands_out(measure: str, now: float, then: Sequence[float]) -> bool:
    """Tell whether a value lies beyond all earlier ones by the smallest change that usually matters."""
    bound = min(max(now, min(then)), max(then))
    change = SPECS[measure].smallest_change
    if change is None:
        return now != bound
    return abs(now - bound) >= (change.amount * abs(bound) / 100 if change.form == "percent" else change.amount)


def _outside(measure: str, end: End, now: float, then: Sequence[float]) -> str:
    places, unit = places_of(measure), shown_unit(SPECS[measure].unit)
    lowest, highest, own = (figure(value, places) for value in (min(then), max(then), now))
    way = "more" if now > max(then) else "less"
    values = f"{own} {unit}".strip()
    laps = counted(len(then), "earlier lap")
    return f"{upper_first(short_name(measure, end))} {values}: {way} than on any of {laps} ({lowest} to {highest})."


def lap_table(lap: Lap, earlier: Sequence[Lap]) -> Table:
    """Return this lap above the latest earlier ones."""
    columns = [f"{short_name(measure, end)}" for measure in SHOWN for end in ENDS]
    units = [shown_unit(SPECS[measure].unit) for measure in SHOWN for _ in ENDS]
    titles = [f"{name}, {unit}" if unit else name for name, unit in zip(columns, units, strict=True)]
    rows = [
        [
            f"{'this lap' if one is lap else f'{date_in_words(one.date)}, {one.run}'}, {one.setup}",
            f"{figure(one.riding_s, 0)} s",
            *(_cell(one, measure, end) for measure in SHOWN for end in ENDS),
        ]
        for one in (lap, *earlier[:MOST_LAPS])
    ]
    return table(["lap", "ridden", *titles], rows, marked=(0,))


def _cell(lap: Lap, measure: str, end: End) -> str:
    value = lap.values.get((measure, end))
    return ABSENT if value is None else figure(value, places_of(measure))
