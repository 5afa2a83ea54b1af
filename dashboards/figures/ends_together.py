"""Do the ends work together? Front against rear, quantile by quantile, and the speed from which they part."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from bokeh.models.annotations import Slope

from dashboards.theme import LIGHT, SetupStyle, bare_figure, name_axes, zero_line
from telemetry.model.curves import SpeedPairs
from telemetry.sheet import table
from telemetry.words import figure as number

from .drawn import Drawn

TABLE_SHARES = (0.1, 0.5, 0.9, 0.95)
HEIGHT = 320
SIDE = {"hits": 1.0, "returns": -1.0}
"""Hits are drawn to the right, returns to the left."""


def front_against_rear(
    pairs_of: Mapping[str, Sequence[SpeedPairs]], styles: Mapping[str, SetupStyle]
) -> tuple[Drawn, Drawn]:
    """Return front against rear by quantile, and front over rear against speed.

    Parameters
    ----------
    pairs_of : mapping of setup to sequence of SpeedPairs
        One pair of quantiles at least.
    styles : mapping of setup to SetupStyle
    """
    every = [pair for found in pairs_of.values() for pair in found]
    reach = 1.08 * max(float(max(pair.front_m_s.max(), pair.rear_m_s.max())) for pair in every)
    pairs = bare_figure(HEIGHT, x_range=(-reach, reach), y_range=(-reach, reach))
    name_axes(pairs, "← returns      rear, vertical m/s      hits →", "front, vertical m/s")
    pairs.add_layout(Slope(gradient=1, y_intercept=0, line_color=LIGHT["soft"], line_width=1))
    parting = bare_figure(HEIGHT, x_range=(-reach, reach), y_range=_ratio_bounds(every))
    name_axes(parting, "← returns      rear, vertical m/s      hits →", "front over rear")
    zero_line(parting, 1.0, "width")
    zero_line(parting, 0.0, "height")
    rows = []
    for name, found in pairs_of.items():
        style = styles[name]
        for pair in found:
            sign, front, rear = SIDE[pair.kind], pair.front_m_s, pair.rear_m_s
            line = {"line_color": style.colour, "line_width": 2, "line_dash": style.dash}
            pairs.line(x=sign * rear, y=sign * front, **line)
            parting.line(x=sign * rear, y=front / rear, **line)
            for share in TABLE_SHARES:
                place = int(np.argmin(np.abs(pair.share - share)))
                rows.append(
                    [
                        f"{style.label}, {pair.kind}",
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


def _ratio_bounds(every: Sequence[SpeedPairs]) -> tuple[float, float]:
    ratios = np.concatenate([pair.front_m_s / pair.rear_m_s for pair in every])
    reach = max(0.25, float(np.abs(ratios - 1).max()) * 1.15)
    return 1 - min(reach, 0.95), 1 + reach
