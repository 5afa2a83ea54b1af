"""Each run's value in the order ridden, means dashed: a setup's step against the day's drift."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from dashboards.theme import SetupStyle, bare_figure, name_axes, ticks
from telemetry.model.catalogue import SPECS
from telemetry.model.finding import End
from telemetry.sheet import table
from telemetry.telling.names import at_the
from telemetry.telling.values import places_of
from telemetry.words import figure as number
from telemetry.words import lower_first, shown_unit, titled

from .drawn import Drawn

HEIGHT = 190
LEAST_SPAN_SHARE = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderedValue:
    """One run's value."""

    order: int
    run: str
    setup: str
    value: float


def shared_span(panels: Sequence[Sequence[OrderedValue]]) -> float:
    """Return the length both panels' scales have: the widest panel's spread and a little."""
    spreads = [max(v.value for v in panel) - min(v.value for v in panel) for panel in panels if panel]
    sizes = [abs(float(np.mean([v.value for v in panel]))) for panel in panels if panel]
    return 1.5 * max([*spreads, LEAST_SPAN_SHARE * max(sizes, default=1.0), 1e-9])


def runs_in_order(
    values: Sequence[OrderedValue], styles: Mapping[str, SetupStyle], measure: str, end: End, span: float
) -> Drawn:
    """Return one measure's run values in the order ridden, at one end.

    Parameters
    ----------
    values : sequence of OrderedValue
        At least one.
    styles : mapping of setup to SetupStyle
    measure : str
    end : {"front", "rear"}
    span : float
        Length of the value axis, in the measure's unit.
    """
    spec = SPECS[measure]
    numbers = [item.value for item in values]
    middle = (max(numbers) + min(numbers)) / 2
    orders = [item.order for item in values]
    plot = bare_figure(
        HEIGHT, x_range=(min(orders) - 0.6, max(orders) + 0.6), y_range=(middle - span / 2, middle + span / 2)
    )
    plot.xgrid.grid_line_color = None
    name_axes(plot, "run, in the order ridden", shown_unit(spec.unit))
    ticks(plot.xaxis[0], sorted(orders))
    for name, style in styles.items():
        own = [item for item in values if item.setup == name]
        if not own:
            continue
        mean = float(np.mean([item.value for item in own]))
        plot.line(x=[min(orders) - 0.5, max(orders) + 0.5], y=[mean, mean], line_color=style.colour, line_dash="dashed")
        plot.scatter(
            x=[item.order for item in own],
            y=[item.value for item in own],
            marker=style.marker,
            size=9,
            fill_color=style.colour,
            line_color=style.colour,
        )
    places = places_of(measure)
    rows = [[str(v.order), v.run, styles[v.setup].label, number(v.value, places)] for v in values]
    return Drawn(
        place=end,
        plot=plot,
        title=lower_first(spec.label),
        alternative=f"{spec.label} of each run {at_the(end)} in the order ridden, with each setup's mean.",
        numbers=table(["order", "run", "setup", titled(spec.label, spec.unit)], rows),
    )
