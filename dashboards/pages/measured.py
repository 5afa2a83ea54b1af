"""Pages that show one side of the measures: their figures, what the verdicts say of them, every run's values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

from dashboards.content.panels import speed_panels, together_panels, travel_panels
from dashboards.figures.drawn import Drawn
from telemetry.model.catalogue import SPECS
from telemetry.model.curves import RunPicture
from telemetry.model.finding import Place
from telemetry.telling.measured import RunValues, value_table, values_in_short
from telemetry.telling.summary import summary_of
from telemetry.telling.untold import in_place_of_zero

from .view import EXPLORED, Page, View

TRAVEL = (
    "dynamic_sag",
    "travel_p95",
    "hit_depth_10_per_min",
    "deep_hits_per_min",
    "bottom_outs_per_min",
    "top_outs_per_min",
)
SPEED = (
    "compression_speed_10_per_min",
    "rebound_speed_10_per_min",
    "hits_per_min",
    "recovery_time",
    "packing",
)
TOGETHER = ("sag_difference", "compression_speed_ratio", "rebound_speed_ratio")


def _values(view: View, picture: RunPicture) -> RunValues:
    """Return what a run gives over what was chosen."""
    found = view.seen.values[picture.run]

    def value(measure: str, end: Place) -> float | None:
        own = found.get((measure, end))
        return None if own is None else own.value

    run = next(run for run in view.analysis.runs if run.entry.name == picture.run)
    return RunValues(run=picture.run, setup=picture.setup, value=value, instead=partial(in_place_of_zero, run))


def measured_page(
    view: View, template: str, measures: Sequence[str], panels: Mapping[str, tuple[Drawn, ...]], nothing: str
) -> Page:
    """Return a page about some measures.

    Parameters
    ----------
    view : View
    template : str
    measures : sequence of str
        Measures that get verdicts.
    panels : mapping of name to tuple of Drawn
    nothing : str
        The finding where no measure has a value.
    """
    day, comparison = view.analysis.day, view.comparison
    runs = [_values(view, picture) for picture in view.seen.pictures]
    summaries = {}
    if comparison is not None and not view.seen.explored:
        summaries = {name: summary_of(comparison, name, measures) for name in comparison.candidates}
    if summaries:
        finding = next(iter(summaries.values())).headline
    else:
        finding = EXPLORED if comparison is not None else values_in_short(day, runs[-1], measures[:2]) or nothing
    return Page(
        template=template,
        finding=finding,
        panels=panels,
        facts={
            "summaries": [(view.styles[name], found.lines) for name, found in summaries.items()],
            "values": value_table(day, runs, measures),
            "bare": not any(SPECS[name].by == "travel" for name in measures),
        },
    )


def travel(view: View) -> Page:
    """Return the use of travel over what was chosen: time spent deeper, where the time went, height, bottoming."""
    main, beneath = travel_panels(view.seen.pictures, view.styles)
    return measured_page(view, "travel.html", TRAVEL, {"main": main, "beneath": beneath}, "No travel was ridden here")


def speed(view: View) -> Page:
    """Return speeds over what was chosen: hits and returns by their fastest moment, time from slow to fast."""
    main, beneath = speed_panels(view.seen.pictures, view.styles)
    return measured_page(view, "speed.html", SPEED, {"main": main, "beneath": beneath}, "Too few hits to tell speeds")


def together(view: View) -> Page:
    """Return front against rear over what was chosen: height, hits, returns."""
    panels = together_panels(view.analysis, view.seen.pictures, view.styles)
    nothing = "Front against rear can't be told: it takes both ends measured, and twenty hits of each"
    return measured_page(view, "together.html", TOGETHER, {"main": panels}, nothing)
