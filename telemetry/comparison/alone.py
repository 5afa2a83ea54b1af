"""A B A ridden alone: what the two runs of one setup say of each other."""

from __future__ import annotations

from telemetry.model.comparison import FamilyRow, RunValue
from telemetry.statistics.scale import in_shown_unit, shown_unit_of
from telemetry.words import counted, decimals, figure

from .judging import usable_values


def a_b_a_words(row: FamilyRow, baseline: str, candidate: str) -> str:
    """Return how two runs of one setup around a single run of the other differ; empty for any other order.

    Parameters
    ----------
    row : FamilyRow
    baseline, candidate : str

    Examples
    --------
    ``the two runs of oil_20, 2 places apart, differ by +0.4 points themselves``
    """
    by_setup = {setup: usable_values(row, setup) for setup in (baseline, candidate)}
    twice = next((setup for setup, runs in by_setup.items() if len(runs) == 2), None)
    other = candidate if twice == baseline else baseline
    if twice is None or len(by_setup[other]) != 1:
        return ""
    first, last = sorted(by_setup[twice], key=lambda run: run.run.order)
    if not first.run.order < by_setup[other][0].run.order < last.run.order:
        return ""
    places = counted(last.run.order - first.run.order, "place")
    return f"the two runs of {twice}, {places} apart, differ by {_differ(row, first, last)} themselves"


def _differ(row: FamilyRow, first: RunValue, last: RunValue) -> str:
    """Return the difference of two runs in words; of counts, the counts."""
    if row.spec.scale == "count":
        more = (last.count or 0) - (first.count or 0)
        return f"{figure(more, 0, signed=True)} event{'' if abs(more) == 1 else 's'}"
    a, b = first.value or 0.0, last.value or 0.0
    unit = shown_unit_of(row.spec)
    if row.spec.scale == "log":
        return f"{figure(100 * (b / a - 1), 1, signed=True)} {unit}"
    return f"{figure(in_shown_unit(b - a, row.spec.scale), max(decimals(row.spec.unit), 1), signed=True)} {unit}"
