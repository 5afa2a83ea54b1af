"""The templates, and what every page of ours is filled with: tokens, styles, behaviour."""

from __future__ import annotations

import json
import re
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from telemetry import __version__
from telemetry.errors import unsteered
from telemetry.words import upper_first

from .theme import DARK, LIGHT

_BEFORE_UNIT = re.compile(
    r"(?<=\d) (?=(?:% of stroke|% vom Hub|%|°C|°/s|°|points|Punkte|Pkt\.|mm|ml|m/s|N/mm|N|Hz|"
    r"bar|psi|kg|s|min|clicks|Klicks|turns|Umdrehungen|cSt|lb/in|km/h|J|g|m|V)(?![a-z]))"
)

_RANGE = re.compile(r"\([+−]?[\d.]+ to [+−]?[\d.]+\)|\d[\d.]* → \d[\d.]*|\d+ of each")


def tied(text: str) -> str:
    """Return the text with figures tied to their units, so that no line ends between them."""
    return _BEFORE_UNIT.sub("\u00a0", text).replace("± ", "±\u00a0")


def whole_ranges(text: str) -> str:
    """Return the text with ranges in brackets and steps kept whole, so that no line ends in the middle of one."""
    return _RANGE.sub(lambda found: found[0].replace(" ", "\u00a0"), text)


def in_two(text: str) -> Markup:
    """Return a measure's value with what stands in brackets apart: paper sets it beneath, its "of stroke" said once."""
    value, bracket, rest = whole_ranges(tied(text)).partition(" (")
    if not bracket:
        return escape(value)
    beside, of_stroke, end = rest.partition("\u00a0% of stroke")
    share = Markup('\u00a0%<span class="once"> of stroke</span>') if of_stroke else ""
    return Markup('{} <span class="beside">({}{}{}</span>').format(value, beside, share, end)


def _legible(value: object) -> object:
    """Return what a page shows of a value: text from a file can't turn the direction of the words around it.

    What is marked up stays as it is: it is our own, or a form's value (``|e``), which is to come back letter by letter.
    """
    return unsteered(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def _css(tokens: dict[str, str]) -> Markup:
    return Markup("".join(f"--{name}:{colour};" for name, colour in tokens.items()))  # noqa: S704 - our own constants


@cache
def environment() -> Environment:
    """Return the templates' environment: every name from a file is text, a name that isn't filled is an error."""
    made = Environment(
        loader=PackageLoader("dashboards"),
        autoescape=True,
        finalize=_legible,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters.update(tied=tied, whole_ranges=whole_ranges, in_two=in_two, upper_first=upper_first)
    colours = json.dumps([[LIGHT[key], DARK[key]] for key in LIGHT])
    made.globals.update(
        light=_css(dict(LIGHT)),
        dark=_css(dict(DARK)),
        colours=Markup(colours),  # noqa: S704 - our own constants
    )
    return made


def page_words(choice: object, **own: object) -> dict[str, object]:
    """Return what every served page is filled with, and this one's own."""
    return {
        "choice": choice,
        "style": own_text("base.css") + own_text("page.css"),
        "behaviour": Markup("").join(map(own_text, ("repaint.js", "wide.js", "page.js", "mark.js"))),
        "made_with": __version__,
        **own,
    }


def own_text(name: str) -> Markup:
    """Return a style sheet or script of ours, to stand inside a page."""
    return Markup(environment().get_template(name).render())  # noqa: S704 - our own file
