"""Pages that show one side of the measures: their figures, what the verdicts say of them, every run's values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dashboards.content.findings import EXPLORED, compared, own_figures, value_rows
from dashboards.figures.drawn import Drawn

from .view import Page, View


def measured_page(
    view: View, template: str, measures: Sequence[str], panels: Mapping[str, tuple[Drawn, ...]], nothing: str
) -> Page:
    """Return a page about some measures.

    Parameters
    ----------
    view : View
    template : str
    measures : sequence of str
        Measures that get verdicts.
    panels : mapping of name to tuple of Drawn
    nothing : str
        The finding where no measure has a value.
    """
    seen, day = view.seen, view.analysis.day
    rows = value_rows(seen, day, measures)
    summaries = compared(view.comparison, measures) if view.comparison is not None and not seen.explored else {}
    if summaries:
        finding = next(iter(summaries.values())).headline
    else:
        finding = EXPLORED if view.comparison is not None else own_figures(seen, day, measures[:2]) or nothing
    return Page(
        template=template,
        finding=finding,
        panels=panels,
        facts={
            "summaries": [(view.styles[name], found.lines) for name, found in summaries.items()],
            "columns": ("", *(picture.run for picture in seen.pictures)),
            "rows": rows,
        },
    )
