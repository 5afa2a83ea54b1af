"""What happened on this lap: ride height, depth, deepest hits, flights, the worst packing burst. No grades."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from telemetry.model.analysis import RunAnalysis
from telemetry.model.curves import FeltLanding, RunPicture, TrailEvent
from telemetry.model.day import RideDay
from telemetry.sheet import ABSENT, Table, table
from telemetry.words import figure, upper_first

from .hits import ToldHit, rest_in_words, telling_hits, the_rest
from .lap_sentences import depth, finding, flights, height, packing, phases, phases_sure, sections
from .trail import depth_in_words, speed_in_words
from .untold import CANT_BE_TOLD

MOST_FLIGHTS = 8
BOTTOMED: Mapping[bool | None, str] = MappingProxyType({True: "yes", False: "no", None: CANT_BE_TOLD})


@dataclass(frozen=True, slots=True, kw_only=True)
class LapWords:
    """One run in words.

    Attributes
    ----------
    traced : str
        What is drawn over time.
    hits, flights : Table
        Its deepest hits, its longest flights.
    told : tuple of ToldHit
        Those of the hits that tell most.
    rest : tuple of str
        A sentence an end on the others.
    """

    run: str
    finding: str
    lines: tuple[str, ...]
    traced: str
    hits: Table
    flights: Table
    told: tuple[ToldHit, ...]
    rest: tuple[str, ...]


def _no_travel(run: RunAnalysis, picture: RunPicture) -> str:
    """Return why nothing is said of travel; empty where an end's is measured."""
    if picture.ends:
        return ""
    found = {row.end: row.reason for row in run.absent if row.measure == "dynamic_sag"}
    alike = {reason.replace(f"at the {end}", "at either end", 1) for end, reason in found.items()}
    reasons = alike if len(alike) == 1 < len(found) else dict.fromkeys(found.values())
    return f"{upper_first('; '.join(reasons))}." if found else ""


def _flights(run: RunAnalysis, picture: RunPicture) -> str:
    if picture.flights is None:
        why = next((row.reason for row in run.absent if row.measure == "airborne_time"), "flight can't be told")
        return f"{upper_first(why)}."
    return flights(run, picture)


def _flight_table(picture: RunPicture) -> Table:
    """Return the longest flights in the order flown, each with what the chassis felt of its landing."""
    flown = sorted(picture.flights or (), key=lambda flight: flight.start_s - flight.end_s)[:MOST_FLIGHTS]
    felt = any(flight.landing for flight in flown)
    rows = [
        [
            f"{figure(flight.start_s, 1)} s",
            f"{figure(flight.end_s - flight.start_s, 2)} s",
            *(_landed(flight.landing) if felt else ()),
        ]
        for flight in sorted(flown, key=lambda flight: flight.start_s)
    ]
    columns = ["flight from", "lasts", *(("landing, highest", "speed lost", "settled after") if felt else ())]
    return table(columns, rows)


def _landed(landing: FeltLanding | None) -> tuple[str, str, str]:
    if landing is None:
        return ABSENT, ABSENT, ABSENT
    lost = f"{figure(landing.impulse_m_s, 1)} m/s"
    return f"{figure(landing.peak_g, 1)} g", lost, f"{figure(landing.lasts_s, 1)} s"


def _phases(picture: RunPicture) -> list[str]:
    """Return how long was braked, turned and pedalled: what is known well in one line, then the rest."""
    sure, roughly = phases(picture)
    return [*phases_sure(sure), *(f"{upper_first(own)}, roughly: told by {told_by}." for own, told_by in roughly)]


def _traced(run: RunAnalysis, picture: RunPicture) -> str:
    if picture.ends:
        return f"Travel of {run.entry.name} over time; rings are the deepest hits, grey stretches are flown."
    if picture.inertial.upward_g:
        return (
            f"What the chassis felt upward in {run.entry.name} over time, standing still taken as nothing; "
            "grey stretches are flown."
        )
    return ""


def _hits(picture: RunPicture, events: Sequence[TrailEvent], unit: str) -> Table:
    """Return the run's deepest hits, each with its place on the trail where it has one."""
    own = [event for event in events if event.run == picture.run]
    places = {(event.end, event.at_s): f"section {event.section}, {figure(event.place, 1)} {unit}" for event in own}
    rows = [
        [
            hit.end,
            f"{figure(hit.at_s, 2)} s",
            places.get((hit.end, hit.at_s), ABSENT),
            depth_in_words(hit),
            speed_in_words(hit),
            f"{figure(hit.length_mm, 0)} mm",
            BOTTOMED[hit.bottomed],
        ]
        for hit in picture.deep_hits
    ]
    return table(["end", "time", "place", "depth", "fastest going in", "length", "bottomed"], rows)


def lap_in_words(
    day: RideDay, run: RunAnalysis, picture: RunPicture, events: Sequence[TrailEvent], unit: str
) -> LapWords:
    """Return one run in words.

    Parameters
    ----------
    day : RideDay
    run : RunAnalysis
    picture : RunPicture
        Of the run, whole or in part.
    events : sequence of TrailEvent
        What happened on the trail, places in `unit`.
    unit : str
    """
    lines = [
        height(day, run),
        depth(day, run),
        _no_travel(run, picture),
        _flights(run, picture),
        packing(picture),
        *_phases(picture),
        sections(run),
    ]
    told = telling_hits(picture.deep_hits)
    return LapWords(
        run=run.entry.name,
        finding=finding(run, picture),
        lines=tuple(line for line in lines if line),
        traced=_traced(run, picture),
        hits=_hits(picture, events, unit),
        flights=_flight_table(picture),
        told=told,
        rest=rest_in_words(the_rest(picture.deep_hits, told)),
    )
