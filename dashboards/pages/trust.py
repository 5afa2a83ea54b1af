"""Can the logs be trusted? Every log's word, its findings, and a sketch of what it holds."""

from __future__ import annotations

from collections import Counter

from dashboards.content import facts
from dashboards.figures.drawn import Drawn
from dashboards.figures.lap_trace import sketch
from dashboards.theme import setup_styles
from telemetry.model.analysis import RunAnalysis
from telemetry.model.finding import NOT_SHOWN, End
from telemetry.pipeline import new_logs
from telemetry.words import counted

from .view import Page, View

ENDS: tuple[End, ...] = ("rear", "front")


def verdicts_in_short(runs: tuple[RunAnalysis, ...]) -> str:
    """Return how many runs are good, with care, to be ridden again: ``3 good, 1 with care``."""
    counts = Counter(run.usable for run in runs)
    return ", ".join(f"{counts[word]} {word}" for word in ("good", "with care", "ride again") if counts[word])


def finding_of(runs: tuple[RunAnalysis, ...]) -> str:
    """Return the page's one sentence."""
    again = [run.entry.name for run in runs if run.usable == "ride again"]
    care = [run.entry.name for run in runs if run.usable == "with care"]
    if again:
        return f"{', '.join(again)}: not to be used, ride again"
    if care:
        return f"All {counted(len(runs), 'log')} can be used, {', '.join(care)} with care"
    return f"All {counted(len(runs), 'log')} are good" if len(runs) > 1 else "The log is good"


def _sketches(view: View, run: RunAnalysis) -> tuple[Drawn, ...]:
    if run.picture is None:
        return ()
    setup = run.entry.setup
    style = view.styles.get(setup) or setup_styles([setup], {setup: setup})[setup]
    return tuple(sketch(run.picture, style, end) for end in ENDS if end in run.picture.ends)


def page(view: View) -> Page:
    """Return what there is to say of every log, whatever is chosen: trust isn't a matter of choice."""
    analysis = view.analysis
    words = facts.log_words(analysis)
    runs = words[: len(analysis.runs)]
    return Page(
        template="trust.html",
        finding=finding_of(analysis.runs),
        panels={f"run-{place}": _sketches(view, run) for place, run in enumerate(analysis.runs)},
        facts={
            "runs": runs,
            "not_shown": NOT_SHOWN if any(run.usable == "good" for run in analysis.runs) else "",
            "entries": [run.entry for run in analysis.runs],
            "new_logs": [log.name for log in new_logs(analysis.day)],
            "setups": analysis.day.setups,
            "recordings": words[len(runs) :],
            "off_trail": facts.recordings(analysis),
            "absences": facts.absences(analysis),
            "conditioning": analysis.conditioning,
            "steps": facts.steps(analysis),
        },
    )
