"""Every run measure's function, listed by hand; ids, units and words stand in the model's catalogue."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import TypeAlias

from telemetry.model.catalogue import SPECS
from telemetry.model.finding import ENDS, End, Place
from telemetry.model.measure import Absent, Measured
from telemetry.model.stretches import stretches

from . import bottoming, ends, ground_speed, sag, stroke_speed, travel
from .inertial.catalogue import MEASURES, MEASURES_IN_PARTS
from .inertial.view import InertialView, inertial_view
from .missing import NEAR_CLOCKS, NO_LAG, TWO_CLOCKS, Missing, Outcome
from .packing import packing
from .phases.catalogue import phase_measures
from .phases.found import FoundPhases
from .recovery import recovery_time
from .slow_frequency import strongest_slow_frequency
from .topping import top_outs_per_min
from .view import EndView, Knees, RunMotion, end_view

EndMeasure: TypeAlias = Callable[[EndView], Outcome]
PairMeasure: TypeAlias = Callable[[EndView, EndView, float | None], Outcome]

END_MEASURES: Mapping[str, EndMeasure] = MappingProxyType(
    {
        "dynamic_sag": sag.dynamic_sag,
        "dynamic_sag_median": sag.dynamic_sag_median,
        "travel_p95": travel.travel_p95,
        "travel_max": travel.travel_max,
        "hit_depth_10_per_min": travel.hit_depth_10_per_min,
        "hit_depth_p95": travel.hit_depth_p95,
        "deep_hits_per_min": travel.deep_hits_per_min,
        "bottom_outs": bottoming.bottom_outs,
        "bottom_outs_per_min": bottoming.bottom_outs_per_min,
        "top_outs_per_min": top_outs_per_min,
        "hits_per_min": travel.hits_per_min,
        "strokes_per_min": travel.strokes_per_min,
        "hit_length_p50": travel.hit_length_p50,
        "hit_length_p95": travel.hit_length_p95,
        "compression_speed_p50": stroke_speed.compression_speed_p50,
        "compression_speed_p95": stroke_speed.compression_speed_p95,
        "rebound_speed_p50": stroke_speed.rebound_speed_p50,
        "rebound_speed_p95": stroke_speed.rebound_speed_p95,
        "compression_speed_10_per_min": stroke_speed.compression_speed_10_per_min,
        "rebound_speed_10_per_min": stroke_speed.rebound_speed_10_per_min,
        "shaft_compression_speed_p95": stroke_speed.shaft_compression_speed_p95,
        "shaft_rebound_speed_p95": stroke_speed.shaft_rebound_speed_p95,
        "below_knee_compression_hits": stroke_speed.below_knee_compression_hits,
        "below_knee_rebound_returns": stroke_speed.below_knee_rebound_returns,
        "recovery_time": recovery_time,
        "packing": packing,
    }
)

PAIR_MEASURES: Mapping[str, PairMeasure] = MappingProxyType(
    {
        "sag_difference": lambda front, rear, _: ends.sag_difference(front, rear),
        "compression_speed_ratio": ends.compression_speed_ratio,
        "rebound_speed_ratio": ends.rebound_speed_ratio,
    }
)

WITHOUT_CLOCKS = frozenset({"sag_difference"})
"""Measures of both ends that needn't know what the ends did at one moment."""

