"""What happened on this lap: ride height, depth, deepest hits, flights, the worst packing burst. No grades."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from telemetry.model.analysis import RunAnalysis
from telemetry.model.curves import FeltLanding, RunPicture, TrailEvent
from telemetry.model.day import RideDay
from telemetry.model.finding import OTHER_END
from telemetry.model.phase import PhaseName
from telemetry.sheet import ABSENT, Table, table
from telemetry.words import counted, figure, upper_first

from .hits import ToldHit, rest_in_words, telling_hits, the_rest
from .names import ENDS
from .trail import depth_in_words, speed_in_words
from .untold import CANT_BE_TOLD, NO_FLIGHT_SHOWN, bottoming_in_words, feels_flight, is_untold
from .values import value_in_words

MOST_FLIGHTS = 8
BOTTOMED: Mapping[bool | None, str] = MappingProxyType({True: "yes", False: "no", None: CANT_BE_TOLD})
RIDDEN: Mapping[PhaseName, str] = MappingProxyType(
    {
        "braking": "braked",
        "accelerating": "gained speed",
        "turning": "turned",
        "pedalling": "pedalled",
        "coasting": "coasted",
    }
)


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


def _height(day: RideDay, run: RunAnalysis) -> str:
    values = {end: value for end in ENDS if (value := run.value("dynamic_sag", end)) is not None}
    told = {end: value_in_words(day, run.entry.setup, "dynamic_sag", end, value) for end, value in values.items()}
    if len(told) < len(ENDS):
        return "".join(f"The {end} rides at {words} of its travel." for end, words in told.items())
    apart = figure(abs(values["front"] - values["rear"]), 1)
    deeper = max(ENDS, key=lambda end: values[end])
    other = OTHER_END[deeper]
    if apart == "0.0":
        return f"Both ends ride equally deep: front {told['front']}, rear {told['rear']}."
    return f"The {deeper} rides {apart} points deeper than the {other}: {told[deeper]} against {told[other]}."


def _depth(day: RideDay, run: RunAnalysis) -> str:
    parts = []
    for end in ENDS:
        value, bottoming = run.value("travel_max", end), bottoming_in_words(day, run, end)
        if value is not None and bottoming:
            words = value_in_words(day, run.entry.setup, "travel_max", end, value)
            parts.append(f"the {end} went {words} deep{', ' if is_untold(run, end) else ' and '}{bottoming}")
    return upper_first("; ".join(parts)) + "." if parts else ""


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
    if not picture.flights:
        return "No flights." if feels_flight(run) else NO_FLIGHT_SHOWN
    longest = max(picture.flights, key=lambda flight: flight.end_s - flight.start_s)
    lasts = figure(longest.end_s - longest.start_s, 2)
    late = "" if feels_flight(run) else " (displacement sensors see flight late, by the time a leg takes to extend)"
    count = len(picture.flights)
    return f"{counted(count, 'flight')}, the longest {lasts} s from {figure(longest.start_s, 1)} s{late}."


def _flown(run: RunAnalysis, picture: RunPicture) -> str:
    """Return how many flights there were, in short; empty where no sensor can tell that there were none."""
    if picture.flights:
        return counted(len(picture.flights), "flight")
    return "no flights" if picture.flights is not None and feels_flight(run) else ""


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
    told = [phase for phase in picture.phases if phase.name in RIDDEN]
    sure = ", ".join(f"{RIDDEN[own.name]} {figure(own.ridden_s, 0)} s" for own in told if own.confidence == "high")
    roughly = [
        f"{upper_first(RIDDEN[own.name])} about {figure(own.ridden_s, 0)} s, roughly: told by {own.told_by}."
        for own in told
        if own.confidence == "low"
    ]
    return [f"{upper_first(sure)}: known well.", *roughly] if sure else roughly


def _traced(run: RunAnalysis, picture: RunPicture) -> str:
    if picture.ends:
        return f"Travel of {run.entry.name} over time; rings are the deepest hits, grey stretches are flown."
    if picture.inertial.upward_g:
        return (
            f"What the chassis felt upward in {run.entry.name} over time, standing still taken as nothing; "
            "grey stretches are flown."
        )
    return ""


def _packing(picture: RunPicture) -> str:
    if not picture.ends:
        return ""
    parts = [
        f"the {burst.end} over {burst.hits} hits from {figure(burst.start_s, 1)} s, each starting "
        f"{figure(burst.slope_mm, 1)} mm deeper"
        for burst in picture.worst_bursts.values()
    ]
    return f"Most packed down: {'; '.join(parts)}." if parts else "No burst of hits packed down."


def _sections(run: RunAnalysis) -> str:
    parts = [f"{row.part} {figure(row.value, 2)} s" for row in run.measures if row.measure == "section_time"]
    return "Section times: " + ", ".join(parts) + "." if parts else ""


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
        _height(day, run),
        _depth(day, run),
        _no_travel(run, picture),
        _flights(run, picture),
        _packing(picture),
        *_phases(picture),
        _sections(run),
    ]
    bottoms = [value for end in ENDS if (value := run.value("bottom_outs", end)) is not None]
    happened = f"bottomed {counted(round(sum(bottoms)), 'time')}" if any(bottoms) else "no bottom-out"
    if any(is_untold(run, end) for end in ENDS) and not any(bottoms):
        happened = f"whether it bottomed {CANT_BE_TOLD}"
    if not bottoms:
        happened = _flown(run, picture)
    told = telling_hits(picture.deep_hits)
    return LapWords(
        run=run.entry.name,
        finding=f"{figure(picture.riding_s, 0)} s of riding{f', {happened}' if happened else ''}",
        lines=tuple(line for line in lines if line),
        traced=_traced(run, picture),
        hits=_hits(picture, events, unit),
        flights=_flight_table(picture),
        told=told,
        rest=rest_in_words(the_rest(picture.deep_hits, told)),
    )
