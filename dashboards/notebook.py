"""The product's own figures by name, for a notebook: the drawings of pages and report, with the words around them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from math import nan
from types import MappingProxyType
from typing import Any, Literal

from bokeh.core.property.vectorization import Value
from bokeh.layouts import column, row
from bokeh.models import LayoutDOM
from bokeh.models.annotations import Legend, LegendItem, Title
from bokeh.models.widgets import Div

from dashboards.content.candidates import candidate_parts
from dashboards.content.forces import force_panels
from dashboards.content.inertial import shaken_panels
from dashboards.content.panels import (
    detectable_panels,
    lap_traces,
    order_panels,
    speed_panels,
    together_panels,
    travel_panels,
)
from dashboards.content.sitting import setups_recorded, sitting_panels
from dashboards.content.styles import styles_of
from dashboards.content.trail import trail_panels
from dashboards.figures.drawn import Drawn
from dashboards.figures.lap_trace import close_up
from dashboards.templating import environment, own_text
from dashboards.theme import DARK, FONT, LIGHT, SetupStyle, plain, setup_styles
from telemetry.errors import CallError
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.curves import RunPicture
from telemetry.pipeline import ShownDay, Study, along, analysis_of, shown_of
from telemetry.telling.hits import telling_hits
from telemetry.telling.names import TITLES
from telemetry.words import lower_first

Theme = Literal["light", "dark"]
THEMES: Mapping[str, Mapping[str, str]] = MappingProxyType({"light": LIGHT, "dark": DARK})
POINTS = 2400
"""Of one line along the trail: four a pixel on a panel of 600."""
LINE_PX = 26
LETTERS_BESIDE = 36
"""How high a line of words is above a panel; so many letters of setups stand beside each other over half a page."""


@dataclass(kw_only=True)
class _Day:
    """What a figure is drawn of: a day over what is shown of it, each part worked out when first asked for."""

    answer: Analysis | Comparison
    done: Study
    seen: ShownDay
    run: str | None

    @cached_property
    def analysis(self) -> Analysis:
        return self.answer if isinstance(self.answer, Analysis) else analysis_of(self.done)

    @property
    def comparison(self) -> Comparison | None:
        return self.answer if isinstance(self.answer, Comparison) else self.seen.comparison

    @cached_property
    def styles(self) -> dict[str, SetupStyle]:
        compared = self.comparison
        recorded = () if self.pictures else setups_recorded(self.analysis)
        return styles_of(self.done.day, self.seen, None if compared is None else compared.baseline, recorded)

    @property
    def pictures(self) -> Sequence[RunPicture]:
        return self.seen.pictures

    @property
    def lap(self) -> RunPicture:
        """The run that is asked for, else the last."""
        names = [picture.run for picture in self.pictures]
        if self.run is not None and self.run not in names:
            found, expected = f"no run {self.run!r} that is shown", "one of " + ", ".join(names)
            raise CallError(str(self.done.day.path), found, expected, "name one of these")
        return self.pictures[-1 if self.run is None else names.index(self.run)]


Panels = Sequence[Drawn]


def _order(day: _Day) -> Panels:
    return () if day.comparison is None else order_panels(day.analysis, day.comparison, day.styles)


def _visible(day: _Day) -> Panels:
    return () if day.comparison is None else detectable_panels(day.analysis, day.comparison)


def _close_ups(day: _Day) -> Panels:
    style = day.styles[day.lap.setup]
    told = telling_hits(day.lap.deep_hits)
    return tuple(replace(close_up(one.hit, style), title=lower_first(one.title)) for one in told)


def _trail(day: _Day) -> Panels:
    return trail_panels(along(day.done, day.seen), day.pictures, day.styles, POINTS).traces


def _average_hit(day: _Day) -> Panels:
    return trail_panels(along(day.done, day.seen), day.pictures, day.styles, POINTS).averages


def _forces(part: str, day: _Day) -> Panels:
    runs = {picture.run for picture in day.pictures}
    return force_panels(day.analysis, runs, day.styles).named[part]


def _shaken(part: str, day: _Day) -> Panels:
    return shaken_panels(day.pictures, day.styles).named[part]


_DRAWN: Mapping[str, Callable[[_Day], Panels]] = MappingProxyType(
    {
        "travel": lambda day: travel_panels(day.pictures, day.styles)[0],
        "depth": lambda day: travel_panels(day.pictures, day.styles)[1],
        "speed": lambda day: speed_panels(day.pictures, day.styles)[0],
        "speed_time": lambda day: speed_panels(day.pictures, day.styles)[1],
        "both_ends": lambda day: together_panels(day.analysis, day.pictures, day.styles),
        "in_order": _order,
        "trail": _trail,
        "average_hit": _average_hit,
        "lap": lambda day: lap_traces(day.lap, day.styles),
        "close_ups": _close_ups,
        "visible": _visible,
        "sag": lambda day: sitting_panels(day.analysis, day.styles),
        "chassis_peaks": partial(_shaken, "chassis"),
        "wheel_peaks": partial(_shaken, "wheel"),
        "passed_on": partial(_shaken, "passed_on"),
        "shock": partial(_shaken, "shock"),
        "movement": partial(_shaken, "moved"),
        "spring": partial(_forces, "spring"),
        "damper": partial(_forces, "damper"),
        "forces_seen": partial(_forces, "cells"),
    }
)
FIGURES = (*_DRAWN, "verdicts")
"""Every figure's name; docs/notebook.md says what each shows."""
OF_ONE = frozenset({"lap", "close_ups", "visible", "forces_seen"})
"""Figures in which setups needn't be told apart."""
WIDE = frozenset({"trail", "lap", "close_ups"})
"""Figures whose panels lie under each other."""


