"""Do the ends work together? Front against rear, quantile by quantile, and the speed from which they part."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from bokeh.models.annotations import Slope

from dashboards.theme import LIGHT, SetupStyle, bare_figure, name_axes, zero_line
from telemetry.model.curves import RunPicture
from telemetry.sheet import table
from telemetry.words import figure as number

from .bands import Array
from .drawn import Drawn
from .runs_by_setup import grouped

SHARES = np.concatenate([np.arange(0.05, 0.951, 0.05), [0.97, 0.98]])
TABLE_SHARES = (0.1, 0.5, 0.9, 0.95)
FEWEST_STROKES = 20
HEIGHT = 320


def quantile_pairs(runs: Sequence[RunPicture], which: str, head_angle_deg: float) -> tuple[Array, Array] | None:
    """Return front and rear quantiles of peak speeds, both vertical, m/s; None with too few strokes.

    Parameters
    ----------
    runs : sequence of RunPicture
        Of one setup; their strokes are pooled.
    which : {"hit_peaks_mm_s", "return_peaks_mm_s"}
    head_angle_deg : float
        The front moves along the fork: times the sine of the head angle it is vertical.
    """
    both = [run for run in runs if {"front", "rear"} <= set(run.ends)]
    if not both:
        return None
    front = np.concatenate([getattr(run.ends["front"], which) for run in both]) / 1000
    rear = np.concatenate([getattr(run.ends["rear"], which) for run in both]) / 1000
    if min(front.size, rear.size) < FEWEST_STROKES:
        return None
    vertical = front * math.sin(math.radians(head_angle_deg))
    return np.quantile(vertical, SHARES), np.quantile(rear, SHARES)


def _arms(
    pictures: Sequence[RunPicture], styles: Mapping[str, SetupStyle], head_angles: Mapping[str, float]
) -> dict[str, list[tuple[float, Array, Array]]]:
    arms: dict[str, list[tuple[float, Array, Array]]] = {}
    for name, runs in grouped(pictures, styles).items():
        for which, sign in (("hit_peaks_mm_s", 1.0), ("return_peaks_mm_s", -1.0)):
            pair = quantile_pairs(runs, which, head_angles[name])
            if pair is not None:
                arms.setdefault(name, []).append((sign, *pair))
    return arms


def front_against_rear(
    pictures: Sequence[RunPicture], styles: Mapping[str, SetupStyle], head_angles: Mapping[str, float]
) -> tuple[Drawn, Drawn] | None:
    """Return front against rear by quantile, and front over rear against speed; None where they can't be had.

    Parameters
    ----------
    pictures : sequence of RunPicture
    styles : mapping of setup to SetupStyle
    head_angles : mapping of setup to degrees
    """
    arms = _arms(pictures, styles, head_angles)
    if not arms:
        return None
    reach = 1.08 * max(float(max(front.max(), rear.max())) for parts in arms.values() for _, front, rear in parts)
    pairs = bare_figure(HEIGHT, x_range=(-reach, reach), y_range=(-reach, reach))
    name_axes(pairs, "← returns      rear, vertical m/s      hits →", "front, vertical m/s")
    pairs.add_layout(Slope(gradient=1, y_intercept=0, line_color=LIGHT["soft"], line_width=1))
    parting = bare_figure(HEIGHT, x_range=(-reach, reach), y_range=_ratio_bounds(arms))
    name_axes(parting, "← returns      rear, vertical m/s      hits →", "front over rear")
    zero_line(parting, 1.0, "width")
    zero_line(parting, 0.0, "height")
    rows = []
    for name, parts in arms.items():
        style = styles[name]
        for sign, front, rear in parts:
            line = {"line_color": style.colour, "line_width": 2, "line_dash": style.dash}
            pairs.line(x=sign * rear, y=sign * front, **line)
            parting.line(x=sign * rear, y=front / rear, **line)
            for share in TABLE_SHARES:
                place = int(np.argmin(np.abs(SHARES - share)))
                rows.append(
                    [
                        f"{style.label}, {'hits' if sign > 0 else 'returns'}",
                        f"slowest {100 * share:.0f} % stay under",
                        f"{number(float(front[place]), 2)} m/s",
                        f"{number(float(rear[place]), 2)} m/s",
                        number(float(front[place] / rear[place]), 2),
                    ]
                )
    numbers = table(["", "", "front", "rear", "front over rear"], rows)
    return (
        Drawn(
            place="both",
            plot=pairs,
            alternative="Front's peak speeds against rear's, slowest to fastest: on the line both ends move alike.",
            numbers=numbers,
        ),
        Drawn(
            place="both",
            plot=parting,
            alternative="Front over rear at each speed: where a line leaves 1, the ends part.",
            numbers=numbers,
        ),
    )


def _ratio_bounds(arms: Mapping[str, Sequence[tuple[float, Array, Array]]]) -> tuple[float, float]:
    ratios = np.concatenate([front / rear for parts in arms.values() for _, front, rear in parts])
    reach = max(0.25, float(np.abs(ratios - 1).max()) * 1.15)
    return 1 - min(reach, 0.95), 1 + reach
