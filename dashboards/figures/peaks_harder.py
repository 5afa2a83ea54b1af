"""How hard does it hit? Peaks of acceleration a minute harder than each, at one place."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from dashboards.theme import SetupStyle, bare_figure, name_axes, ticks
from telemetry.model.finding import End
from telemetry.model.inertial import On
from telemetry.sheet import table
from telemetry.telling.names import TITLES
from telemetry.words import figure as number

from .bands import Array, band_of, draw_band
from .drawn import Drawn

FLOOR_PER_MIN = 0.5
HEIGHT = 210
TABLE_SHARES = (0.2, 0.4, 0.6, 0.8)


def peaks_harder(
    rates_of: Mapping[str, Sequence[Array]], peak_m_s2: Array, styles: Mapping[str, SetupStyle], end: End, on: On
) -> Drawn:
    """Return peaks a minute that are harder than each acceleration, at one place of one end.

    Parameters
    ----------
    rates_of : mapping of setup to sequence of float arrays, shape (a,)
        A run each.
    peak_m_s2 : float array, shape (a,)
        From 0, increasing; both ends share it.
    styles : mapping of setup to SetupStyle
    end : {"front", "rear"}
    on : {"wheel", "chassis"}
    """
    limit = float(peak_m_s2[-1])
    plot = bare_figure(HEIGHT, x_range=(0, limit), y_range=(FLOOR_PER_MIN, 600), y_axis_type="log")
    name_axes(plot, f"peak of the {on}'s acceleration, m/s²", "a minute, harder than")
    ticks(plot.yaxis[0], (1, 10, 100), {1: "1", 10: "10", 100: "100"})
    shown = [round(share * limit, -1) if limit >= 50 else round(share * limit) for share in TABLE_SHARES]
    rows = [[f"harder than {number(at, 0)} m/s²"] for at in shown]
    for name, rates in rates_of.items():
        draw_band(plot, band_of(peak_m_s2, list(rates), floor=FLOOR_PER_MIN), styles[name])
        mean = np.mean(rates, axis=0)
        for row, at in zip(rows, shown, strict=True):
            row.append(f"{number(float(np.interp(at, peak_m_s2, mean)), 1)} a minute")
    told = "; ".join(f"{styles[name].label} {rows[1][place + 1]}" for place, name in enumerate(rates_of))
    return Drawn(
        place=end,
        plot=plot,
        alternative=f"{TITLES[end]}, {on}: peaks {rows[1][0]}: {told}.",
        numbers=table(["", *(styles[name].label for name in rates_of)], rows),
        title=on,
    )