def _named(plot: Any, panel: Drawn) -> None:
    """Write above a panel what the page has around it."""
    words = ", ".join(filter(None, [TITLES[panel.place], panel.title]))
    plot.title = Title(text=plain(words), text_color=LIGHT["ink"], text_font=FONT, text_font_size="13px")
    plot.height += LINE_PX


def _keyed(plot: Any, styles: Mapping[str, SetupStyle]) -> None:
    """Say above a panel which line is which setup's."""
    labels = [plain(style.label).text.replace("$$", "$ $") for style in styles.values()]
    beside = sum(map(len, labels)) <= LETTERS_BESIDE
    key = Legend(
        items=[
            LegendItem(
                label=Value(label),
                renderers=[plot.line([nan], [nan], line_color=style.colour, line_dash=style.dash, line_width=2)],
            )
            for label, style in zip(labels, styles.values(), strict=True)
        ],
        orientation="horizontal" if beside else "vertical",
        location="left",
        label_text_font=FONT,
        label_text_color=LIGHT["ink"],
        background_fill_color=None,
        border_line_color=None,
        margin=0,
    )
    plot.add_layout(key, "above")
    plot.height += LINE_PX * (1 if beside else len(labels))


def _painted(shown: LayoutDOM, theme: Theme) -> LayoutDOM:
    """Return a drawing on the paper of a theme: it was made with the light one's colours."""
    swapped = {colour.lower(): THEMES[theme][token] for token, colour in LIGHT.items()}
    for model in shown.references():
        for name, value in model.properties_with_values(include_defaults=True).items():
            plain_colour = value.value if isinstance(value, Value) else value
            if name.endswith("_color") and isinstance(plain_colour, str) and plain_colour.lower() in swapped:
                setattr(model, name, swapped[plain_colour.lower()])
    return shown


