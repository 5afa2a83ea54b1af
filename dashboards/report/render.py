"""Puts words, figures and style into one page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bokeh.resources import Resources
from markupsafe import Markup

from dashboards.content.candidates import CandidatePart, candidate_parts
from dashboards.content.forces import force_panels
from dashboards.content.inertial import shaken_panels
from dashboards.content.panels import compared_panels, pictures_of
from dashboards.content.sitting import setups_recorded, sitting_panels
from dashboards.content.strip import squares
from dashboards.content.trail import Shown, average_panels, axis_of, trace_panels
from dashboards.figures.drawn import Drawn
from dashboards.placing import Placed, standing_alone
from dashboards.policy import standing_alone as standing_alone_policy
from dashboards.templating import environment, own_text
from dashboards.theme import SetupStyle, setup_styles
from telemetry import __version__
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.curves import TrailEvent
from telemetry.pipeline import Along
from telemetry.telling.cleaning import cleaning, cleaning_steps
from telemetry.telling.day import circumstances, naming, setting_tables
from telemetry.telling.fairness import compared_over
from telemetry.telling.lap import LapWords, lap_in_words
from telemetry.telling.logs import recording_verdicts, run_verdicts
from telemetry.telling.measured import absences, measure_tables
from telemetry.telling.sitting import sitting_in_short, sitting_notes, sitting_table
from telemetry.telling.trail import deepest_in_words, deepest_of_each_end, event_table

POINTS = 1600
"""Of one line: paper has no more to show."""


def _styles(analysis: Analysis, comparison: Comparison | None) -> dict[str, SetupStyle]:
    day = analysis.day
    labels = {name: setup.label for name, setup in day.setups.items()}
    if comparison is not None:
        return setup_styles([comparison.baseline, *comparison.candidates], labels)
    ridden = dict.fromkeys(run.entry.setup for run in analysis.runs if run.picture is not None)
    return setup_styles(list(ridden) or setups_recorded(analysis), labels)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrailPanels:
    """Panels along the trail, rear first."""

    traces: tuple[Drawn, ...]
    averages: tuple[Drawn, ...]

    @property
    def every(self) -> tuple[Drawn, ...]:
        """All panels."""
        return (*self.traces, *self.averages)


def _trail(along: Along, analysis: Analysis, styles: dict[str, SetupStyle]) -> TrailPanels:
    drawn = {run for run, _ in along.traces}
    pictures = [run.picture for run in analysis.runs if run.picture is not None and run.entry.name in drawn]
    shown = Shown(pictures=pictures, styles=styles, most_points=POINTS)
    traces = trace_panels(along, shown, axis_of(along))
    return TrailPanels(traces=tuple(trace.drawn for trace in traces.values()), averages=average_panels(along, styles))


def _last_lap(analysis: Analysis, events: Sequence[TrailEvent], unit: str) -> LapWords | None:
    """Return the last usable run in words; None where no run is usable."""
    run = next((run for run in reversed(analysis.runs) if run.picture is not None), None)
    if run is None or run.picture is None:
        return None
    return lap_in_words(analysis.day, run, run.picture, events, unit)


def _headline(analysis: Analysis, parts: tuple[CandidatePart, ...], lap: LapWords | None) -> str:
    if lap is not None:
        return f"What happened on this lap? {lap.finding}"
    if parts:
        return parts[0].summary.headline
    sits = sitting_in_short(analysis)
    return f"How does it sit? {sits}" if sits else analysis.day.title


def render_report(
    analysis: Analysis, comparison: Comparison | None, along: Along | None = None, *, names: bool = True
) -> str:
    """Return a day's report as one self-contained HTML page.

    Parameters
    ----------
    analysis : Analysis
        With pictures.
    comparison : Comparison or None
        None with one setup or one run: the page then tells what happened on the lap.
    along : Along, optional
        The runs along the trail.
    names : bool
        False leaves out rider, customer and shop.

    Returns
    -------
    str
        HTML with scripts, styles and data inside; it asks no network for anything. Every name from a file is text.

    Raises
    ------
    CallError
        If more than four setups would share a figure.
    """
    styles = _styles(analysis, comparison)
    panels = compared_panels(analysis, comparison, styles)
    pictures = pictures_of(analysis, comparison)
    shaken = shaken_panels(pictures, styles)
    sits = sitting_panels(analysis, styles)
    forces = force_panels(analysis, {picture.run for picture in pictures}, styles)
    trail = None if along is None else _trail(along, analysis, styles)
    script, places = standing_alone(
        (*panels.every, *sits, *shaken.every, *forces.every, *(trail.every if trail is not None else ()))
    )

    def of(group: tuple[Drawn, ...]) -> list[Placed]:
        return [places[id(panel)] for panel in group]

    parts = candidate_parts(comparison, styles) if comparison is not None else ()
    events, unit = ((), "") if along is None else (along.events, along.unit)
    lap = _last_lap(analysis, events, unit) if comparison is None else None
    bokeh = Markup(Resources(mode="inline", components=["bokeh"]).render_js() if script else "")  # noqa: S704
    behaviour = Markup("<script>{}</script>").format(own_text("repaint.js"))
    return (
        environment()
        .get_template("report.html")
        .render(
            version=__version__,
            day=analysis.day,
            names=names,
            headline=_headline(analysis, parts, lap),
            circumstances=circumstances(analysis),
            squares=squares(analysis, styles, comparison),
            styles=tuple(styles.values()),
            candidates=parts,
            comparison=comparison,
            compared_over="" if comparison is None else compared_over(comparison),
            named=naming(analysis.day),
            lap=lap,
            panels={name: of(own) for name, own in panels.named.items()},
            shaken={name: of(own) for name, own in shaken.named.items()},
            forces={name: of(own) for name, own in forces.named.items()},
            trail=None if trail is None else {"traces": of(trail.traces), "averages": of(trail.averages)},
            deepest=deepest_in_words(events),
            events=event_table(deepest_of_each_end(events), unit),
            settings=setting_tables([analysis.day.setups[name] for name in styles]),
            measure_tables=measure_tables(analysis),
            absences=absences(analysis),
            sits={"panels": of(sits), "table": sitting_table(analysis), "notes": sitting_notes(analysis)},
            logs=(*run_verdicts(analysis), *recording_verdicts(analysis)),
            steps=cleaning_steps(analysis),
            cleaning=cleaning(analysis.conditioning),
            style=own_text("base.css"),
            policy=standing_alone_policy((bokeh, script, behaviour)),
            bokeh=bokeh,
            script=script,
            behaviour=behaviour,
        )
    )
