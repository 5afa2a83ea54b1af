"""What do the parts do? Leverage over the stroke, force along travel by part, force against speed at the damper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

import numpy as np
from bokeh.models.annotations import Label

from dashboards.theme import (
    BAND_ALPHA,
    FONT,
    LIGHT,
    SetupStyle,
    bare_figure,
    few_ticks,
    name_axes,
    plain,
    ticks,
    zero_line,
)
from telemetry.model.arrays import Floats
from telemetry.model.bench_figures import Ranged
from telemetry.model.bench_leverage import Leverage
from telemetry.model.bench_springs import Springs
from telemetry.model.finding import End
from telemetry.sheet import Table
from telemetry.telling.bench_words import rounded
from telemetry.telling.names import TITLES
from telemetry.words import figure as number
from telemetry.words import shortened

from .drawn import Drawn

Align: TypeAlias = Literal["left", "right", "center"]
HEIGHT = 260
TOLD_PCT = (30, 60, 80, 90, 100)
LEAST_DIFFERENCE_N = 5.0
"""A difference is written on the figure from so much on."""
LONGEST_LABEL = 16
"""Of whose difference it is, letters that have room on a phone."""
LEAST_PART = 0.05
"""A part that never reaches this share of the whole force isn't drawn by itself."""
EARLY = 0.55
"""Where along the travel a part's words stand, within it; those of parts that come in towards the end, beside it."""
LATE_PARTS = frozenset({"lower_legs", "bumper", "air_gap"})
WITH_WORDS = 130
"""% of travel at which the figure ends that has words beside its curves."""
LINE_PX, DRAWN_PX = 15, 195
"""Height of a line of words, and about how high the figure itself is drawn."""
PART_WORDS = {
    "positive_air": "main air",
    "negative_air": "negative air",
    "coil": "coil",
    "lower_legs": "lower legs",
    "air_gap": "air gap",
    "bumper": "bumper",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringsTold:
    """What stands beside and on a figure of springs: its end, the numbers, how well differences are known.

    `apart` is by setup and percent of travel, N less the first setup's.
    """

    end: End
    numbers: Table
    apart: Mapping[tuple[str, int], Ranged]


def _newtons(force_n: float) -> str:
    """Return a force to three digits: more no part is known to."""
    return number(float(f"{force_n:.3g}"), 0)


def leverage_curves(held: Mapping[str, Leverage], styles: Mapping[str, SetupStyle], numbers: Table) -> Drawn:
    """Return the leverage ratio over the shock's stroke, with the band its points leave open and a mark at sag.

    Parameters
    ----------
    held : mapping of setup to Leverage
        At least one, all of drawn setups.
    styles : mapping of setup to SetupStyle
    numbers : Table
    """
    longest = max(float(own.stroke_mm[-1]) for own in held.values())
    curves = [own.ratio for own in held.values()]
    curves += [edge for own in held.values() if own.ratio_band for edge in (own.ratio_band.low, own.ratio_band.high)]
    low, high = (float(pick(pick(curve) for curve in curves)) for pick in (min, max))
    room = max(0.08 * (high - low), 0.05)
    plot = bare_figure(HEIGHT, x_range=(0, 1.02 * longest), y_range=(low - room, high + room))
    name_axes(plot, "shock stroke, mm", "leverage ratio")
    few_ticks(plot.yaxis[0])
    for name, own in held.items():
        style = styles[name]
        same = next(other for other, curve in held.items() if np.array_equal(curve.ratio, own.ratio))
        if own.ratio_band is not None and same == name:  # a curve that two setups share has one band
            plot.varea(
                x=own.stroke_mm,
                y1=own.ratio_band.low,
                y2=own.ratio_band.high,
                fill_color=style.colour,
                fill_alpha=BAND_ALPHA,
            )
        plot.line(x=own.stroke_mm, y=own.ratio, line_color=style.colour, line_width=2, line_dash=style.dash)
        sag = own.sag_stroke_mm
        plot.scatter(
            x=[sag],
            y=[own.ratio_at(sag)],
            marker=style.marker,
            size=9,
            fill_color=style.colour,
            line_color=style.colour,
        )
    told = "; ".join(
        f"{styles[name].label} {number(own.full_travel_mm, 0)} mm of travel, {number(own.progression_percent, 0)} % "
        "progression"
        for name, own in held.items()
    )
    return Drawn(
        place="rear",
        plot=plot,
        alternative=f"Rear, leverage ratio: {told}.",
        numbers=numbers,
        title=f"leverage ratio; mark: sag{_band_words(held)}",
    )


def _band_words(held: Mapping[str, Leverage]) -> str:
    """Return what the band is, where there is one."""
    banded = [own for own in held.values() if own.ratio_band is not None]
    known = {own.known_to for own in banded if own.known_to}
    return "" if not banded else f", band: {known.pop()}" if len(known) == 1 else ", band: how well it is known"


def force_along(held: Mapping[str, Springs], styles: Mapping[str, SetupStyle], told: SpringsTold) -> Drawn:
    """Return the force at the wheel along travel: the whole of each setup, and the first one's parts.

    Parameters
    ----------
    held : mapping of setup to Springs
        At least one, all of drawn setups.
    styles : mapping of setup to SetupStyle
    told : SpringsTold
    """
    totals = {name: own.fast.total_n for name, own in held.items()}
    first = next(iter(held.values()))
    parts = {name: force for name, force in first.fast.parts.items() if _matters(force, first.fast.total_n)}
    least = min([0.0, *(float(force.min()) for force in parts.values())])
    most = max(float(force.max()) for force in totals.values())
    plot = bare_figure(HEIGHT, x_range=(0, 100), y_range=(least - 0.03 * most, 1.08 * most))
    farthest = _farthest(totals)
    if farthest is not None:
        plot.y_range.end += 1.5 * LINE_PX / DRAWN_PX * (plot.y_range.end - plot.y_range.start)
    plot.min_border_right = 16
    if len(parts) > 1 and LATE_PARTS & set(parts):
        plot.x_range.end = WITH_WORDS
    where = "along the legs" if told.end == "front" else "at the wheel"
    name_axes(plot, "% of travel", f"N {where}")
    ticks(plot.xaxis[0], (0, 20, 40, 60, 80, 100))
    few_ticks(plot.yaxis[0])
    if len(parts) > 1:
        _parts(plot, parts)
    for name, force in totals.items():
        style = styles[name]
        plot.line(
            x=np.linspace(0, 100, force.size), y=force, line_color=style.colour, line_width=2, line_dash=style.dash
        )
    if farthest is not None:
        whose = f"{shortened(styles[farthest[0]].label, LONGEST_LABEL)}: " if len(totals) > 2 else ""
        _difference(plot, totals, farthest, (whose, told.apart.get(farthest)))
    said = "; ".join(f"{styles[name].label} {_newtons(_at(force, 90))} N" for name, force in totals.items())
    pale = f"; pale: the parts of {styles[next(iter(held))].label}" if len(parts) > 1 else ""
    return Drawn(
        place=told.end,
        plot=plot,
        alternative=f"{TITLES[told.end]}, force at 90 % of travel: {said}.",
        numbers=told.numbers,
        title=f"force along travel, as it rides{pale if len(held) > 1 else ''}",
    )


def _matters(force: Any, total: Any) -> bool:
    return float(np.abs(force).max()) >= LEAST_PART * float(np.abs(total).max())


def _at(force: Any, percent: float) -> float:
    return float(np.interp(percent, np.linspace(0, 100, force.size), force))


def _parts(plot: Any, parts: Mapping[str, Any]) -> None:
    """Lay the parts upon each other, those that push above zero and those that pull below it, each with its name."""
    base = {1: 0.0, -1: 0.0}
    late: list[tuple[float, str]] = []
    line = LINE_PX / DRAWN_PX * (plot.y_range.end - plot.y_range.start)
    for place, (name, force) in enumerate(parts.items()):
        way = 1 if float(force.sum()) >= 0 else -1
        lower, upper = base[way], base[way] + force
        at = np.linspace(0, 100, force.size)
        plot.varea(
            x=at,
            y1=np.broadcast_to(lower, at.shape),
            y2=upper,
            fill_color=LIGHT["ink"],
            fill_alpha=0.05 + 0.05 * (place % 3),
        )
        base[way] = upper
        middle = np.broadcast_to(lower, at.shape) + force / 2
        words = PART_WORDS.get(name, name.replace("_", " "))
        if name in LATE_PARTS:
            late.append((float(middle[-1]), words))
            continue
        if way > 0:
            here = int(EARLY * (force.size - 1))
            _write(plot, float(at[here]), float(middle[here]), words, "center")
            continue
        here = int(np.argmax(np.abs(force[: force.size // 2])))  # what pulls does so where it begins
        if abs(float(force[here])) > line:
            _write(plot, float(at[here]) + 1.5, float(middle[here]), words, "left")
    for y, words in _apart(late, line):
        _write(plot, 101.5, y, words, "left")


def _apart(found: Sequence[tuple[float, str]], least: float) -> list[tuple[float, str]]:
    """Return words beside a figure from the lowest up, moved up until they don't touch."""
    placed: list[tuple[float, str]] = []
    for y, words in sorted(found):
        placed.append((max(y, placed[-1][0] + least) if placed else y, words))
    return placed


def _farthest(totals: Mapping[str, Any]) -> tuple[str, int] | None:
    """Return which setup differs most from the first, and at what percent, before the last tenth's steep end."""
    _, *others = totals
    apart = {(name, at): _apart_n(totals, name, at) for name in others for at in TOLD_PCT[:-1]}
    if not apart:
        return None
    found = max(apart, key=lambda place: abs(apart[place]))
    return found if abs(apart[found]) >= LEAST_DIFFERENCE_N else None


def _apart_n(totals: Mapping[str, Any], name: str, percent: float) -> float:
    return _at(totals[name], percent) - _at(totals[next(iter(totals))], percent)


def _difference(plot: Any, totals: Mapping[str, Any], at: tuple[str, int], told: tuple[str, Ranged | None]) -> None:
    """Write how far a setup lies from the first and where; whose it is before it, its range beneath.

    Beside room for words of parts it ends with that room: a narrow page has too little before it.
    """
    (name, percent), (whose, ranged), top = at, told, plot.y_range.end
    line = LINE_PX / DRAWN_PX * (top - plot.y_range.start)
    plot.line(
        x=[percent, percent],
        y=[min(_at(force, percent) for force in totals.values()), top - 2.2 * line],
        line_color=LIGHT["soft"],
        line_width=1,
        line_dash="dotted",
    )
    right = max(percent, plot.x_range.end - 1.5) if plot.x_range.end == WITH_WORDS else percent
    half = 0.0 if ranged is None else (ranged.high - ranged.low) / 2
    apart = rounded(_apart_n(totals, name, percent), half, 0, signed=True)
    _write(plot, right, top - 0.6 * line, f"{whose}{apart} N at {percent} %", "right", ink=True)
    if ranged is not None and ranged.low != ranged.high:
        low, high = (rounded(edge, half, 0, signed=True) for edge in (ranged.low, ranged.high))
        _write(plot, right, top - 1.6 * line, f"{low} to {high} N", "right")


def _write(plot: Any, x: float, y: float, words: str, align: Align, *, ink: bool = False) -> None:
    plot.add_layout(
        Label(
            x=x,
            y=y,
            text=plain(words),
            text_align=align,
            text_baseline="middle",
            text_color=LIGHT["ink" if ink else "soft"],
            text_font=FONT,
            text_font_size="12px",
            text_font_style="bold" if ink else "normal",
        )
    )


def force_against_speed(
    held: Mapping[str, tuple[Floats, Floats]], styles: Mapping[str, SetupStyle], end: End, numbers: Table
) -> Drawn:
    """Return the damper's force against the speed of its shaft.

    Parameters
    ----------
    held : mapping of setup to (float array, float array), shape (k,) each
        Speed in mm/s, compression positive, and force in N; at least one, all of drawn setups.
    styles : mapping of setup to SetupStyle
    end : {"front", "rear"}
    numbers : Table
    """
    curves = {name: (speed_mm_s / 1e3, force_n) for name, (speed_mm_s, force_n) in held.items()}
    reach = max(float(np.abs(speed).max()) for speed, _ in curves.values())
    plot = bare_figure(HEIGHT, x_range=(-1.03 * reach, 1.03 * reach))
    name_axes(plot, "← rebound      shaft speed, m/s      compression →", "damper, N")
    few_ticks(plot.yaxis[0])
    few_ticks(plot.xaxis[0])
    zero_line(plot, 0.0, "height")
    zero_line(plot, 0.0, "width")
    for name, (speed, force) in curves.items():
        style = styles[name]
        plot.line(x=speed, y=force, line_color=style.colour, line_width=2, line_dash=style.dash)
    told = "; ".join(
        f"{styles[name].label} {_newtons(float(np.interp(reach, *curve)))} N" for name, curve in curves.items()
    )
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]}, damper at {number(reach, 1)} m/s compression: {told}.",
        numbers=numbers,
        title="damper, as measured at the bench",
    )
