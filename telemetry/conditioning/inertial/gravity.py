"""Whether a sensor reads 1 g at rest, and which unit or scale it is in where it doesn't."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.motion import Stretch
from telemetry.model.ranges import COUNTS_PER_G
from telemetry.model.sensor import InertialSensor
from telemetry.units import STANDARD_GRAVITY_M_S2

from .blocks import blocks_of
from .rest import Rest
from .scaling import READINGS_A_G, readings_a_g

AT_REST_SHARE = 0.03
"""Of 1 g: bias and scale of a sound sensor at rest."""

MOVING_SHARE = 0.12
"""Of 1 g, where it is never at rest: the middle of what slow means come to on a trail."""

SLOW_S = 2.0
NAMED_SHARE = 0.1
"""A unit or a usual count of a converter is named where it is so near."""

USUAL_COUNTS = (256.0, 512.0, 1024.0, 2048.0, 4096.0, 8192.0, 16384.0)
"""Counts a g of converters of 10 to 16 bits at 2 to 16 g, from memory of data sheets."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GravityFelt:
    """The length of what a sensor reads where only gravity acts, by its stated unit.

    Attributes
    ----------
    level_g : float
    at_rest : bool
        Whether the sensor was at rest; else the middle of slow means over the ride.
    source : str
        In words.
    """

    level_g: float
    at_rest: bool
    source: str

    @property
    def right(self) -> bool:
        """Whether it is 1 g."""
        return abs(self.level_g - 1.0) <= (AT_REST_SHARE if self.at_rest else MOVING_SHARE)


def gravity_felt(force: Floats, rate_hz: float, segments: tuple[Stretch, ...], rests: tuple[Rest, ...]) -> GravityFelt:
    """Return the length of what a sensor reads under gravity alone.

    Parameters
    ----------
    force : float array, shape (3, n)
        m/s2, by the stated unit.
    rate_hz : float
    segments : tuple of (start, stop)
        Gap-free.
    rests : tuple of Rest
        That which lies furthest off counts: a sensor's range may have been set anew in between.
    """
    if rests:
        worst = max(rests, key=lambda rest: abs(rest.level_m_s2 - STANDARD_GRAVITY_M_S2))
        return GravityFelt(
            level_g=worst.level_m_s2 / STANDARD_GRAVITY_M_S2, at_rest=True, source=f"at rest ({worst.source})"
        )
    longest = max(stop - start for start, stop in segments)
    means = blocks_of(segments, min(longest, max(1, round(SLOW_S * rate_hz)))).means(force)
    level = float(np.median(np.sqrt((means**2).sum(axis=0))))
    return GravityFelt(
        level_g=level / STANDARD_GRAVITY_M_S2, at_rest=False, source="on average: it is never at rest in this log"
    )


def likely_unit(sensor: InertialSensor, level_g: float) -> str:
    """Return what a sensor probably reads in that reads `level_g` where 1 g is; "" where nothing usual is near.

    Examples
    --------
    >>> columns = {"ax": 1, "ay": 2, "az": 3}
    >>> likely_unit(InertialSensor(name="frame", end="rear", columns=columns, acceleration_unit="g"), 998.0)
    "acceleration_unit = 'milli-g'"
    """
    read = level_g * readings_a_g(sensor)
    named = {f"acceleration_unit = {unit!r}": counts for unit, counts in READINGS_A_G.items()}
    named |= {f"acceleration_unit = 'counts' and counts_per_g = {counts:.0f}": counts for counts in USUAL_COUNTS}
    words, counts = min(named.items(), key=lambda item: abs(item[1] - read) / item[1])
    return words if abs(read / counts - 1.0) <= NAMED_SHARE else ""


def own_scale(sensor: InertialSensor, level_g: float) -> str:
    """Return the scale by which a sensor would read 1 g where it reads `level_g`; "" where no sensor has such a one."""
    read = level_g * readings_a_g(sensor)
    shown = f"{read:.0f}" if read >= 100 else f"{read:.4g}"
    return f"acceleration_unit = 'counts' and counts_per_g = {shown}" if COUNTS_PER_G.holds(read) else ""
