"""What do the parts do? Leverage over the stroke, force along travel by part, force against speed at the damper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
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
from telemetry.model.bench_damper import DamperForces
from telemetry.model.bench_leverage import Leverage
from telemetry.model.bench_springs import Springs
from telemetry.model.finding import End
from telemetry.sheet import ABSENT, table
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
    "air_gap": "air above the oil",
    "bumper": "bumper",
}


def leverage_curves(held: Mapping[str, Leverage], styles: Mapping[str, SetupStyle]) -> Drawn:
    """Return the leverage ratio over the shock's stroke, with the band its points leave open and a mark at sag.

    Parameters
    ----------
    held : mapping of setup to Leverage
        At least one, all of drawn setups.
    styles : mapping of setup to SetupStyle
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
    rows = [
        ["wheel travel", *(f"{number(own.full_travel_mm, 1)} mm" for own in held.values())],
        ["ratio topped out", *(number(float(own.ratio[0]), 2) for own in held.values())],
        ["ratio at sag", *(number(own.ratio_at(own.sag_stroke_mm), 2) for own in held.values())],
        ["ratio at full stroke", *(number(float(own.ratio[-1]), 2) for own in held.values())],
        ["progression", *(f"{number(own.progression_percent, 1)} %" for own in held.values())],
        ["known", *(own.known_to or ABSENT for own in held.values())],
    ]
    told = "; ".join(
        f"{styles[name].label} {number(own.full_travel_mm, 0)} mm of travel, {number(own.progression_percent, 0)} % "
        "progression"
        for name, own in held.items()
    )
    return Drawn(
        place="rear",
        plot=plot,
        alternative=f"Rear, leverage ratio: {told}.",
        numbers=table(["", *(styles[name].label for name in held)], rows),
        title="leverage ratio; the mark is sag",
    )


def force_along(held: Mapping[str, Springs], styles: Mapping[str, SetupStyle], end: End) -> Drawn:
    """Return the force at the wheel along travel: the whole of each setup, and the first one's parts.

    Parameters
    ----------
    held : mapping of setup to Springs
        At least one, all of drawn setups.
    styles : mapping of setup to SetupStyle
    end : {"front", "rear"}
    """
    totals = {name: own.fast.total_n for name, own in held.items()}
    first = next(iter(held.values()))
    parts = {name: force for name, force in first.fast.parts.items() if _matters(force, first.fast.total_n)}
    least = min([0.0, *(float(force.min()) for force in parts.values())])
    most = max(float(force.max()) for force in totals.values())
    plot = bare_figure(HEIGHT, x_range=(0, 100), y_range=(least - 0.03 * most, 1.08 * most))
    plot.min_border_right = 16
    if len(parts) > 1 and LATE_PARTS & set(parts):
        plot.x_range.end = WITH_WORDS
    where = "along the legs" if end == "front" else "at the wheel"
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
    _difference(plot, totals, styles, most)
    rows = [[f"{at} % of travel", *(f"{number(_at(force, at), 0)} N" for force in totals.values())] for at in TOLD_PCT]
    told = "; ".join(f"{styles[name].label} {number(_at(force, 90), 0)} N" for name, force in totals.items())
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]}, force at 90 % of travel: {told}.",
        numbers=table(["", *(styles[name].label for name in held)], rows),
        title=f"force along travel, as it rides{'; pale: the parts of the first' if len(parts) > 1 else ''}",
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


def _difference(plot: Any, totals: Mapping[str, Any], styles: Mapping[str, SetupStyle], most: float) -> None:
    """Write how far the setup that differs most lies from the first, and where, before the last tenth's steep end.

    Whose it is stands before it where there are several.
    """
    first, *others = totals
    apart = {(name, at): _at(totals[name], at) - _at(totals[first], at) for name in others for at in TOLD_PCT[:-1]}
    if not apart:
        return
    name, at = max(apart, key=lambda place: abs(apart[place]))
    if abs(apart[name, at]) < LEAST_DIFFERENCE_N:
        return
    whose = f"{shortened(styles[name].label, LONGEST_LABEL)}: " if len(others) > 1 else ""
    top = max(_at(force, at) for force in totals.values())
    plot.line(
        x=[at, at],
        y=[min(_at(force, at) for force in totals.values()), 0.97 * most],
        line_color=LIGHT["soft"],
        line_width=1,
        line_dash="dotted",
    )
    if top < 0.93 * most:
        words = f"{whose}{number(apart[name, at], 0, signed=True)} N at {at} %"
        _write(plot, at, 1.01 * most, words, "right", ink=True)


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


def force_against_speed(held: Mapping[str, DamperForces], styles: Mapping[str, SetupStyle], end: End) -> Drawn | None:
    """Return the damper's force against the speed of its shaft; None where no setup's forces were measured.

    Parameters
    ----------
    held : mapping of setup to DamperForces
        All of drawn setups.
    styles : mapping of setup to SetupStyle
    end : {"front", "rear"}
    """
    curves = {
        name: (own.speed_mm_s / 1e3, own.force_n)
        for name, own in held.items()
        if own.speed_mm_s is not None and own.force_n is not None
    }
    if not curves:
        return None
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
    rows = [
        [
            f"{share * reach:+.2g} m/s".replace("-", "−"),
            *(f"{number(float(np.interp(share * reach, *curve)), 0)} N" for curve in curves.values()),
        ]
        for share in (-1.0, -0.5, 0.5, 1.0)
    ]
    told = "; ".join(f"{styles[name].label} {row}" for name, row in zip(curves, rows[-1][1:], strict=True))
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]}, damper at {number(reach, 1)} m/s compression: {told}.",
        numbers=table(["shaft speed", *(styles[name].label for name in curves)], rows),
        title="damper, as measured at the bench",
    )
