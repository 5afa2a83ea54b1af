"""A cheap logger's clock: when it samples in truth, and what it stamps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.ranges import Range

from .ranges import check_ranges

TICK_S = {"s": 1e-6, "ms": 1e-3, "us": 1e-6}
TICKS_A_UNIT = {"s": 1_000_000, "ms": 1, "us": 1}
DECIMALS = {"s": 6, "ms": 0, "us": 0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """A logger's clock.

    Attributes
    ----------
    rate_hz : float
        Rows a second of the logger's own time, 20 to 10 000.
    jitter_share : float
        Standard deviation of the delay of a sample, as a share of a step, 0 to 0.25. A sample is late, never early:
        evenly spread between 0 and sqrt(12) times this, so that samples keep their order.
    drift_ppm : float
        How much faster than true time the clock runs, parts per million, -20 000 to 20 000.
    unit : {"s", "ms", "us"}
        Stamps count whole milliseconds or microseconds, cut off, not rounded; "s" is written with six decimals.
    column : str
    wraps_at_bits : {None, 16, 24, 32}
        Width of the counter, with unit "ms" or "us"; None: it never rolls over.
    start_s : float
        What the clock says when the logger is switched on, s, 0 to 1e6; before roll-over.
    switched_on_s : float
        True time at which it is switched on, on the signals' time axis, s.

    Raises
    ------
    ValueError
        If a value lies outside its range, or a clock in seconds is to roll over.
    """

    rate_hz: Annotated[float, Range(20, 10_000)]
    jitter_share: Annotated[float, Range(0, 0.25)] = 0.0
    drift_ppm: Annotated[float, Range(-20_000, 20_000.0)] = 0.0
    unit: Literal["s", "ms", "us"] = "ms"
    column: str = "t_ms"
    wraps_at_bits: Literal[16, 24, 32] | None = None
    start_s: Annotated[float, Range(0, 1e6)] = 0.0
    switched_on_s: Annotated[float, Range(0, 1e6)] = 0.0

    def __post_init__(self) -> None:
        check_ranges(self)
        if self.unit not in TICK_S:
            raise ValueError(f"Clock.unit: found {self.unit!r}; expected 's', 'ms' or 'us'")
        if self.wraps_at_bits not in (None, 16, 24, 32):
            raise ValueError(f"Clock.wraps_at_bits: found {self.wraps_at_bits!r}; expected none, 16, 24 or 32")
        if self.wraps_at_bits is not None and self.unit == "s":
            raise ValueError("Clock.wraps_at_bits: found a clock in seconds; expected 'ms' or 'us'")

    @property
    def pace(self) -> float:
        """Own seconds in a true second."""
        return 1.0 + self.drift_ppm * 1e-6


def own_times_s(clock: Clock, until_s: float, rng: np.random.Generator) -> Floats:
    """Return the clock's own time of every sample, s after it was switched on.

    Parameters
    ----------
    clock : Clock
    until_s : float
        True time of the last sample at most, s.
    rng : numpy Generator

    Returns
    -------
    float array, shape (rows,)
        Strictly increasing: ``(k + u_k) / rate_hz``, u uniform on [0, sqrt(12) jitter_share).
    """
    lasts = (until_s - clock.switched_on_s) * clock.pace
    rows = max(0, int(np.floor(lasts * clock.rate_hz + 1e-9)) + 1)
    late = rng.random(rows) * (np.sqrt(12.0) * clock.jitter_share)
    own: Floats = (np.arange(rows) + late) / clock.rate_hz
    return own[own <= lasts + 1e-9]


def true_times_s(clock: Clock, own_s: Floats) -> Floats:
    """Return the true time of samples, s on the signals' axis, from the clock's own."""
    return clock.switched_on_s + own_s / clock.pace


def stamps(clock: Clock, own_s: Floats) -> Floats:
    """Return what the logger stamps on its samples, in the clock's unit, rolled over where the counter does.

    Parameters
    ----------
    clock : Clock
    own_s : float array, shape (n,)
        Own time, s after it was switched on.

    Returns
    -------
    float array, shape (n,)
        Whole ticks since the clock's zero, cut off, modulo ``2**wraps_at_bits``.
    """
    ticks = np.floor((clock.start_s + own_s) / TICK_S[clock.unit] + 1e-6)  # 0.002 s is two milliseconds, not 1.999...
    if clock.wraps_at_bits is not None:
        ticks = np.mod(ticks, 2.0**clock.wraps_at_bits)
    return ticks / TICKS_A_UNIT[clock.unit]
