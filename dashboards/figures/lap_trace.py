"""One run over time, as travel or as the chassis felt it, and the close-up of a deep hit with both ends."""

from __future__ import annotations

from typing import Any

import numpy as np
from bokeh.models.annotations import BoxAnnotation, Span

from dashboards.theme import LIGHT, SetupStyle, bare_figure, few_ticks, name_axes, ticks
from telemetry.model.curves import DeepHit, RunPicture
from telemetry.model.finding import End
from telemetry.sheet import table
from telemetry.telling.names import TITLES
from telemetry.telling.trail import depth_in_words
from telemetry.words import figure as number

from .drawn import Drawn

TRACE_HEIGHT, CLOSE_UP_HEIGHT, SKETCH_HEIGHT = 180, 150, 96
SECONDS = "s after the log's first row"
END_DASH = {"front": "solid", "rear": "dashed"}


def whole_run(picture: RunPicture, style: SetupStyle, end: End) -> Drawn:
    """Return travel of one end over the whole run, with flights shaded and the deepest hits marked.

    Parameters
    ----------
    picture : RunPicture
    style : SetupStyle
    end : {"front", "rear"}
    """
    plot = bare_figure(TRACE_HEIGHT, y_range=(-3, 104))
    name_axes(plot, SECONDS, "% of travel")
    ticks(plot.yaxis[0], (0, 20, 40, 60, 80, 100))
    _shade_flights(plot, picture)
    plot.line(x=picture.overview_s, y=picture.overview_pct[end], line_color=style.colour, line_width=1)
    deep = [hit for hit in picture.deep_hits if hit.end == end]
    plot.scatter(
        x=[hit.at_s for hit in deep],
        y=[hit.depth_pct for hit in deep],
        marker="circle",
        size=8,
        fill_color=LIGHT["paper"],
        line_color=style.colour,
        line_width=2,
    )
    rows = [[f"{number(hit.at_s, 2)} s", depth_in_words(hit)] for hit in deep]
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]} travel over the run; rings mark the {len(deep)} deepest hits.",
        numbers=table(["time", "depth"], rows),
    )


def felt_run(picture: RunPicture, style: SetupStyle, end: End) -> Drawn:
    """Return upward acceleration of the chassis above one end over the whole run, with flights shaded.

    Parameters
    ----------
    picture : RunPicture
        With a sketch of that acceleration.
    style : SetupStyle
    end : {"front", "rear"}
    """
    plot = bare_figure(TRACE_HEIGHT, y_range=_reach_g(picture))
    name_axes(plot, SECONDS, "upward, g")
    few_ticks(plot.yaxis[0])
    _shade_flights(plot, picture)
    return _felt(plot, picture, style, end, f"{TITLES[end]}, upward acceleration of the chassis over the run")


def _felt(plot: Any, picture: RunPicture, style: SetupStyle, end: End, what: str) -> Drawn:
    felt_g = picture.inertial.upward_g[end]
    plot.line(x=picture.overview_s, y=felt_g, line_color=style.colour, line_width=1)
    lowest, highest = number(float(felt_g.min()), 1), number(float(felt_g.max()), 1)
    return Drawn(
        place=end,
        plot=plot,
        title="chassis, g over seconds",
        alternative=f"{what}: {lowest} to {highest} g.",
        numbers=table(["lowest", "highest"], [[f"{lowest} g", f"{highest} g"]]),
    )


def _reach_g(picture: RunPicture) -> tuple[float, float]:
    """Return an axis that both ends share."""
    every = np.concatenate(list(picture.inertial.upward_g.values()))
    return 1.05 * float(every.min()) - 0.1, 1.05 * float(every.max()) + 0.1


def _shade_flights(plot: Any, picture: RunPicture) -> None:
    for flight in picture.flights or ():
        plot.add_layout(
            BoxAnnotation(
                left=flight.start_s, right=flight.end_s, fill_color=LIGHT["soft"], fill_alpha=0.25, line_color=None
            )
        )


def felt_sketch(picture: RunPicture, style: SetupStyle, end: End) -> Drawn:
    """Return a small line of the chassis's upward acceleration over the whole log."""
    plot = bare_figure(SKETCH_HEIGHT, y_range=_reach_g(picture))
    few_ticks(plot.yaxis[0])
    few_ticks(plot.xaxis[0])
    what = f"{TITLES[end]}, upward acceleration of the chassis over the whole log of {picture.run}"
    return _felt(plot, picture, style, end, what)


def sketch(picture: RunPicture, style: SetupStyle, end: End) -> Drawn:
    """Return a small line of one end's travel over the whole log: a stuck or slipped sensor shows at a glance."""
    plot = bare_figure(SKETCH_HEIGHT, y_range=(-6, 108))
    ticks(plot.yaxis[0], (0, 50, 100))
    few_ticks(plot.xaxis[0])
    plot.line(x=picture.overview_s, y=picture.overview_pct[end], line_color=style.colour, line_width=1)
    lowest, highest = float(picture.overview_pct[end].min()), float(picture.overview_pct[end].max())
    return Drawn(
        place=end,
        plot=plot,
        title="% of travel over seconds",
        alternative=f"{TITLES[end]} travel over the whole log of {picture.run}: {number(lowest, 0)} to "
        f"{number(highest, 0)} %.",
        numbers=table(["lowest", "highest"], [[f"{number(lowest, 1)} %", f"{number(highest, 1)} %"]]),
    )


def close_up(hit: DeepHit, style: SetupStyle) -> Drawn:
    """Return both ends' travel from 0.5 s before to 1 s after a hit's deepest point.

    Parameters
    ----------
    hit : DeepHit
    style : SetupStyle
    """
    plot = bare_figure(CLOSE_UP_HEIGHT, y_range=(-3, 108), x_range=(-0.5, 1.0))
    name_axes(plot, "s from the deepest point", "% of travel")
    ticks(plot.yaxis[0], (0, 50, 100))
    ticks(plot.xaxis[0], (-0.5, 0, 0.5, 1.0))
    plot.add_layout(Span(location=0, dimension="height", line_color=LIGHT["soft"], line_width=1))
    for end, trace in hit.trace_pct.items():
        own = end == hit.end
        plot.line(
            x=hit.trace_s - hit.at_s,
            y=trace,
            line_color=style.colour,
            line_width=2.5 if own else 1.2,
            line_dash=END_DASH[end],
        )
    rows = [
        [end, f"{number(float(trace.max()), 1)} %", f"{number(float(trace.min()), 1)} %"]
        for end, trace in hit.trace_pct.items()
    ]
    return Drawn(
        place=hit.end,
        plot=plot,
        alternative=(
            f"Close-up of the {hit.end}'s hit at {number(hit.at_s, 2)} s, {number(hit.depth_pct, 1)} % deep: "
            "front a full line, rear dashed."
        ),
        numbers=table(["end", "deepest", "shallowest"], rows),
    )
