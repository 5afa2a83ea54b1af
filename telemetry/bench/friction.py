"""Friction: the band that settle recordings tell, with its interval, and before a service against after."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy import special

from telemetry.model.bench_friction import Friction, FrictionBand, FrictionChange, Interval
from telemetry.model.finding import End

LEVEL = 0.90


@dataclass(frozen=True, slots=True, kw_only=True)
class Settles:
    """Where an end came to rest, mm, let go from either side; one value a recording."""

    compressed_mm: tuple[float, ...]
    extended_mm: tuple[float, ...]

    @property
    def groups(self) -> tuple[tuple[float, Sequence[float]], ...]:
        """Both sides, with the sign each counts with in the band."""
        return (1.0, self.compressed_mm), (-1.0, self.extended_mm)


OfLoads = Mapping[tuple[End, str | None], Settles]


def welch(groups: Sequence[tuple[float, Sequence[float]]]) -> Interval:
    """Return a sum of group means, each with its sign, and its interval.

    Parameters
    ----------
    groups : sequence of (sign, values)

    Notes
    -----
    Variance Σ s²/n, degrees of freedom by Welch and Satterthwaite [Welch1938]. A group of one value has no scatter of
    its own: then there is no interval.
    """
    value = float(sum(sign * np.mean(values) for sign, values in groups))
    if any(len(values) < 2 for _, values in groups):
        return Interval(value=value, low=None, high=None)
    shares = [float(np.var(values, ddof=1)) / len(values) for _, values in groups]
    variance = sum(shares)
    if variance == 0:
        return Interval(value=value, low=value, high=value)
    freedom = variance**2 / sum(share**2 / (len(values) - 1) for share, (_, values) in zip(shares, groups, strict=True))
    half = float(special.stdtrit(freedom, (1 + LEVEL) / 2)) * math.sqrt(variance)
    return Interval(value=value, low=value - half, high=value + half)


def friction_part(settles: OfLoads, end: End, full_mm: float | None) -> Friction | None:
    """Return an end's bands by load; None where no settle recordings tell one that is 0 or more."""
    bands = tuple(
        FrictionBand(
            load=load,
            band_mm=welch(own.groups),
            compressed_mm=own.compressed_mm,
            extended_mm=own.extended_mm,
            full_mm=full_mm,
        )
        for (at, load), own in settles.items()
        if at == end and full_mm is not None and np.mean(own.compressed_mm) >= np.mean(own.extended_mm)
    )
    return Friction(bands=bands) if bands else None


def friction_changes(first: OfLoads, other: OfLoads, setup: str) -> tuple[FrictionChange, ...]:
    """Return how a setup's bands differ from the first setup's, where both have one of the same end and load."""
    return tuple(
        FrictionChange(
            setup=setup,
            end=end,
            load=load,
            difference_mm=welch(
                (*other[end, load].groups, *((-sign, values) for sign, values in first[end, load].groups))
            ),
        )
        for end, load in other
        if (end, load) in first
    )
