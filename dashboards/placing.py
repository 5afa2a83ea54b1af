"""Panels as a page embeds them: an element for each drawing, its alternative and its numbers as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from bokeh.core.property.validation import validate
from bokeh.document import Document
from bokeh.embed import components
from bokeh.settings import settings
from markupsafe import Markup

from dashboards.figures.drawn import Drawn
from telemetry.sheet import Table


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """One figure panel on a page.

    `div` is its element where the page stands alone; on a served page `root` names the document's root.
    """

    place: str
    root: str
    div: Markup
    alternative: str
    title: str
    numbers: Table


def placed(panel: Drawn, *, root: str = "", div: str = "") -> Placed:
    """Return a panel as the page embeds it; `div` is markup of the drawing library's own making."""
    return Placed(
        place=panel.place,
        root=root,
        div=Markup(div),  # noqa: S704 - Bokeh's own empty element
        alternative=panel.alternative,
        title=panel.title,
        numbers=panel.numbers,
    )


def _lighter(plot: Any) -> Any:
    """Let go of the glyphs for what isn't selected or is muted: nothing is ever dimmed, and they are two of three."""
    for renderer in plot.renderers:
        renderer.nonselection_glyph = renderer.muted_glyph = None
    return plot


@contextmanager
def _unchecked() -> Iterator[None]:
    """Leave out the library's own checks of what is drawn, which take as long as a third of the drawing."""
    settings.perform_document_validation.set_value(False)
    try:
        with validate(False):  # noqa: FBT003 - the library's own switch; tests draw with it on
            yield
    finally:
        settings.perform_document_validation.unset_value()


def standing_alone(panels: Sequence[Drawn]) -> tuple[Markup, dict[int, Placed]]:
    """Return the script that draws all panels, and each panel's place on the page by the panel's identity."""
    if not panels:
        return Markup(""), {}
    with _unchecked():
        document = Document()
        with document.models.freeze():  # all panels at once: each by itself would look through all again
            for panel in panels:
                document.add_root(_lighter(panel.plot))
        script, divs = components(tuple(panel.plot for panel in panels))
    found = {id(panel): placed(panel, div=div) for panel, div in zip(panels, divs, strict=True)}
    return Markup(script), found  # noqa: S704 - Bokeh's own script, its data escaped by Bokeh


def served(document: Document, panels: Sequence[Drawn]) -> list[Placed]:
    """Add panels to a served document; return them as its page embeds them, in order."""
    found = []
    with document.models.freeze():
        for panel in panels:
            root = f"panel-{len(document.roots) + 1}"
            panel.plot.name = root
            document.add_root(_lighter(panel.plot))
            found.append(placed(panel, root=root))
    return found
