"""What are spring and damper doing? Their curves as the ride gives them, how setups differ, and what moves the bike."""

from __future__ import annotations

from dashboards.content.forces import force_panels
from telemetry.telling.forces import force_difference_table, force_notes, force_sentences
from telemetry.telling.measured import value_table, values_of_runs

from .view import Page, View

NOTHING = "This ride doesn't tell what spring and damper do"
UNCOMPARED = "Spring and damper as the ride gives them"
PULLED = (
    "dynamic_sag@braking",
    "dynamic_sag@accelerating",
    "dynamic_sag@pedalling",
    "dynamic_sag@coasting",
    "dive_per_g",
    "squat_per_g",
    "pedal_movement",
)


def page(view: View) -> Page:
    """Return spring, damper and friction of the shown runs, and how the ends sit under braking, driving, pedalling."""
    shown = {picture.run for picture in view.seen.pictures}
    panels = force_panels(view.analysis, shown, view.styles)
    rows = () if view.comparison is None else view.comparison.second.forces
    lines = force_sentences(rows, {name: style.label for name, style in view.styles.items()})
    finding = (lines[0] if lines else UNCOMPARED) if panels.every else NOTHING
    runs = values_of_runs(run for run in view.analysis.runs if run.entry.name in shown)
    candidates = () if view.comparison is None else view.comparison.candidates
    tables = ((view.styles[name], force_difference_table(rows, name)) for name in candidates)
    return Page(
        template="forces.html",
        finding=finding,
        panels=panels.named,
        facts={
            "lines": lines[1:] if panels.every else (),
            "differences": [(style, found) for style, found in tables if found is not None],
            "pulled": value_table(view.analysis.day, runs, PULLED),
            "notes": force_notes(view.analysis),
        },
    )
