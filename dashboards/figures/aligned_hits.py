"""Deep hits laid over each other at their deepest moment: the mean as a line, most hits as a band."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from dashboards.theme import SetupStyle, bare_figure, name_axes, ticks, zero_line
from telemetry.model.curves import AlignedHits
from telemetry.model.finding import End
from telemetry.sheet import table
from telemetry.telling.names import TITLES
from telemetry.words import figure as number

from .bands import Band, draw_band
from .drawn import Drawn

HEIGHT = 200
TABLE_S = (-0.2, -0.1, 0.0, 0.1, 0.2, 0.4, 0.6)


def _cell(item: AlignedHits, at_s: float) -> str:
    mean, low, high = (
        number(float(np.interp(at_s, item.time_s, line)), 1) for line in (item.mean_pct, item.low_pct, item.high_pct)
    )
    return f"{mean} % ({low} to {high})"


def aligned_hits(found: Sequence[AlignedHits], styles: Mapping[str, SetupStyle], end: End) -> Drawn | None:
    """Return one end's average deep hit for each setup; None where no setup has enough of them.

    Parameters
    ----------
    found : sequence of AlignedHits
    styles : mapping of setup to SetupStyle
    end : {"front", "rear"}
    """
    own = [item for item in found if item.end == end]
    if not own:
        return None
    first = own[0].time_s
    plot = bare_figure(HEIGHT, x_range=(float(first[0]), float(first[-1])), y_range=(0, 104))
    name_axes(plot, "s from the deepest moment", "% of travel")
    ticks(plot.yaxis[0], (0, 20, 40, 60, 80, 100))
    zero_line(plot, 0.0, "height")
    for item in own:
        band = Band(grid=item.time_s, least=item.low_pct, mean=item.mean_pct, most=item.high_pct)
        draw_band(plot, band, styles[item.setup])
    columns = ["s from the deepest", *(f"{styles[item.setup].label}, mean (eight of ten)" for item in own)]
    rows = [[number(at_s, 1), *(_cell(item, at_s) for item in own)] for at_s in TABLE_S]
    counts = ", ".join(f"{styles[item.setup].label} {item.hits} hits" for item in own)
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]} travel around the deepest moment of hits past half travel: {counts}; mean and "
        "the band that holds eight hits of ten.",
        numbers=table(columns, rows),
    )
