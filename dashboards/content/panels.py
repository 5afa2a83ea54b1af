"""Figures drawn and gathered by the question they answer."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from dashboards.figures.detectable import detectable
from dashboards.figures.drawn import Drawn
from dashboards.figures.ends_together import front_against_rear
from dashboards.figures.lap_trace import close_up, felt_run, whole_run
from dashboards.figures.runs_by_setup import grouped, measured_ends
from dashboards.figures.runs_in_order import OrderedValue, runs_in_order, shared_span
from dashboards.figures.stroke_speeds import strokes_faster, time_at_speed
from dashboards.figures.travel_use import time_at_depth, time_deeper
from dashboards.theme import SetupStyle
from telemetry import measures
from telemetry.model.analysis import Analysis, Comparison, RunAnalysis
from telemetry.model.curves import RunPicture
from telemetry.model.finding import End
from telemetry.pipeline import known_of, plan_of
from telemetry.telling.hits import telling_hits
from telemetry.telling.names import ENDS, PLACES

from .groups import Groups

SPEED_POINTS = 121
IN_ORDER = ("dynamic_sag", "chassis_acceleration_rms", "wheel_acceleration_rms")
"""What is drawn in the order ridden where no focus is: ride height, or shaking where no travel is measured."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Panels(Groups):
    """Panels of every section of the report: rear first where a section has one an end."""

    order: tuple[Drawn, ...] = ()
    travel: tuple[Drawn, ...] = ()
    travel_beneath: tuple[Drawn, ...] = ()
    speed: tuple[Drawn, ...] = ()
    speed_beneath: tuple[Drawn, ...] = ()
    together: tuple[Drawn, ...] = ()
    traces: tuple[Drawn, ...] = ()
    close_ups: tuple[Drawn, ...] = ()
    detectable: tuple[Drawn, ...] = ()


def order_panels(analysis: Analysis, comparison: Comparison, styles: Mapping[str, SetupStyle]) -> tuple[Drawn, ...]:
    """Return the focus measure of each run in the order ridden, an end a panel; of one nobody measured the next."""
    used = {run.run for run in comparison.runs_used}
    runs = [run for run in analysis.runs if run.entry.name in used]
    focus = [name for name, _ in analysis.day.comparison.focus if not name.endswith("_per_min")]
    for measure in dict.fromkeys((*focus, *IN_ORDER)):
        found = {end: _in_order(runs, measure, end) for end in ENDS}
        panels = {end: values for end, values in found.items() if values}
        if panels:
            span = shared_span(list(panels.values()))
            return tuple(runs_in_order(values, styles, measure, end, span) for end, values in panels.items())
    return ()


def _in_order(runs: Sequence[RunAnalysis], measure: str, end: End) -> list[OrderedValue]:
    return [
        OrderedValue(order=run.entry.order, run=run.entry.name, setup=run.entry.setup, value=value)
        for run in runs
        if (value := run.value(measure, end)) is not None
    ]


def _head_angles(analysis: Analysis, styles: Mapping[str, SetupStyle]) -> dict[str, float]:
    angles = {}
    for name in styles:
        setting = analysis.day.setups[name].bike.get("head_angle_deg")
        if setting is not None and isinstance(setting.value, float):
            angles[name] = setting.value
    return angles


def travel_panels(
    pictures: Sequence[RunPicture], styles: Mapping[str, SetupStyle]
) -> tuple[tuple[Drawn, ...], tuple[Drawn, ...]]:
    """Return time spent deeper, and beneath it where the time went."""
    ends = measured_ends(pictures)
    return (
        tuple(time_deeper(pictures, styles, end) for end in ends),
        tuple(time_at_depth(pictures, styles, end) for end in ends),
    )


