"""How an end moves about its ride height, out of acceleration: where the time went."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from dashboards.theme import SetupStyle, bare_figure, few_ticks, name_axes, zero_line
from telemetry.model.curves import MovedCurves
from telemetry.model.finding import End
from telemetry.sheet import table
from telemetry.telling.names import TITLES
from telemetry.words import figure as number

from .bands import Array
from .drawn import Drawn

HEIGHT = 150
LEAST_PCT = 0.05
"""Shares below can't be seen: the axis ends where both tails are smaller."""
TABLE_MM = (10.0, 25.0, 50.0)


def time_moved(
    curves_at: Mapping[End, Mapping[str, Sequence[MovedCurves]]], styles: Mapping[str, SetupStyle]
) -> tuple[Drawn, ...]:
    """Return the share of riding time by movement about the ride height, an end each, on axes alike.

    Parameters
    ----------
    curves_at : mapping of end and setup to sequence of MovedCurves
        A run each; at least one.
    styles : mapping of setup to SetupStyle
    """
    shares_at = {
        end: {name: np.mean([own.share_pct for own in runs], axis=0) for name, runs in curves_of.items()}
        for end, curves_of in curves_at.items()
    }
    every = [own for curves_of in curves_at.values() for runs in curves_of.values() for own in runs]
    if not every:
        return ()
    edges = every[0].edges_mm
    most = np.max([share for shares in shares_at.values() for share in shares.values()], axis=0)
    seen = np.abs((edges[1:] + edges[:-1])[most > LEAST_PCT] / 2)
    reach = float(seen.max(initial=20.0)) + 5.0
    return tuple(_at_an_end(shares, edges, reach, styles, end) for end, shares in shares_at.items())


def _at_an_end(
    shares: Mapping[str, Array], edges: Array, reach: float, styles: Mapping[str, SetupStyle], end: End
) -> Drawn:
    middle = (edges[1:] + edges[:-1]) / 2
    plot = bare_figure(HEIGHT, x_range=(-reach, reach))
    name_axes(plot, "← out      mm about ride height      in →", "% of time")
    few_ticks(plot.yaxis[0])
    plot.y_range.start = 0
    rows = [[f"within {at:g} mm"] for at in TABLE_MM]
    for name, share in shares.items():
        style = styles[name]
        plot.step(
            x=edges,
            y=np.append(share, share[-1]),
            mode="after",
            line_color=style.colour,
            line_width=1.5,
            line_dash=style.dash,
        )
        for row, at in zip(rows, TABLE_MM, strict=True):
            row.append(f"{number(float(share[np.abs(middle) < at].sum()), 0)} %")
    zero_line(plot, 0.0, "height")
    told = "; ".join(f"{styles[name].label} {rows[1][place + 1]}" for place, name in enumerate(shares))
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]}: time {rows[1][0]} of the ride height: {told}.",
        numbers=table(["", *(styles[name].label for name in shares)], rows),
        title="movement",
    )
