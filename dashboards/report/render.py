"""Puts words, figures and style into one page."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from typing import Any

from bokeh.core.property.validation import validate
from bokeh.document import Document
from bokeh.embed import components
from bokeh.resources import Resources
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from dashboards.figures.verdicts import VerdictFigure, verdict_figure
from dashboards.theme import DARK, LIGHT, SetupStyle, setup_styles
from telemetry import __version__
from telemetry.comparison import sentence
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.comparison import Result, Summary
from telemetry.model.key_words import name_of
from telemetry.pipeline import told_naming

from . import facts
from .lap import LapFacts, lap_facts
from .panels import Panels, compared_panels

_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:% of stroke|%|°C|points|mm|ml|m/s|N/mm|bar|kg|s|min|clicks)(?![a-z]))")


@dataclass(frozen=True, slots=True, kw_only=True)
class CandidatePart:
    """Everything the page says of one candidate."""

    label: str
    token: str
    summary: Summary
    differences: tuple[str, ...]
    figure: VerdictFigure
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """One figure panel as the page embeds it."""

    place: str
    div: Markup
    alternative: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def _tied(text: str) -> str:
    """Return the text with figures tied to their units, so that no line ends between them."""
    return _BEFORE_UNIT.sub("\u00a0", text)


def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("dashboards.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["tied"] = _tied
    environment.filters["plain_id"] = lambda text: "".join(c if c.isalnum() else "-" for c in str(text))
    return environment


def _styles(analysis: Analysis, comparison: Comparison | None) -> dict[str, SetupStyle]:
    day = analysis.day
    labels = {name: setup.label for name, setup in day.setups.items()}
    if comparison is not None:
        return setup_styles([comparison.baseline, *comparison.candidates], labels)
    ridden = dict.fromkeys(run.entry.setup for run in analysis.runs if run.picture is not None)
    return setup_styles(list(ridden), labels)


def _candidates(comparison: Comparison, styles: dict[str, SetupStyle]) -> tuple[CandidatePart, ...]:
    parts = []
    for name in comparison.candidates:
        results: list[Result] = [item for item in comparison.verdicts.results if item.candidate == name]
        parts.append(
            CandidatePart(
                label=styles[name].label,
                token=styles[name].token,
                summary=comparison.summaries[name],
                differences=tuple(item.words for item in comparison.setup_differences if item.candidate == name),
                figure=verdict_figure(results),
                sentences=tuple(item.sentence or sentence(item) for item in results),
            )
        )
    return tuple(parts)


def _embedded(panels: Panels) -> tuple[Markup, dict[int, Placed]]:
    """Return the script that draws all panels, and each panel's place on the page by the panel's identity."""
    every = panels.every
    if not every:
        return Markup(""), {}
    document = Document()
    with document.models.freeze():  # all panels at once: each by itself would look through all again
        for panel in every:
            document.add_root(panel.plot)
    script, divs = components(tuple(panel.plot for panel in every))
    placed = {
        id(panel): Placed(
            place=panel.place,
            div=Markup(div),  # noqa: S704 - Bokeh's own empty element
            alternative=panel.alternative,
            title=panel.title,
            columns=panel.numbers.columns,
            rows=panel.numbers.rows,
        )
        for panel, div in zip(every, divs, strict=True)
    }
    return Markup(script), placed  # noqa: S704 - Bokeh's own script, its data escaped by Bokeh


def _headline(analysis: Analysis, parts: tuple[CandidatePart, ...], lap: LapFacts | None) -> str:
    if lap is not None:
        return lap.headline
    return parts[0].summary.headline if parts else analysis.day.title


def _css(tokens: dict[str, str]) -> str:
    return "".join(f"--{name}:{colour};" for name, colour in tokens.items())


def render_report(analysis: Analysis, comparison: Comparison | None, *, names: bool = True) -> str:
    """Return a day's report as one self-contained HTML page.

    Parameters
    ----------
    analysis : Analysis
        With pictures.
    comparison : Comparison or None
        None with one setup or one run: the page then tells what happened on the lap.
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
    with validate(False):  # noqa: FBT003 - the library's own switch; tests draw with it on
        panels = compared_panels(analysis, comparison, styles)
        script, placed = _embedded(panels)

    def of(group: tuple[Any, ...]) -> list[Placed]:
        return [placed[id(panel)] for panel in group]

    parts = _candidates(comparison, styles) if comparison is not None else ()
    lap = lap_facts(analysis) if comparison is None else None
    tokens = {name: style.token for name, style in styles.items()}
    environment = _environment()
    page = environment.get_template("report.html")
    return page.render(
        version=__version__,
        day=analysis.day,
        names=names,
        headline=_headline(analysis, parts, lap),
        circumstances=facts.circumstances(analysis),
        squares=facts.squares(analysis, tokens, comparison),
        styles=tuple(styles.values()),
        candidates=parts,
        comparison=comparison,
        named=told_naming(analysis.day),
        lap=lap,
        panels={
            "order": of(panels.order),
            "travel": of(panels.travel),
            "travel_beneath": of(panels.travel_beneath),
            "speed": of(panels.speed),
            "speed_beneath": of(panels.speed_beneath),
            "together": of(panels.together),
            "traces": of(panels.traces),
            "close_ups": of(panels.close_ups),
            "detectable": of(panels.detectable),
        },
        setting_sheets=facts.setting_sheets([analysis.day.setups[name] for name in styles], name_of),
        measure_sheets=facts.measure_sheets(analysis),
        absences=facts.absences(analysis),
        recordings=facts.recordings(analysis),
        logs=facts.log_words(analysis),
        steps=facts.steps(analysis),
        conditioning=analysis.conditioning,
        light=Markup(_css(dict(LIGHT))),  # noqa: S704 - our own constants
        dark=Markup(_css(dict(DARK))),  # noqa: S704 - our own constants
        colours=Markup(json.dumps([[LIGHT[key], DARK[key]] for key in LIGHT])),  # noqa: S704 - our own constants
        style=Markup(environment.get_template("report.css").render()),  # noqa: S704 - our own file
        behaviour=Markup(environment.get_template("report.js").render()),  # noqa: S704 - our own file
        bokeh=Markup(Resources(mode="inline", components=["bokeh"]).render_js() if script else ""),  # noqa: S704
        script=script,
    )
