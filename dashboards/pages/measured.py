"""Pages that show one side of the measures: their figures, what the verdicts say of them, every run's values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dashboards.figures.drawn import Drawn
from telemetry.model.curves import RunPicture
from telemetry.model.finding import Place
from telemetry.telling.measured import RunValues, value_table, values_in_short
from telemetry.telling.summary import summary_of

from .view import EXPLORED, Page, View


def _values(view: View, picture: RunPicture) -> RunValues:
    """Return what a run gives over what was chosen."""
    found = view.seen.values[picture.run]

    def value(measure: str, end: Place) -> float | None:
        return found[measure, end].value

    return RunValues(run=picture.run, setup=picture.setup, value=value)


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
    day, comparison = view.analysis.day, view.comparison
    runs = [_values(view, picture) for picture in view.seen.pictures]
    summaries = {}
    if comparison is not None and not view.seen.explored:
        summaries = {name: summary_of(comparison, name, measures) for name in comparison.candidates}
    if summaries:
        finding = next(iter(summaries.values())).headline
    else:
        finding = EXPLORED if comparison is not None else values_in_short(day, runs[-1], measures[:2]) or nothing
    return Page(
        template=template,
        finding=finding,
        panels=panels,
        facts={
            "summaries": [(view.styles[name], found.lines) for name, found in summaries.items()],
            "values": value_table(day, runs, measures),
        },
    )
