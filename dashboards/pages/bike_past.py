"""What was done to this bike, and what did it bring? Its kept days over time, each value with its interval."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from dashboards.content.done import Done, left_setup, work_done
from dashboards.content.groups_told import apart, grouped
from dashboards.figures.drawn import Drawn
from dashboards.figures.over_time import PastPoint, over_time, span_of
from telemetry.library import ASKED_FIRST, Kept, KeptSetup, KeptValue, Past
from telemetry.model.catalogue import SPECS
from telemetry.model.finding import Place
from telemetry.model.kind_ranges import KindRanges
from telemetry.sheet import Table, table
from telemetry.telling.day import date_in_words
from telemetry.telling.kind_ranges import kind_line
from telemetry.telling.names import KEPT_PLACES, PLACES
from telemetry.words import counted, shortened

from .shelf_link import Asked, laps_link
from .shelf_list import LONGEST, LONGEST_HEADLINE, KeptRow, kept_day_link, turning

TITLE = "What was done to this bike, and what did it bring?"
AT_A_TIME = 24
"""Days of one page: own choice, as many as stand beside each other on a phone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OverTime:
    """One measure over the days: title, panels, which values may not be held against each other, where others lie."""

    name: str
    title: str
    panels: tuple[Drawn, ...]
    apart: tuple[str, ...]
    others: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BikePage:
    """What the page of a bike says and shows."""

    bike: str
    finding: str
    shown: tuple[OverTime, ...]
    facts: Mapping[str, object]


def bike_page(asked: Asked, past: Past, others: KindRanges | None = None) -> BikePage:
    """Return the page of a bike.

    Parameters
    ----------
    asked : Asked
    past : Past
        Its days, or those on one trail, the earliest first.
    others : KindRanges, optional
        Where other bikes of its kind lie.
    """
    days, done = past.days, work_done(past.days)
    bike = days[-1].bike if days else asked.bike
    trail = asked.trail or _ridden_most(days)
    return BikePage(
        bike=bike,
        finding=_finding(past, asked),
        shown=tuple(_measures(days, done, trail, others)),
        facts={
            "asked": asked,
            "trail": trail,
            "done": [_told(own) for own in done],
            "trails": [(name, counted(count, "day"), asked.link(trail=name, skip=0)) for name, count in past.trails],
            "every_trail": asked.link(trail="", skip=0) if asked.trail else "",
            "laps": laps_link(trail, bike, None) if trail else "",
            "left": _left(days) if not asked.skip else None,
            "rows": [_row(day) for day in reversed(days)],
            "unread": past.unread,
            **turning(asked, past.count, AT_A_TIME),
        },
    )


def _finding(past: Past, asked: Asked) -> str:
    if not past.days:
        return "No kept day of this bike is like that." if not past.unread else "No day of it can be read."
    first, last = (_date(past.days[place]) for place in (0, -1))
    on = f" on {asked.trail}" if asked.trail else ""
    of = f"{counted(len(past.days), 'kept day')}" + (f" of {past.count}" if past.count > len(past.days) else "")
    when = f"on {first}" if first == last else f"from {first} to {last}"
    return f"{of}{on}, {when}."


def _date(day: Kept) -> str:
    return date_in_words(dt.date.fromisoformat(day.date))


def _ridden_most(days: Sequence[Kept]) -> str:
    """Return the trail of most of these days, the latest of several; empty where none is named."""
    named = [day.trail for day in days if day.trail]
    return max(reversed(named), key=named.count, default="")


