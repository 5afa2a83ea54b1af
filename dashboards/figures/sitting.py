"""How does it sit? Sag by recordings off the trail, with what friction leaves open, one end a panel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from dashboards.theme import SetupStyle, bare_figure, name_axes, ticks
from telemetry.model.finding import End
from telemetry.sheet import table
from telemetry.telling.names import TITLES

from .drawn import Drawn

ROW_HEIGHT, FRAME_HEIGHT = 34, 62


@dataclass(frozen=True, slots=True, kw_only=True)
class Sat:
    """One sag, % of full travel; `half_pct` is what friction leaves open either way, None where that isn't known."""

    setup: str
    what: str
    percent: float
    half_pct: float | None
    words: str


def sag_of_end(sat: Sequence[Sat], styles: Mapping[str, SetupStyle], end: End, reach_pct: float) -> Drawn:
    """Return one end's sag: a row a reading, its bar as far as friction may hold it off.

    Parameters
    ----------
    sat : sequence of Sat
        At least one, all of drawn setups; the first stands on top.
    styles : mapping of setup to SetupStyle
    end : {"front", "rear"}
    reach_pct : float
        How far the scale goes, % of full travel; both ends share it.
    """
    rows = [float(len(sat) - place) for place in range(len(sat))]
    plot = bare_figure(FRAME_HEIGHT + ROW_HEIGHT * len(sat), x_range=(0, reach_pct), y_range=(0.4, len(sat) + 0.6))
    plot.ygrid.grid_line_color = None
    name_axes(plot, "sag, % of travel", "")
    ticks(plot.yaxis[0], rows, {row: one.what for row, one in zip(rows, sat, strict=True)})
    for row, one in zip(rows, sat, strict=True):
        style = styles[one.setup]
        if one.half_pct is not None:
            span = [one.percent - one.half_pct, one.percent + one.half_pct]
            plot.line(x=span, y=[row, row], line_color=style.colour, line_width=4.5)
        plot.scatter(
            x=[one.percent],
            y=[row],
            marker=style.marker,
            size=11,
            fill_color=style.colour,
            line_color=style.colour,
        )
    told = "; ".join(f"{one.what}, {styles[one.setup].label}: {one.words}" for one in sat)
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]} sag: {told}.",
        numbers=table(["sag", "setup", "value"], [[one.what, styles[one.setup].label, one.words] for one in sat]),
    )
