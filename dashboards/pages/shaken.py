"""How hard does it hit? What wheel and chassis feel, what lies between, and what that is for hands and body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dashboards.content.inertial import shaken_panels
from telemetry.model.acceleration_measures import ACCELERATION
from telemetry.telling.cleaning import AT_WORK
from telemetry.telling.measured import RunValues, setups_in_short, value_table, values_in_short, values_of_runs

from .measured import measured_page
from .view import Page, View

COMPARED = tuple(spec.name for spec in ACCELERATION if spec.in_family)
OF_WHOLE_RUNS = tuple(spec.name for spec in ACCELERATION if not spec.in_family and not spec.in_parts)
IN_SHORT = ("chassis_acceleration_10_per_min", "wheel_acceleration_10_per_min")
NOTHING = "No inertial sensor tells how hard it hits"


def _are_compared(view: View) -> bool:
    """Tell whether any run has a row of acceleration among those that get verdicts."""
    return any(
        name in COMPARED and own.value is not None
        for found in view.seen.values.values()
        for (name, _), own in found.items()
    )


def _without_verdict(view: View, runs: Sequence[RunValues]) -> str:
    """Return what two setups' runs gave, or the last run where there are not two: no verdict rests on it."""
    day, comparison = view.analysis.day, view.comparison
    if comparison is not None and len(comparison.candidates) == 1:
        pair = (comparison.baseline, comparison.candidates[0])
        told = next((found for name in IN_SHORT if (found := setups_in_short(day, runs, pair, name))), "")
        if told:
            return told
    return values_in_short(day, runs[-1], IN_SHORT) or NOTHING


def page(view: View) -> Page:
    """Return what inertial sensors tell over what was chosen, and every whole run's values."""
    panels = shaken_panels(view.seen.pictures, view.styles)
    found = measured_page(view, "shaken.html", COMPARED, panels.named, NOTHING)
    shown = {picture.run for picture in view.seen.pictures}
    runs = values_of_runs(run for run in view.analysis.runs if run.entry.name in shown)
    day, finding, of_whole_runs = view.analysis.day, found.finding, OF_WHOLE_RUNS
    if not _are_compared(view):
        of_whole_runs = (*COMPARED, *OF_WHOLE_RUNS)
        finding = _without_verdict(view, runs)
    whole = value_table(day, runs, of_whole_runs)
    return replace(found, finding=finding, facts={**found.facts, "whole": whole, "at_work": AT_WORK})
