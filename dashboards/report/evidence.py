"""The evidence behind the report's first page: every figure and table, gathered."""

from __future__ import annotations

from collections.abc import Sequence

from bokeh.resources import Resources
from markupsafe import Markup

from dashboards.content.candidates import candidate_parts
from dashboards.content.expected import expected_parts
from dashboards.content.forces import force_panels
from dashboards.content.inertial import shaken_panels
from dashboards.content.panels import compared_panels, pictures_of
from dashboards.content.parts import PartPanels, part_panels, part_styles
from dashboards.content.sitting import sitting_panels
from dashboards.content.trail import trail_panels
from dashboards.figures.drawn import Drawn
from dashboards.placing import Placed, standing_alone
from dashboards.theme import SetupStyle
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.day import RideDay
from telemetry.model.parts_stated import states_parts
from telemetry.model.prediction import Predicted
from telemetry.pipeline import Along, bench_where_it_holds
from telemetry.telling.bench import RANGES, begin_tables, notes
from telemetry.telling.bench_words import bench_against, bench_finding
from telemetry.telling.cleaning import cleaning, cleaning_steps
from telemetry.telling.day import naming, setting_tables
from telemetry.telling.fairness import compared_over
from telemetry.telling.logs import recording_verdicts, run_verdicts
from telemetry.telling.measured import absences, measure_tables
from telemetry.telling.sitting import sitting_notes, sitting_table
from telemetry.telling.trail import deepest_in_words, deepest_of_each_end, event_table

POINTS = 1600
"""Of one line: paper has no more to show."""


def _parts(day: RideDay, styles: dict[str, SetupStyle]) -> tuple[PartPanels, dict[str, SetupStyle], dict[str, object]]:
    """Return what the parts do: panels, how setups are drawn in them, and what is said beside them."""
    bench = bench_where_it_holds(day) if states_parts(day) else None
    if bench is None:
        return PartPanels(), styles, {}
    own = part_styles(bench, styles)
    return (
        part_panels(bench, own),
        own,
        {
            "finding": bench_finding(bench),
            "key": tuple(own.values()),
            "left_out": [setup.label for setup in bench.setups if setup.name not in own],
            "against": tuple((own.get(told.setup), told) for told in bench_against(bench)),
            "notes": notes(bench),
            "ranges": RANGES,
            "begin": begin_tables(bench),
        },
    )


def evidence(
    analysis: Analysis,
    comparison: Comparison | None,
    along: Along | None,
    styles: dict[str, SetupStyle],
    predicted: Sequence[Predicted] = (),
) -> dict[str, object]:
    """Return what the pages behind the first are filled with."""
    panels = compared_panels(analysis, comparison, styles)
    pictures = pictures_of(analysis, comparison)
    shaken = shaken_panels(pictures, styles)
    sits = sitting_panels(analysis, styles)
    forces = force_panels(analysis, {picture.run for picture in pictures}, styles)
    parts, bench_styles, bench = _parts(analysis.day, styles)
    every = [run.picture for run in analysis.runs if run.picture is not None]
    trail = None if along is None else trail_panels(along, every, styles, POINTS)
    script, places = standing_alone(
        (*panels.every, *sits, *shaken.every, *forces.every, *parts.every, *(trail.every if trail is not None else ()))
    )

    def of(group: tuple[Drawn, ...]) -> list[Placed]:
        return [places[id(panel)] for panel in group]

    events, unit = ((), "") if along is None else (along.events, along.unit)
    return {
        "candidates": candidate_parts(comparison, styles) if comparison is not None else (),
        "comparison": comparison,
        "compared_over": "" if comparison is None else compared_over(comparison),
        "named": naming(analysis.day),
        "panels": {name: of(own) for name, own in panels.named.items()},
        "shaken": {name: of(own) for name, own in shaken.named.items()},
        "forces": {name: of(own) for name, own in forces.named.items()},
        "parts": {name: of(own) for name, own in parts.named.items()},
        "bench": bench,
        "should": expected_parts(predicted, comparison, styles),
        "trail": None
        if trail is None
        else {"traces": of(trail.traces), "averages": of(trail.averages), "banded": trail.banded},
        "deepest": deepest_in_words(events),
        "events": event_table(deepest_of_each_end(events), unit),
        "settings": setting_tables([analysis.day.setups[name] for name in styles or bench_styles]),
        "measure_tables": measure_tables(analysis),
        "absences": absences(analysis),
        "sits": {"panels": of(sits), "table": sitting_table(analysis), "notes": sitting_notes(analysis)},
        "logs": (*run_verdicts(analysis), *recording_verdicts(analysis)),
        "steps": cleaning_steps(analysis),
        "cleaning": cleaning(analysis.conditioning),
        "bokeh": Markup(Resources(mode="inline", components=["bokeh"]).render_js() if script else ""),  # noqa: S704
        "script": script,
    }
