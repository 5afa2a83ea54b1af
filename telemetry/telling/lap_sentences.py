"""What happened on a lap in sentences of a language: height, depth, flights, packing, sections, how it was ridden."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from telemetry.languages import ENGLISH, Language
from telemetry.model.analysis import RunAnalysis
from telemetry.model.curves import RiddenPhase, RunPicture
from telemetry.model.day import RideDay
from telemetry.model.finding import End

from .names import ENDS
from .untold import bottoming_in_words, feels_flight, is_untold
from .values import value_in_words


def _depths(day: RideDay, run: RunAnalysis, measure: str, language: Language) -> Mapping[End, str]:
    return {
        end: value_in_words(day, run.entry.setup, measure, end, value, language=language)
        for end in ENDS
        if (value := run.value(measure, end)) is not None
    }


def height(day: RideDay, run: RunAnalysis, language: Language = ENGLISH) -> str:
    """Return how high the ends ride, against each other where both are measured."""
    told = _depths(day, run, "dynamic_sag", language)
    if len(told) < len(ENDS):
        ends = {end: language.say(f"end.short_{end}") for end in told}
        return "".join(language.say("lap.rides_at", end=ends[end], value=words) for end, words in told.items())
    apart = (run.value("dynamic_sag", "front") or 0.0) - (run.value("dynamic_sag", "rear") or 0.0)
    points = language.figure(abs(apart), 1)
    if points == language.figure(0.0, 1):
        return language.say("lap.rides_equal", front=told["front"], rear=told["rear"])
    deeper = "lap.front_deeper" if apart > 0 else "lap.rear_deeper"
    return language.say(deeper, points=points, front=told["front"], rear=told["rear"])


def depth(day: RideDay, run: RunAnalysis, language: Language = ENGLISH) -> str:
    """Return how deep the ends went, and whether they bottomed; empty where that isn't known."""
    parts = []
    for end, value in _depths(day, run, "travel_max", language).items():
        bottoming = bottoming_in_words(day, run, end, language)
        if bottoming:
            form = "lap.depth_untold" if is_untold(run, end) else "lap.depth"
            named = language.say(f"end.short_{end}")
            parts.append(language.say(form, end=named, value=value, bottoming=bottoming))
    return f"{language.begin('; '.join(parts))}." if parts else ""


def flights(run: RunAnalysis, picture: RunPicture, language: Language = ENGLISH) -> str:
    """Return how many flights there were and the longest of them; empty where flight can't be told."""
    if picture.flights is None:
        return ""
    if not picture.flights:
        return language.say("lap.no_flight" if feels_flight(run) else "lap.no_flight_shown")
    longest = max(picture.flights, key=lambda flight: flight.end_s - flight.start_s)
    lasts = language.figure(longest.end_s - longest.start_s, 2)
    form = "lap.longest" if feels_flight(run) else "lap.longest_late"
    return language.say(form, count=len(picture.flights), lasts=lasts, start=language.figure(longest.start_s, 1))


def packing(picture: RunPicture, language: Language = ENGLISH) -> str:
    """Return the worst burst of packing at each end; empty where travel isn't measured."""
    if not picture.ends:
        return ""
    parts = [
        language.say(
            "lap.burst",
            end=language.say(f"end.short_{burst.end}"),
            hits=burst.hits,
            start=language.figure(burst.start_s, 1),
            slope=language.figure(burst.slope_mm, 1),
        )
        for burst in picture.worst_bursts.values()
    ]
    return language.say("lap.packed", bursts="; ".join(parts)) if parts else language.say("lap.no_burst")


def sections(run: RunAnalysis, language: Language = ENGLISH) -> str:
    """Return how long each section of the trail took; empty where none is known."""
    rows = [row for row in run.measures if row.measure == "section_time"]
    parts = [language.say("lap.section", part=row.part, seconds=language.figure(row.value, 2)) for row in rows]
    return language.say("lap.sections", sections=", ".join(parts)) if parts else ""


def finding(run: RunAnalysis, picture: RunPicture, language: Language = ENGLISH) -> str:
    """Return what happened in short: riding time, and whether it bottomed, else how often it flew."""
    bottoms = [value for end in ENDS if (value := run.value("bottom_outs", end)) is not None]
    happened = language.say("lap.no_bottom_out")
    if any(bottoms):
        happened = language.say("lap.bottomed", count=round(sum(bottoms)))
    elif any(is_untold(run, end) for end in ENDS):
        happened = language.say("lap.bottoming_unknown")
    if not bottoms:
        happened = _flown(run, picture, language)
    seconds = language.figure(picture.riding_s, 0)
    if not happened:
        return language.say("lap.finding_bare", seconds=seconds)
    return language.say("lap.finding", seconds=seconds, happened=happened)


def _flown(run: RunAnalysis, picture: RunPicture, language: Language) -> str:
    """Return how many flights there were, in short; empty where no sensor can tell that there were none."""
    if picture.flights:
        return language.say("lap.flights", count=len(picture.flights))
    return language.say("lap.no_flights") if picture.flights is not None and feels_flight(run) else ""


def phases(picture: RunPicture, language: Language = ENGLISH) -> tuple[list[str], list[tuple[str, str]]]:
    """Return how long was braked, turned and pedalled: what is known well, and what roughly, by what told it."""
    told = [phase for phase in picture.phases if language.has(f"ridden.{phase.name}")]
    words = [language.say(f"ridden.{own.name}", seconds=_seconds(own, language)) for own in told]
    pairs = list(zip(told, words, strict=True))
    sure = [one for own, one in pairs if own.confidence == "high"]
    return sure, [(one, own.told_by) for own, one in pairs if own.confidence == "low"]


def _seconds(phase: RiddenPhase, language: Language) -> str:
    form = "lap.seconds" if phase.confidence == "high" else "lap.seconds_about"
    return language.say(form, seconds=language.figure(phase.ridden_s, 0))


def phases_sure(sure: list[str], language: Language = ENGLISH) -> list[str]:
    """Return what is known well of how it was ridden, in one sentence."""
    return [language.say("lap.phases_sure", phases=language.begin(", ".join(sure)))] if sure else []


@dataclass(frozen=True, slots=True, kw_only=True)
class LapToTheRider:
    """One run as the customer's page tells it: what happened in short, then in sentences."""

    finding: str
    lines: tuple[str, ...]


def lap_to_the_rider(day: RideDay, run: RunAnalysis, picture: RunPicture, language: Language) -> LapToTheRider:
    """Return one run in sentences of a language, without what only who measures asks about.

    Parameters
    ----------
    day : RideDay
    run : RunAnalysis
    picture : RunPicture
        Of the run, whole or in part.
    language : Language
    """
    sure, roughly = phases(picture, language)
    lines = [
        height(day, run, language),
        depth(day, run, language),
        "" if picture.ends else language.say("lap.no_travel" if day.travel_ends else "lap.no_travel_felt"),
        flights(run, picture, language) or language.say("lap.flight_unknown"),
        packing(picture, language),
        *phases_sure(sure, language),
        *(language.say("lap.phase_rough", phase=language.begin(phase)) for phase, _ in roughly),
        sections(run, language),
    ]
    return LapToTheRider(finding=finding(run, picture, language), lines=tuple(filter(None, lines)))
