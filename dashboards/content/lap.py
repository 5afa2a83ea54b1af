"""What happened on this lap: ride height, depth, deepest hits, flights, the worst packing burst. No grades."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from telemetry.model.analysis import Analysis, RunAnalysis
from telemetry.model.curves import DeepHit, RunPicture
from telemetry.model.day import RideDay
from telemetry.model.finding import End
from telemetry.pipeline import Along
from telemetry.telling import value_in_words
from telemetry.words import counted, figure

from .facts import ABSENT

ENDS: tuple[End, ...] = ("rear", "front")


@dataclass(frozen=True, slots=True, kw_only=True)
class LapFacts:
    """One run in words.

    Attributes
    ----------
    finding : str
    lines : tuple of str
    hits : tuple of rows
        End, time, place, depth, entry speed, length, whether it bottomed.
    """

    run: str
    finding: str
    lines: tuple[str, ...]
    hits: tuple[tuple[str, ...], ...]


def _height(day: RideDay, run: RunAnalysis) -> str:
    parts = []
    for end in ENDS:
        value = run.value("dynamic_sag", end)
        if value is not None:
            parts.append(f"{end} {value_in_words(day, run.entry.setup, 'dynamic_sag', end, value)}")
    return "Ride height while riding: " + ", ".join(parts) + "." if parts else ""


def _depth(day: RideDay, run: RunAnalysis) -> str:
    parts = []
    for end in ENDS:
        value, bottoms = run.value("travel_max", end), run.value("bottom_outs", end)
        if value is not None and bottoms is not None:
            times = f"bottomed {counted(round(bottoms), 'time')}" if bottoms else "didn't bottom"
            parts.append(f"{end} {value_in_words(day, run.entry.setup, 'travel_max', end, value)}, {times}")
    return "Deepest point: " + "; ".join(parts) + "." if parts else ""


def _flights(picture: RunPicture) -> str:
    if picture.flights is None:
        return "Flight can't be told: one end is measured and no chassis acceleration."
    if not picture.flights:
        return "No flights of a tenth of a second or more."
    longest = max(picture.flights, key=lambda flight: flight.end_s - flight.start_s)
    lasts = figure(longest.end_s - longest.start_s, 2)
    count = len(picture.flights)
    return (
        f"{counted(count, 'flight')}, the longest {lasts} s from {figure(longest.start_s, 1)} s "
        "(displacement sensors see flight late, by the time a leg takes to extend)."
    )


def _packing(picture: RunPicture) -> str:
    parts = [
        f"{burst.end} {burst.hits} hits from {figure(burst.start_s, 1)} s, each starting "
        f"{figure(burst.slope_mm, 1)} mm deeper"
        for burst in picture.worst_bursts.values()
    ]
    return "Worst packing burst: " + "; ".join(parts) + "." if parts else "No burst of hits packed down."


def _sections(run: RunAnalysis) -> str:
    parts = [f"{row.part} {figure(row.value, 2)} s" for row in run.measures if row.measure == "section_time"]
    return "Section times: " + ", ".join(parts) + "." if parts else ""


Places = Mapping[tuple[End, float], str]


def places_of(along: Along | None, run: str) -> Places:
    """Return where on the trail each event of a run lies, by end and the log's second."""
    if along is None:
        return {}
    return {
        (event.end, event.at_s): f"section {event.section}, {figure(event.place, 1)} {along.unit}"
        for event in along.events
        if event.run == run
    }


def hit_row(hit: DeepHit, places: Places) -> tuple[str, ...]:
    """Return one deep hit as a table row."""
    return (
        hit.end,
        f"{figure(hit.at_s, 2)} s",
        places.get((hit.end, hit.at_s), ABSENT),
        f"{figure(hit.depth_pct, 1)} % ({figure(hit.depth_mm, 0)} mm)",
        f"{figure(hit.entry_speed_mm_s / 1000, 2)} m/s",
        f"{figure(hit.length_mm, 0)} mm",
        "yes" if hit.bottomed else "no",
    )


def lap_facts(day: RideDay, run: RunAnalysis, picture: RunPicture, places: Places) -> LapFacts:
    """Return one run in words.

    Parameters
    ----------
    day : RideDay
    run : RunAnalysis
    picture : RunPicture
        Of the run, whole or in part.
    places : mapping of (end, second) to str
    """
    lines = [_height(day, run), _depth(day, run), _flights(picture), _packing(picture), _sections(run)]
    bottoms = sum(run.value("bottom_outs", end) or 0 for end in ENDS)
    times = f"bottomed {counted(round(bottoms), 'time')}" if bottoms else "no bottom-out"
    return LapFacts(
        run=run.entry.name,
        finding=f"{figure(picture.riding_s, 0)} s of riding, {times}",
        lines=tuple(line for line in lines if line),
        hits=tuple(hit_row(hit, places) for hit in picture.deep_hits),
    )


def last_lap(analysis: Analysis, along: Along | None = None) -> LapFacts | None:
    """Return the last usable run in words; None where no run is usable."""
    run = next((run for run in reversed(analysis.runs) if run.picture is not None), None)
    if run is None or run.picture is None:
        return None
    return lap_facts(analysis.day, run, run.picture, places_of(along, run.entry.name))
