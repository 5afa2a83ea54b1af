"""How have the laps of this trail gone? A rider's own laps on one bike over time: the only yardstick they have."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from dashboards.content.groups_told import apart, grouped
from dashboards.figures.over_time import PastPoint, over_time, span_of
from telemetry.library import Past
from telemetry.model.catalogue import SPECS
from telemetry.model.finding import Place
from telemetry.sheet import ABSENT
from telemetry.telling.day import date_in_words
from telemetry.telling.earlier_laps import TOLD, Lap, beside_earlier, earlier_laps
from telemetry.telling.names import PLACES
from telemetry.telling.values import places_of
from telemetry.words import counted, figure, shortened, titled, with_end

from .bike_past import OverTime
from .choice import Choice
from .shelf_link import Asked, bike_link, laps_link
from .shelf_list import LONGEST, turning

TITLE = "How have the laps of this trail gone?"
AT_A_TIME = 16
"""Days of one page: own choice; some hundred laps."""
MEASURES = ("riding_time", "ground_speed", "travel_p95", "hit_depth_10_per_min", "dynamic_sag", "bottom_outs")
"""Lap time and pace, how much of the travel is used, the deepest hits. Own choice."""
MOST_BIKES = 12
"""Other bikes of the trail that are offered, those ridden there most. Own choice."""
UNNAMED = "no rider named"
Value = tuple[Lap, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class LapsPage:
    """What the page of a rider's laps says and shows."""

    finding: str
    shown: tuple[OverTime, ...]
    facts: Mapping[str, object]


def laps_page(asked: Asked, past: Past, bikes: Sequence[tuple[str, int]], laps: Sequence[Lap]) -> LapsPage:
    """Return the page of laps of one trail.

    Parameters
    ----------
    asked : Asked
        Names the trail and the bike.
    past : Past
        The days that were looked into.
    bikes : sequence of (str, int)
        Every bike that was ridden there, and on how many days.
    laps : sequence of Lap
        Of all riders, the earliest first.
    """
    riders = {name.casefold(): name for name in dict.fromkeys(lap.rider for lap in laps)}
    rider = asked.rider if asked.rider is not None else (next(iter(riders.values())) if len(riders) == 1 else None)
    own = [lap for lap in laps if rider is not None and lap.rider.casefold() == rider.casefold()]
    columns = _columns(own)
    return LapsPage(
        finding=_finding(own, rider, len(laps)),
        shown=tuple(_measures(own)),
        facts={
            "asked": asked,
            "bike_link": bike_link(asked.bike),
            "bikes": [
                (shortened(name, LONGEST), counted(count, "day"), laps_link(asked.trail, name, asked.rider))
                for name, count in bikes[:MOST_BIKES]
            ],
            "riders": [(shortened(name, LONGEST) or UNNAMED, asked.link(rider=name)) for name in riders.values()],
            "rider": None if rider is None else shortened(rider, LONGEST) or UNNAMED,
            "beside": _beside(own),
            "columns": columns,
            "laps": [_lap_row(lap, columns) for lap in reversed(own)],
            "unread": past.unread,
            **turning(asked, past.count, AT_A_TIME),
        },
    )


def _finding(own: Sequence[Lap], rider: str | None, every: int) -> str:
    if rider is None:
        return "Whose laps? Only a rider's own laps tell anything of each other." if every else "No lap of it is kept."
    if not own:
        return "No lap of this rider is kept."
    first, last = (date_in_words(own[place].date) for place in (0, -1))
    when = f"on {first}" if first == last else f"from {first} to {last}"
    return f"{counted(len(own), 'lap')}, {when}."


def _beside(own: Sequence[Lap]) -> tuple[str, ...]:
    """Return what of the latest lap lies outside of the earlier ones."""
    return beside_earlier(own[-1], earlier_laps(own[-1], own)) if own else ()


def _measures(own: Sequence[Lap]) -> Iterable[OverTime]:
    for measure in MEASURES:
        found = {end: _values(own, measure, end) for end in PLACES}
        panels = {end: values for end, values in found.items() if values}
        if not panels:
            continue
        points: dict[Place, list[PastPoint]] = {}
        told = []
        for end, values in panels.items():
            letters, lines = grouped([(lap.definitions, _full_mm(lap, end)) for _, (lap, _) in values])
            told += [apart(end, lines)] if lines else []
            points[end] = [
                _point(slot, lap, value, letter) for (slot, (lap, value)), letter in zip(values, letters, strict=True)
            ]
        span = span_of(list(points.values()), measure)
        drawn = tuple(over_time(own_points, measure, end, span) for end, own_points in points.items())
        yield OverTime(name=measure, title=SPECS[measure].label, panels=drawn, apart=tuple(told))


def _values(own: Sequence[Lap], measure: str, end: Place) -> list[tuple[int, Value]]:
    """Return where in the order each lap that tells a measure stands, with its value."""
    if measure == "riding_time":
        return [(slot, (lap, lap.riding_s)) for slot, lap in enumerate(own) if lap.riding_s and end == "both"]
    told = ((slot, lap, lap.values.get((measure, end))) for slot, lap in enumerate(own) if (measure, end) in TOLD)
    return [(slot, (lap, value)) for slot, lap, value in told if value is not None]


def _point(slot: int, lap: Lap, value: float, letter: str) -> PastPoint:
    return PastPoint(
        slot=slot,
        within=0.5,
        when=date_in_words(lap.date),
        what=f"{shortened(lap.run, LONGEST)}, {shortened(lap.setup, LONGEST)}",
        value=value,
        group=letter,
        link=_lap_link(lap),
    )


def _columns(own: Sequence[Lap]) -> dict[tuple[str, Place], str]:
    """Return what the table tells of laps: each measure at each end that one of them has, with its title."""
    every = [(measure, end) for measure in MEASURES for end in PLACES]
    titles = {
        (measure, end): titled(with_end(SPECS[measure].label, end), SPECS[measure].unit) for measure, end in every
    }
    return {key: title for key, title in titles.items() if any(lap.values.get(key) is not None for lap in own)}


def _lap_row(lap: Lap, columns: Iterable[tuple[str, Place]]) -> dict[str, object]:
    cells = [lap.values.get(key) for key in columns]
    places = [places_of(measure) for measure, _ in columns]
    return {
        "name": f"{date_in_words(lap.date)}, {shortened(lap.run, LONGEST)}",
        "link": _lap_link(lap),
        "setup": shortened(lap.setup, LONGEST),
        "ridden": f"{figure(lap.riding_s, 0)} s" if lap.riding_s else ABSENT,
        "cells": [ABSENT if own is None else figure(own, at) for own, at in zip(cells, places, strict=True)],
    }


def _full_mm(lap: Lap, end: Place) -> float | None:
    return None if end == "both" else lap.full_mm.get(end)


def _lap_link(lap: Lap) -> str:
    return Choice(day=lap.day, page="lap", runs=(lap.run,)).link()