def _measures(days: Sequence[Kept], done: Sequence[Done], trail: str, others: KindRanges | None) -> Iterable[OverTime]:
    """Yield what is asked about first, of the days that tell it: what is ridden on one trail alone."""
    for measure in ASKED_FIRST:
        if measure not in SPECS:
            continue
        ridden = SPECS[measure].source != "static"
        own = [place for place, day in enumerate(days) if not ridden or day.trail.casefold() == trail.casefold()]
        slots = {place: slot for slot, place in enumerate(own)}
        found = {end: _points(days, slots, measure, end) for end in PLACES}
        panels = {end: points for end, points in found.items() if points}
        if panels:
            told = [apart(end, lines) for end, (_, lines) in panels.items() if lines]
            span = span_of([points for points, _ in panels.values()], measure)
            marks = _marks(done, days, own)
            drawn = tuple(over_time(points, measure, end, span, marks) for end, (points, _) in panels.items())
            where = f", on {shortened(trail, LONGEST)}" if ridden and trail else ""
            yield OverTime(
                name=measure,
                title=f"{SPECS[measure].label}{where}",
                panels=drawn,
                apart=tuple(told),
                others="" if others is None else kind_line(others, measure),
            )


def _points(
    days: Sequence[Kept], slots: Mapping[int, int], measure: str, end: Place
) -> tuple[list[PastPoint], tuple[str, ...]] | None:
    """Return the values at one end in order, and which of them may not be held against each other; None for none."""
    found: list[tuple[Kept, KeptSetup, KeptValue, int, float]] = []
    for place, slot in slots.items():
        values = [(setup, value) for setup in days[place].setups for value in setup.values]
        own = [(setup, value) for setup, value in values if (value.measure, value.end) == (measure, end)]
        for number, (setup, value) in enumerate(own):
            found.append((days[place], setup, value, slot, (number + 1) / (len(own) + 1)))
    if not found:
        return None
    letters, told = grouped([(day.definitions, setup.full_travel_mm.get(end)) for day, setup, *_ in found])
    points = [
        PastPoint(
            slot=slot,
            within=within,
            when=_date(day),
            what=shortened(setup.label, LONGEST),
            value=value.value,
            low=None if value.half is None else value.value - value.half,
            high=None if value.half is None else value.value + value.half,
            of=str(value.n),
            filled=setup.left,
            group=letter,
            link=kept_day_link(day.id),
        )
        for (day, setup, value, slot, within), letter in zip(found, letters, strict=True)
    ]
    return points, told


def _marks(done: Sequence[Done], days: Sequence[Kept], own: Sequence[int]) -> dict[int, str]:
    """Return what is written above each shown day: the numbers of what was done since the last one shown."""
    numbers = {days.index(item.day): item.number for item in done}
    found: dict[int, str] = {}
    last = -1
    for slot, place in enumerate(own):
        since = [numbers[other] for other in range(last + 1, place + 1) if other in numbers]
        if since:
            found[slot] = str(since[0]) if len(since) == 1 else f"{since[0]}\u2013{since[-1]}"
        last = place
    return found


def _told(own: Done) -> dict[str, object]:
    return {
        "number": own.number,
        "date": _date(own.day),
        "title": shortened(own.day.title, LONGEST) or own.day.id,
        "link": kept_day_link(own.day.id),
        "before": own.before,
        "on_it": own.on_it,
    }


def _left(days: Sequence[Kept]) -> dict[str, object] | None:
    """Return how the bike was left on the last of these days that tells."""
    day = next((day for day in reversed(days) if left_setup(day) is not None), None)
    setup = None if day is None else left_setup(day)
    if day is None or setup is None:
        return None
    tables: list[Table] = []
    for place, title in KEPT_PLACES.items():
        rows = [[item.words, shortened(item.entered, LONGEST)] for item in setup.settings if item.end == place]
        tables += [table(["setting", "as left"], rows, title=title)] if rows else []
    return {"date": _date(day), "label": shortened(setup.label, LONGEST), "tables": tables}


def _row(day: Kept) -> KeptRow:
    facts = [_date(day), day.trail, day.customer.get("name", "")]
    left = left_setup(day)
    return KeptRow(
        title=shortened(day.title, LONGEST) or day.id,
        link=kept_day_link(day.id),
        facts=tuple((shortened(text, LONGEST), "") for text in facts if text),
        told=shortened(day.headline, LONGEST_HEADLINE),
        left="" if left is None else f"Left with {shortened(left.label, LONGEST)}",
    )
