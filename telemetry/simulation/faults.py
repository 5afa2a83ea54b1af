"""What goes wrong in a logger: rows that never reach the card, readings that jump away."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.ranges import Range

from .ranges import check_ranges


@dataclass(frozen=True, slots=True, kw_only=True)
class Faults:
    """What goes wrong in a logger.

    Attributes
    ----------
    dropout_rate_per_min : float
        Lost stretches of rows a minute, at random moments, 0 to 600; the clock runs on.
    dropout_s : float
        Length of each, s, 0 to 10.
    gaps : tuple of (start_s, length_s)
        Stretches of rows lost where stated, on the signals' time axis.
    spikes_per_min : float
        Single samples a minute that jump away, in each displacement column by itself, 0 to 6000.
    spike_counts : float
        How far, in counts, 0 to 2**24: up or down by chance, but never out of the converter's range where the
        other way stays within it.

    Raises
    ------
    ValueError
        If a value lies outside its range.
    """

    dropout_rate_per_min: Annotated[float, Range(0, 600)] = 0.0
    dropout_s: Annotated[float, Range(0, 10)] = 0.0
    gaps: tuple[tuple[float, float], ...] = ()
    spikes_per_min: Annotated[float, Range(0, 6000)] = 0.0
    spike_counts: Annotated[float, Range(0, 2.0**24)] = 0.0

    def __post_init__(self) -> None:
        check_ranges(self)
        if not all(np.isfinite(start) and np.isfinite(length) and length >= 0 for start, length in self.gaps):
            raise ValueError(
                f"Faults.gaps: found {self.gaps}; expected pairs of start and length, s, no length below 0"
            )


NO_FAULTS = Faults()


def moments(rate_per_min: float, from_s: float, until_s: float, rng: np.random.Generator) -> Floats:
    """Return moments of a Poisson process, s, ascending.

    Parameters
    ----------
    rate_per_min : float
        Mean number a minute, >= 0.
    from_s, until_s : float
    rng : numpy Generator

    Returns
    -------
    float array, shape (k,)
        k is Poisson with mean ``rate_per_min * (until_s - from_s) / 60``; given k they are spread evenly.
    """
    number = int(rng.poisson(rate_per_min * (until_s - from_s) / 60))
    return np.sort(rng.uniform(from_s, until_s, number))


def rows_kept(faults: Faults, time_s: Floats, rng: np.random.Generator) -> Bools:
    """Tell which rows reach the card.

    Parameters
    ----------
    faults : Faults
    time_s : float array, shape (n,)
        True times of the rows, ascending.
    rng : numpy Generator

    Returns
    -------
    bool array, shape (n,)
        False from the start of a gap or dropout up to, but without, its end.
    """
    kept = np.ones(time_s.shape[0], dtype=bool)
    if time_s.shape[0] == 0:
        return kept
    lost = list(faults.gaps)
    if faults.dropout_s > 0:
        starts = moments(faults.dropout_rate_per_min, float(time_s[0]), float(time_s[-1]), rng)
        lost += [(start, faults.dropout_s) for start in starts.tolist()]
    for start, length in lost:
        first, last = np.searchsorted(time_s, (start, start + length))
        kept[first:last] = False
    return kept


def spiked(readings: Floats, top_count: float, faults: Faults, time_s: Floats, rng: np.random.Generator) -> Floats:
    """Return a column's readings with its spikes.

    Parameters
    ----------
    readings : float array, shape (n,)
        Counts.
    top_count : float
        The converter's highest reading.
    faults : Faults
    time_s : float array, shape (n,)
        True times of the rows, ascending.
    rng : numpy Generator

    Returns
    -------
    float array, shape (n,)
        The first row at or after each of the spikes' moments jumps.
    """
    if faults.spikes_per_min == 0 or readings.shape[0] == 0:
        return readings.copy()
    places = np.unique(
        np.searchsorted(time_s, moments(faults.spikes_per_min, float(time_s[0]), float(time_s[-1]), rng))
    )
    before = readings[places]
    jump = rng.choice([-1.0, 1.0], places.shape[0]) * faults.spike_counts
    outside = (before + jump < 0) | (before + jump > top_count)
    found = readings.copy()
    found[places] = np.clip(np.rint(before + np.where(outside, -jump, jump)), 0.0, top_count)
    return found