def _laid_out(name: str, panels: Panels, styles: Mapping[str, SetupStyle], theme: Theme) -> LayoutDOM:
    for panel in panels:
        _named(panel.plot, panel)
        panel.plot.background_fill_color = panel.plot.border_fill_color = LIGHT["paper"]
        if len(styles) > 1 and name not in OF_ONE:
            _keyed(panel.plot, styles)
    plots = [panel.plot for panel in panels]
    across = 1 if name in WIDE else 2
    rows = [plots[place : place + across] for place in range(0, len(plots), across)]
    laid = [row(*some, sizing_mode="stretch_width") if len(some) > 1 else some[0] for some in rows]
    return _painted(laid[0] if len(laid) == 1 else column(*laid, sizing_mode="stretch_width"), theme)


def _verdicts(day: _Day, theme: Theme) -> LayoutDOM | None:
    """Return the verdict figure of every candidate, which is no plot but the pages' own lines; None with one setup."""
    found = day.comparison
    if found is None:
        return None
    labels = {name: setup.label for name, setup in day.done.day.setups.items()}
    parts = candidate_parts(found, setup_styles([found.baseline, *found.candidates], labels))
    text = environment().get_template("notebook.html").render(comparison=found, candidates=parts)
    tokens = "".join(f"--{token}:{colour};" for token, colour in THEMES[theme].items())
    paper = f"background:var(--paper);color:var(--ink);font:16px/1.5 {FONT};padding:16px;"
    styles: list[Any] = [f":host{{{tokens}color-scheme:{theme};}} .paper{{{paper}}}", str(own_text("base.css"))]
    return Div(text=text, disable_math=True, stylesheets=styles, sizing_mode="stretch_width")


def _plots(name: str, day: _Day, theme: Theme) -> LayoutDOM | None:
    panels = _DRAWN[name](day)
    return _laid_out(name, panels, day.styles, theme) if panels else None


def figure(name: str, of: Analysis | Comparison, *, theme: Theme = "light", run: str | None = None) -> LayoutDOM:
    """Return one of the product's own figures, to be shown or changed in a notebook.

    Parameters
    ----------
    name : str
        One of `FIGURES`: ``"travel"``, ``"speed"``, ``"trail"``, ``"lap"`` and so on.
    of : Analysis or Comparison
        As `telemetry.analyse` or `telemetry.compare` gives it: all usable runs, or those that are compared.
    theme : {"light", "dark"}
    run : str, optional
        Whose lap is drawn by ``"lap"`` and ``"close_ups"``; else the last's.

    Returns
    -------
    bokeh.models.LayoutDOM
        A plot, or several in rows: the rear left of the front, as everywhere; of ``"verdicts"`` lines and marks.

    Raises
    ------
    CallError
        If there is no such figure, theme or run, it is asked of something else, or the day has nothing to draw in it.

    Examples
    --------
    >>> import dashboards, telemetry
    >>> day = telemetry.read_ride_day("sample_runs/lower_leg_oil")
    >>> rear, front = dashboards.figure("travel", telemetry.compare(day)).children
    >>> front.title.text.text, front.yaxis[0].axis_label.text
    ('Front', '% of time deeper than')
    """
    for what, given, known in (("figure", name, FIGURES), ("theme", theme, tuple(THEMES))):
        if given not in known:
            raise CallError(f"figure({name!r})", f"{what} {given!r}", "one of " + ", ".join(known), "name one of these")
    if not isinstance(of, (Analysis, Comparison)):
        expected, action = "an analysis or a comparison", "pass what telemetry.analyse or telemetry.compare gives"
        raise CallError(f"figure({name!r})", f"a {type(of).__name__}", expected, action)
    done, seen = shown_of(of)
    if not seen.pictures and name != "sag":
        raise CallError(str(done.day.path), "no usable run", "at least one", "`telemetry check` says more")
    day = _Day(answer=of, done=done, seen=seen, run=run)
    shown = _verdicts(day, theme) if name == "verdicts" else _plots(name, day, theme)
    if shown is None:
        found, expected = f"nothing that figure {name!r} shows", "sensors, setups or recordings that tell it"
        raise CallError(str(done.day.path), found, expected, "the handbook's page on notebooks says which")
    return shown
