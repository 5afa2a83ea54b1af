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
from telemetry.languages import ENGLISH, Language
from telemetry.model.analysis import Analysis, Comparison, RunAnalysis
from telemetry.model.curves import RunPicture
from telemetry.model.prediction import Predicted
from telemetry.pipeline import Along
from telemetry.telling.day import circumstances
from telemetry.telling.first_page import first_page
from telemetry.telling.lap import lap_in_words
from telemetry.telling.lap_sentences import lap_to_the_rider

from .evidence import evidence as evidence_of


def _styles(analysis: Analysis, comparison: Comparison | None) -> dict[str, SetupStyle]:
    day = analysis.day
    labels = {name: setup.label for name, setup in day.setups.items()}
    if comparison is not None:
        return setup_styles([comparison.baseline, *comparison.candidates], labels)
    ridden = dict.fromkeys(run.entry.setup for run in analysis.runs if run.picture is not None)
    return setup_styles(list(ridden) or setups_recorded(analysis), labels)


def _last_lap(analysis: Analysis) -> tuple[RunAnalysis, RunPicture] | None:
    """Return the last usable run; None where no run is usable."""
    drawn = ((run, run.picture) for run in reversed(analysis.runs) if run.picture is not None)
    return next(drawn, None)


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPart:
    """What the first page shows of one candidate."""

    label: str
    token: str
    rows: tuple[CarryingRow, ...]


def _first_sheet(
    analysis: Analysis, comparison: Comparison | None, styles: dict[str, SetupStyle], *, names: bool, language: Language
) -> dict[str, object]:
    """Return what the first page is filled with."""
    last = _last_lap(analysis) if comparison is None else None
    lap = None if last is None else lap_to_the_rider(analysis.day, *last, language)
    first = first_page(analysis, comparison, lap, names=names, language=language)
    return {
        "version": __version__,
        "day": analysis.day,
        "first": first,
        "found": tuple(
            FoundPart(label=own.label, token=styles[own.candidate].token, rows=carrying_rows(own.rows, language))
            for own in first.found
        ),
        "circumstances": circumstances(analysis, dated=False, language=language),
        "squares": squares(analysis, styles, comparison, language),
        "styles": tuple(styles.values()),
        "language": language.code,
        "say": language.say,
        "style": own_text("base.css") + own_text("paper.css"),
    }


def _pictured(analysis: Analysis, *, names: bool) -> bool:
    return names and analysis.day.logo is not None


def _page(template: str, filled: dict[str, object], scripts: Sequence[str], *, pictures: bool) -> str:
    """Return a page that runs these scripts and its own behaviour, and nothing else."""
    behaviour = Markup("<script>{}</script>").format(
        own_text("paper.js") + own_text("wide.js") + own_text("repaint.js")
    )
    policy = standing_alone_policy((*scripts, behaviour), pictures=pictures)
    return environment().get_template(template).render(**filled, behaviour=behaviour, policy=policy)


def render_for_the_customer(
    analysis: Analysis, comparison: Comparison | None, *, names: bool = True, language: Language = ENGLISH
) -> str:
    """Return a day's first page alone: one sheet of A4, in a language.

    Parameters
    ----------
    analysis : Analysis
        With pictures.
    comparison : Comparison or None
        None with one setup or one run: the page then tells what happened on the lap.
    names : bool
        False leaves out rider, customer and shop.
    language : Language, optional

    Returns
    -------
    str
        HTML as of `render_report`.

    Raises
    ------
    CallError
        If more than four setups would share a figure.
    """
    styles = _styles(analysis, comparison)
    sheet = _first_sheet(analysis, comparison, styles, names=names, language=language)
    return _page("first_page.html", sheet, (), pictures=_pictured(analysis, names=names))


def render_report(
    analysis: Analysis,
    comparison: Comparison | None,
    along: Along | None = None,
    *,
    names: bool = True,
    predicted: Sequence[Predicted] = (),
) -> str:
    """Return a day's report as one self-contained HTML page, in English.

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
    predicted : sequence of Predicted
        What each candidate should have done; empty where none was ridden on paper.

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
    last = _last_lap(analysis) if comparison is None else None
    lap = None if last is None else lap_in_words(analysis.day, *last, events, unit)
    sheet = _first_sheet(analysis, comparison, styles, names=names, language=ENGLISH)
    behind = evidence_of(analysis, comparison, along, styles, predicted)
    scripts = [str(behind[part]) for part in ("bokeh", "script")]
    return _page("report.html", {**sheet, **behind, "lap": lap}, scripts, pictures=_pictured(analysis, names=names))