EVENT_COUNTS: Mapping[str, Callable[[EndView], int]] = MappingProxyType(
    {
        "deep_hits_per_min": travel.deep_hits,
        "bottom_outs_per_min": lambda view: int(view.bottom_outs.start.size),
        "top_outs_per_min": lambda view: int(view.top_outs.start.size),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class BikeFacts:
    """What the measures need to know of the bike and the day; None where not stated."""

    head_angle_deg: float | None
    wheelbase_mm: float | None
    knees: Mapping[End, Knees]
    hard_bottom_out_mm_s: float
    bike_share: float | None = None  # of bike and rider together, by mass


@dataclass(frozen=True, slots=True, kw_only=True)
class Marked:
    """A named place in one run, the log's seconds."""

    name: str
    at_s: float


class Sheet:
    """Values and absences of one run, collected row by row."""

    def __init__(self) -> None:
        self.measures: list[Measured] = []
        self.absent: list[Absent] = []

    def add(self, name: str, end: Place, outcome: Outcome, *, part: str | None = None) -> None:
        """Add one measure, present or absent."""
        if isinstance(outcome, Missing):
            self.absent.append(Absent(measure=name, end=end, reason=outcome.reason))
            return
        self.measures.append(Measured(measure=name, end=end, unit=SPECS[name].unit, value=float(outcome), part=part))

    def add_parts(self, name: str, end: Place, outcome: Mapping[str, float] | Missing) -> None:
        """Add a measure with one value a part, or its absence."""
        if isinstance(outcome, Missing):
            self.add(name, end, outcome)
            return
        for part, value in outcome.items():
            self.add(name, end, value, part=part)


def _measure_end(sheet: Sheet, run: RunMotion, end: End, facts: BikeFacts) -> EndView:
    view = end_view(run, end, knees=facts.knees.get(end))
    for name, function in END_MEASURES.items():
        sheet.add(name, end, function(view))
    hard = bottoming.hard_bottom_outs(view, faster_than_mm_s=facts.hard_bottom_out_mm_s)
    sheet.add("hard_bottom_outs", end, hard)
    ridden = stretches(run.time.riding, run.ride.segments)
    signal = run.ride.ends[end]
    sheet.add(
        "strongest_slow_frequency",
        end,
        strongest_slow_frequency(signal.travel_mm, ridden, run.ride.rate_hz),
    )
    return view


def inertial_views(run: RunMotion, facts: BikeFacts) -> Mapping[End, InertialView]:
    """Return what the measures of acceleration look at over a whole ride; measures within its phases share it."""
    return {end: inertial_view(run, end, bike_share=facts.bike_share) for end in ENDS}


def _measure_acceleration(sheet: Sheet, run: RunMotion, view: InertialView) -> None:
    """Add what acceleration tells of an end; all is absent where the end's readings can't be used."""
    end, lost = view.end, run.lacks(view.end) if view.end in run.lost else None
    for name, function in MEASURES.items():
        if end in SPECS[name].ends:
            sheet.add(name, end, lost or function(view))
    for name, in_parts in MEASURES_IN_PARTS.items():
        sheet.add_parts(name, end, lost or in_parts(view))


def of_both(
    run: RunMotion, name: str, function: PairMeasure, views: Mapping[End, EndView], facts: BikeFacts
) -> Outcome:
    """Return a measure of front against rear; mean heights are told against each other whatever the clocks."""
    lacking: tuple[End, ...] = tuple(end for end in ENDS if end not in views)
    if lacking:
        return run.lacks(lacking[0])
    if run.ride.clocks == "rough" and name not in WITHOUT_CLOCKS:
        return Missing(TWO_CLOCKS)
    return function(views["front"], views["rear"], facts.head_angle_deg)


def mean_ground_speed(run: RunMotion, facts: BikeFacts, lags: ground_speed.Lags | None) -> Outcome:
    """Return a run's ground speed, m/s: a sensor's mean over riding, else from the lag between the ends.

    Parameters
    ----------
    run : RunMotion
    facts : BikeFacts
    lags : Lags or None
        From `find_run_lags`.
    """
    sensor = run.ride.ground_speed
    if sensor is not None:
        return float(sensor.speed_m_s[run.time.riding].mean())
    if run.ride.clocks != "one":
        return Missing(NEAR_CLOCKS if run.ride.clocks == "near" else TWO_CLOCKS)
    if lags is None:
        return next(map(run.lacks, run.lost), Missing(NO_LAG))
    if facts.wheelbase_mm is None:
        return Missing("no speed sensor, and wheelbase_mm isn't stated")
    return ground_speed.speed_from_lags(lags, facts.wheelbase_mm)


def find_run_lags(run: RunMotion, facts: BikeFacts) -> ground_speed.Lags | None:
    """Return how the rear repeats the front; None with one end measured.

    An unstated wheelbase counts as 1.2 m: the order of the ends can be told without it.
    """
    if len(run.ends) < 2 or run.ride.clocks != "one":
        return None
    signals = run.ride.ends
    longest = max(signal.full_travel_mm for signal in signals.values())
    return ground_speed.find_lags(
        (signals["front"].speed_mm_s, signals["rear"].speed_mm_s),
        stretches(run.time.riding, run.ride.segments),
        run.ride.rate_hz,
        ground_speed.lag_bounds_s(facts.wheelbase_mm or 1200.0, longest),
        run.time.flights,
    )


def _section_times(sheet: Sheet, marks: tuple[Marked, ...]) -> None:
    ordered = sorted(marks, key=lambda mark: mark.at_s)
    if len(ordered) < 2:
        sheet.add("section_time", "both", Missing("fewer than two marks in this run"))
    for first, second in pairwise(ordered):
        name = f"{first.name} to {second.name}"
        sheet.add("section_time", "both", second.at_s - first.at_s, part=name)


def measure_run(
    run: RunMotion,
    facts: BikeFacts,
    lags: ground_speed.Lags | None,
    marks: tuple[Marked, ...] = (),
    phases: FoundPhases | None = None,
    felt: Mapping[End, InertialView] | None = None,
) -> Sheet:
    """Return every run measure of one ride, present or absent with the reason.

    Parameters
    ----------
    run : RunMotion
        With riding time.
    facts : BikeFacts
    lags : Lags or None
        From `find_run_lags`.
    marks : tuple of Marked
    phases : FoundPhases, optional
        From `find_phases`, where a sensor tells them.
    felt : mapping of end to InertialView, optional
        From `inertial_views`, where what they work out is used again.

    Returns
    -------
    Sheet
    """
    sheet = Sheet()
    views: dict[End, EndView] = {}
    for end in ("front", "rear"):
        if end in run.ends:
            views[end] = _measure_end(sheet, run, end, facts)
            continue
        for name in (*END_MEASURES, "hard_bottom_outs", "strongest_slow_frequency"):
            sheet.add(name, end, run.lacks(end))
    for view in (felt or inertial_views(run, facts)).values():
        _measure_acceleration(sheet, run, view)
    for name, function in PAIR_MEASURES.items():
        sheet.add(name, "both", of_both(run, name, function, views, facts))
    sheet.add("ground_speed", "both", mean_ground_speed(run, facts, lags))
    sheet.add("riding_time", "both", run.time.riding_s)
    airborne = run.time.airborne
    flown = Missing(run.time.why_no_flight) if airborne is None else airborne.sum() / run.time.rate_hz
    sheet.add("airborne_time", "both", flown)
    for name, place, outcome in phase_measures(run, phases):
        sheet.add(name, place, outcome)
    _section_times(sheet, marks)
    return sheet
