"""Can the logs be trusted? Every log's word, its findings, and a sketch of what it holds."""

from __future__ import annotations

from dashboards.content.panels import traces_of
from dashboards.figures.drawn import Drawn
from dashboards.figures.lap_trace import felt_sketch, sketch
from dashboards.theme import setup_styles
from telemetry.model.analysis import RunAnalysis
from telemetry.pipeline import new_logs
from telemetry.telling.cleaning import cleaning, cleaning_steps
from telemetry.telling.logs import not_shown, recording_verdicts, run_verdicts, trust_in_words
from telemetry.telling.measured import absences

from .view import Page, View


def _sketches(view: View, run: RunAnalysis) -> tuple[Drawn, ...]:
    if run.picture is None:
        return ()
    setup = run.entry.setup
    style = view.styles.get(setup) or setup_styles([setup], {setup: setup})[setup]
    return traces_of(run.picture, style, sketch, felt_sketch)


def page(view: View) -> Page:
    """Return what there is to say of every log, whatever is chosen: trust isn't a matter of choice."""
    analysis = view.analysis
    return Page(
        template="trust.html",
        finding=trust_in_words(analysis.runs, analysis.static),
        panels={f"run-{place}": _sketches(view, run) for place, run in enumerate(analysis.runs)},
        facts={
            "runs": run_verdicts(analysis),
            "measured": [run.picture is not None for run in analysis.runs],
            "not_shown": not_shown(analysis),
            "entries": [run.entry for run in analysis.runs],
            "new_logs": [log.name for log in new_logs(analysis.day)],
            "setups": analysis.day.setups,
            "recordings": recording_verdicts(analysis),
            "absences": absences(analysis),
            "cleaning": cleaning(analysis.conditioning),
            "steps": cleaning_steps(analysis),
        },
    )
