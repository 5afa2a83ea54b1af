"""Puts words, figures and style into one page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from dashboards.content.sitting import setups_recorded
from dashboards.content.strip import squares
from dashboards.figures.verdicts import CarryingRow, carrying_rows
from dashboards.policy import standing_alone as standing_alone_policy
from dashboards.templating import environment, own_text
from dashboards.theme import SetupStyle, setup_styles
from telemetry import __version__
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.curves import TrailEvent
from telemetry.model.prediction import Predicted
from telemetry.pipeline import Along
from telemetry.telling.day import circumstances
from telemetry.telling.first_page import FirstPage, first_page
from telemetry.telling.lap import LapWords, lap_in_words

from .evidence import evidence as evidence_of


def _styles(analysis: Analysis, comparison: Comparison | None) -> dict[str, SetupStyle]:
    day = analysis.day
    labels = {name: setup.label for name, setup in day.setups.items()}
    if comparison is not None:
        return setup_styles([comparison.baseline, *comparison.candidates], labels)
    ridden = dict.fromkeys(run.entry.setup for run in analysis.runs if run.picture is not None)
    return setup_styles(list(ridden) or setups_recorded(analysis), labels)


def _last_lap(analysis: Analysis, events: Sequence[TrailEvent], unit: str) -> LapWords | None:
    """Return the last usable run in words; None where no run is usable."""
    run = next((run for run in reversed(analysis.runs) if run.picture is not None), None)
    if run is None or run.picture is None:
        return None
    return lap_in_words(analysis.day, run, run.picture, events, unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPart:
    """What the first page shows of one candidate."""

    label: str
    token: str
    rows: tuple[CarryingRow, ...]


def _first_sheet(
    analysis: Analysis, comparison: Comparison | None, styles: dict[str, SetupStyle], first: FirstPage
) -> dict[str, object]:
    """Return what the first page is filled with."""
    return {
        "version": __version__,
        "day": analysis.day,
        "first": first,
        "found": tuple(
            FoundPart(label=own.label, token=styles[own.candidate].token, rows=carrying_rows(own.rows))
            for own in first.found
        ),
        "circumstances": circumstances(analysis, dated=False),
        "squares": squares(analysis, styles, comparison),
        "styles": tuple(styles.values()),
        "style": own_text("base.css") + own_text("paper.css"),
    }


def render_report(
    analysis: Analysis,
    comparison: Comparison | None,
    along: Along | None = None,
    *,
    names: bool = True,
    evidence: bool = True,
    predicted: Predicted | None = None,
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
    evidence : bool
        False leaves the first page alone: one sheet of A4.
    predicted : Predicted, optional
        What the change should have done.

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
    events, unit = ((), "") if along is None else (along.events, along.unit)
    lap = _last_lap(analysis, events, unit) if comparison is None else None
    first = first_page(analysis, comparison, lap, names=names)
    sheet = _first_sheet(analysis, comparison, styles, first)
    behind = evidence_of(analysis, comparison, along, styles, predicted) if evidence else {}
    scripts = [str(behind[part]) for part in ("bokeh", "script") if part in behind]
    behaviour = Markup("<script>{}</script>").format(
        own_text("paper.js") + own_text("wide.js") + own_text("repaint.js")
    )
    return (
        environment()
        .get_template("report.html" if evidence else "first_page.html")
        .render(
            **sheet,
            **behind,
            lap=lap,
            behaviour=behaviour,
            policy=standing_alone_policy((*scripts, behaviour), pictures=first.logo is not None),
        )
    )