def speed_panels(
    pictures: Sequence[RunPicture], styles: Mapping[str, SetupStyle]
) -> tuple[tuple[Drawn, ...], tuple[Drawn, ...]]:
    """Return hits and returns faster than each speed, and beneath it how time is shared between slow and fast."""
    ends = measured_ends(pictures)
    fastest = max((1.0, *(measures.often_reached_m_s(pictures, end) for end in ends)))
    speeds = np.linspace(0.0, np.ceil(fastest * 2) / 2, SPEED_POINTS)  # to a half m/s, both ends alike
    by_setup = grouped(pictures, styles)
    rates = {end: {name: measures.stroke_rates(runs, end, speeds) for name, runs in by_setup.items()} for end in ends}
    return (
        tuple(strokes_faster({k: v for k, v in rates[end].items() if v is not None}, styles, end) for end in ends),
        tuple(time_at_speed(pictures, styles, end) for end in ends),
    )


def together_panels(
    analysis: Analysis, pictures: Sequence[RunPicture], styles: Mapping[str, SetupStyle]
) -> tuple[Drawn, ...]:
    """Return front against rear; none where it can't be put in one direction."""
    angles = _head_angles(analysis, styles)
    if len(angles) != len(styles):
        return ()
    pairs = {name: measures.speed_pairs(runs, angles[name]) for name, runs in grouped(pictures, styles).items()}
    pairs = {name: found for name, found in pairs.items() if found}
    return front_against_rear(pairs, styles) if pairs else ()


def pictures_of(analysis: Analysis, comparison: Comparison | None) -> list[RunPicture]:
    """Return the pictures of the runs that are compared; of all where nothing is."""
    used = None if comparison is None else {run.run for run in comparison.runs_used}
    return [
        run.picture for run in analysis.runs if run.picture is not None and (used is None or run.entry.name in used)
    ]


def compared_panels(analysis: Analysis, comparison: Comparison | None, styles: Mapping[str, SetupStyle]) -> Panels:
    """Return the panels of a day's report, compared or not.

    Parameters
    ----------
    analysis : Analysis
        With pictures.
    comparison : Comparison or None
    styles : mapping of setup to SetupStyle
    """
    pictures = pictures_of(analysis, comparison)
    travel, speed = travel_panels(pictures, styles), speed_panels(pictures, styles)
    last = pictures[-1] if pictures and comparison is None else None
    told = () if last is None else telling_hits(last.deep_hits)
    return Panels(
        order=() if comparison is None else order_panels(analysis, comparison, styles),
        travel=travel[0],
        travel_beneath=travel[1],
        speed=speed[0],
        speed_beneath=speed[1],
        together=together_panels(analysis, pictures, styles),
        traces=() if last is None or last.ends else lap_traces(last, styles),  # travel stands along the trail
        close_ups=() if last is None else tuple(close_up(one.hit, styles[last.setup]) for one in told),
        detectable=() if comparison is None else detectable_panels(analysis, comparison),
    )


def detectable_panels(analysis: Analysis, comparison: Comparison) -> tuple[Drawn, ...]:
    """Return what a day of so many runs can see, where a plan is written down or something is undecided."""
    undecided = any(result.verdict == "undecided" for result in comparison.verdicts.results)
    if analysis.day.plan is None and not undecided:
        return ()
    known = plan_of(analysis.day, known_of(analysis)).sees
    rows = [row for row in known if row.spread_from != "default"]
    return tuple(found for place in PLACES if (found := detectable(rows, place)) is not None)


def traces_of(
    picture: RunPicture, style: SetupStyle, travelled: Callable[..., Drawn], felt: Callable[..., Drawn]
) -> tuple[Drawn, ...]:
    """Return a run over time: travel of each end, where none is measured what the chassis felt above it."""
    kinds = ((travelled, picture.ends), (felt, picture.inertial.upward_g))
    return next((tuple(draw(picture, style, end) for end in ENDS if end in told) for draw, told in kinds if told), ())


def lap_traces(picture: RunPicture, styles: Mapping[str, SetupStyle]) -> tuple[Drawn, ...]:
    """Return a run over time, rear first, its deepest hits marked."""
    return traces_of(picture, styles[picture.setup], whole_run, felt_run)
