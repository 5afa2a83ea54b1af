"""Colour means setup; everything else is ink. Tokens for light and dark, and the bare figure all start from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Literal

from bokeh.models import BasicTicker, FixedTicker
from bokeh.models.annotations import Span
from bokeh.models.text import PlainText
from bokeh.plotting import figure

from telemetry.errors import CallError, clean_text

LIGHT: Mapping[str, str] = MappingProxyType(
    {
        "ink": "#1d1f21",
        "soft": "#6d6a64",
        "paper": "#fdfcfa",
        "grid": "#e7e4de",
        "band": "#e9e7e2",
        "setup-1": "#3a3a3a",
        "setup-2": "#0072B2",
        "setup-3": "#D55E00",
        "setup-4": "#009E73",
    }
)
DARK: Mapping[str, str] = MappingProxyType(
    {
        "ink": "#e8e6e1",
        "soft": "#9b978f",
        "paper": "#16181a",
        "grid": "#2b2e31",
        "band": "#303438",
        "setup-1": "#c9c5bd",
        "setup-2": "#56B4E9",
        "setup-3": "#E69F00",
        "setup-4": "#4CC39B",
    }
)
DASHES = ("solid", "dashed", "dotted", "dashdot")
"""Lines of the first to fourth setup, so that print in black and white can tell them apart."""

MARKERS = ("circle", "square", "triangle", "diamond")
MOST_SETUPS = 4
FONT = "system-ui, -apple-system, 'Segoe UI', 'DejaVu Sans', sans-serif"
BAND_ALPHA = 0.22
LONGEST_LABEL = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupStyle:
    """How one setup is drawn. `token` names its colour in both themes."""

    name: str
    label: str
    token: str
    dash: str
    marker: str

    @property
    def colour(self) -> str:
        """The colour on light paper; the page swaps it on dark."""
        return LIGHT[self.token]


def setup_styles(names: Sequence[str], labels: Mapping[str, str]) -> dict[str, SetupStyle]:
    """Return how each setup is drawn, the baseline first.

    Parameters
    ----------
    names : sequence of str
        At most four.
    labels : mapping of name to label

    Raises
    ------
    CallError
        With more than four: nobody tells five lines apart.
    """
    if len(names) > MOST_SETUPS:
        found = f"{len(names)} setups ({', '.join(names)})"
        raise CallError(
            "figures", found, f"at most {MOST_SETUPS} in one figure", "name fewer in [comparison] candidates"
        )
    return {
        name: SetupStyle(
            name=name, label=labels[name], token=f"setup-{place + 1}", dash=DASHES[place], marker=MARKERS[place]
        )
        for place, name in enumerate(names)
    }


def bare_figure(height: int, **options: Any) -> Any:
    """Return a figure without frame or toolbar, on a light grid, as wide as its place.

    Parameters
    ----------
    height : int
        Pixels.
    **options
        Passed on to ``bokeh.plotting.figure``.

    Returns
    -------
    bokeh.plotting.figure
        Its properties are made at run time, so it is typed loosely.
    """
    plot = figure(
        height=height,
        sizing_mode="stretch_width",
        toolbar_location=None,
        tools="",
        min_border_left=64,
        min_border_right=14,
        min_border_top=8,
        **options,
    )
    plot.outline_line_color = None
    plot.background_fill_color = None  # the page's own paper shows through
    plot.border_fill_color = None
    for axis in plot.axis:
        axis.axis_line_color = None
        axis.major_tick_line_color = LIGHT["soft"]
        axis.minor_tick_line_color = None
        axis.major_tick_in = 0
        axis.major_tick_out = 4
        axis.major_label_text_color = LIGHT["ink"]
        axis.major_label_text_font = FONT
        axis.major_label_text_font_size = "12px"
        axis.axis_label_text_color = LIGHT["soft"]
        axis.axis_label_text_font = FONT
        axis.axis_label_text_font_size = "12px"
        axis.axis_label_text_font_style = "normal"
    for grid in plot.grid:
        grid.grid_line_color = LIGHT["grid"]
    return plot


def plain(text: str) -> PlainText:
    """Return words as a figure shows them, as they stand: Bokeh takes what is between ``$$`` for a formula."""
    return PlainText(text=clean_text(text, longest=LONGEST_LABEL))


def name_axes(plot: Any, across: str, up: str) -> None:
    """Write beside the axes what they show, with its unit."""
    plot.xaxis.axis_label = plain(across)
    plot.yaxis.axis_label = plain(up)


def ticks(axis: Any, places: Sequence[float], words: Mapping[float, str] | None = None) -> None:
    """Put ticks at these places only, with these words where given."""
    axis.ticker = FixedTicker(ticks=list(places))
    if words is not None:
        axis.major_label_overrides = {place: plain(word) for place, word in words.items()}


def few_ticks(axis: Any) -> None:
    """Put about three ticks on the axis of a small figure, so that their words don't touch."""
    axis.ticker = BasicTicker(desired_num_ticks=3, num_minor_ticks=0)


def zero_line(plot: Any, place: float, dimension: Literal["width", "height"]) -> None:
    """Draw a plain line across the figure: ``height`` is upright, ``width`` is level."""
    plot.add_layout(Span(location=place, dimension=dimension, line_color=LIGHT["soft"], line_width=1))
