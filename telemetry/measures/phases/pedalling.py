"""Pedalling: the bike surges with the cranks, twice a turn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from telemetry.measures.missing import Missing
from telemetry.model.arrays import Bools, Floats, Ints
from telemetry.model.inertial import InertialSignal
from telemetry.model.motion import Stretch
from telemetry.model.phase import Confidence
from telemetry.model.stretches import mask_of

from .slow import SlowClock

CRANK_HZ = (0.7, 2.0)
SURGE_HZ = (0.5, 5.0)
WINDOW_S, HOP_S = 1.5, 0.25
LEAST_LIKENESS = 0.75
NEARLY_BEST = 0.9
STEADY_SHARE = 0.08
LEAST_SURGE_M_S2 = 0.15
SHAKEN_TIMES = 4.0
LOSES_M_S2 = 0.3
BACKED_LIKENESS = 0.5
"""Own choices: legs push twice a turn; bumps shake the chassis up and down far more than along, and follow speed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pedalled:
    """Where a bike is pedalled, on a slow clock.

    Attributes
    ----------
    stretches : tuple of (start, stop)
    windows : int array, shape (k,)
        First block of each window of 1.5 s that shows it.
    turn_s : float array, shape (k,)
        How long a turn of the cranks takes in each.
    """

    stretches: tuple[Stretch, ...]
    windows: Ints
    turn_s: Floats
    confidence: Confidence
    told_by: str


def likeness(windows: Floats, lags: Ints) -> Floats:
    """Return the normalised autocorrelation of windows, shape (k, w), at lags in samples, shape (k, lags)."""
    found = np.empty((windows.shape[0], lags.shape[0]))
    for place, lag in enumerate(lags.tolist()):
        early, late = windows[:, :-lag], windows[:, lag:]
        power = np.einsum("ij,ij->i", early, early) * np.einsum("ij,ij->i", late, late)
        found[:, place] = np.einsum("ij,ij->i", early, late) / np.sqrt(np.maximum(power, 1e-30))
    return found


def turn_lengths_s(windows: Floats, rate_hz: float) -> tuple[Floats, Floats]:
    """Return how long a turn of the cranks takes in windows of surge, and how alike its turns are.

    Parameters
    ----------
    windows : float array, shape (k, w)
        Forward acceleration about its mean.
    rate_hz : float

    Returns
    -------
    turn_s, alike : float arrays, shape (k,)
        NaN and 0 where nothing repeats.

    Notes
    -----
    The shortest lag at a peak of the autocorrelation that reaches 0.9 of its highest peak is one push of a leg: half a
    turn.
    """
    lags = np.arange(round(rate_hz / CRANK_HZ[1] / 2), round(rate_hz / CRANK_HZ[0] / 2) + 2)
    r = likeness(windows, lags)
    inner = r[:, 1:-1]
    peak = (inner > r[:, :-2]) & (inner >= r[:, 2:])
    height = np.where(peak, inner, 0.0)
    most = height.max(axis=1)
    first = np.argmax(peak & (height >= NEARLY_BEST * most[:, None]) & (most[:, None] > 0), axis=1)
    return np.where(most > 0, 2 * lags[1:-1][first] / rate_hz, np.nan), most


def _starts(clock: SlowClock, counts: Bools, width: int, hop: int) -> Ints:
    parts = [np.arange(start, stop - width + 1, hop) for start, stop in clock.stretches(counts)]
    return np.concatenate([*parts, np.empty(0, dtype=np.int64)]).astype(np.int64)


def _band(clock: SlowClock, values: Floats) -> Floats:
    return clock.lowpassed(values, SURGE_HZ[1]) - clock.lowpassed(values, SURGE_HZ[0])


def _agrees(starts: Ints, turn_s: Floats, good: Bools, hop: int) -> Bools:
    """Tell which windows are good, and so is the next, with turns as long; the last has no next."""
    nearest = np.minimum(turn_s[1:], turn_s[:-1])
    alike = (np.abs(np.diff(turn_s)) <= STEADY_SHARE * nearest) & (np.diff(starts) == hop)
    agrees: Bools = np.concatenate([alike & good[1:] & good[:-1], [False]])
    return agrees


def pedalled(
    clock: SlowClock, signals: tuple[InertialSignal, ...], rear_mm: Floats | None, counts: Bools
) -> Pedalled | Missing:
    """Return where a bike is pedalled.

    Parameters
    ----------
    clock : SlowClock
    signals : tuple of InertialSignal
        On the chassis.
    rear_mm : float array, shape (blocks,), or None
        Rear travel where it is measured.
    counts : bool array, shape (blocks,)
        What may be pedalled: ridden, not flown.

    Notes
    -----
    Windows of 1.5 s, every quarter second, of forward specific force in 0.5-5 Hz, of two sensors their mean:
    autocorrelation of 0.75 or more, rms of 0.15 m/s2 or more, up-and-down shaking in the same band no more than 4
    times that, no loss of speed beyond 0.3 m/s2. Two such windows in a row are pedalled where their turns agree within
    8 %.
    """
    headed = [one for one in signals if one.mounting.heading_known]
    if not headed:
        return Missing("no inertial sensor on the chassis whose forward direction is known")
    width, hop = round(WINDOW_S * clock.rate_hz), round(HOP_S * clock.rate_hz)
    starts = _starts(clock, counts, width, hop)
    told_by = f"surge of the {' and '.join(one.end for one in headed)} chassis with the cranks"
    if not starts.size:
        return Pedalled(stretches=(), windows=starts, turn_s=np.empty(0), confidence="low", told_by=told_by)

    def windows(values: Floats) -> Floats:
        found = sliding_window_view(values, width)[starts]
        return np.asarray(found - found.mean(axis=1, keepdims=True))

    def felt(axis: int) -> Floats:
        return clock.means(np.mean([one.specific_force_m_s2[:, axis] for one in headed], axis=0))

    surge, shaken = windows(_band(clock, felt(0))), windows(_band(clock, felt(2)))
    rms = np.sqrt(np.mean(surge**2, axis=1))
    turn_s, alike = turn_lengths_s(surge, clock.rate_hz)
    gained = clock.means(np.mean([one.attitude.forward_m_s2 for one in headed], axis=0))
    forward = sliding_window_view(clock.lowpassed(gained, SURGE_HZ[0]), width)
    good = (
        (alike >= LEAST_LIKENESS)
        & (rms >= LEAST_SURGE_M_S2)
        & (np.sqrt(np.mean(shaken**2, axis=1)) <= SHAKEN_TIMES * rms)
        & (forward[starts].mean(axis=1) >= -LOSES_M_S2)
    )
    agrees = _agrees(starts, turn_s, good, hop)
    steady = agrees | np.concatenate([[False], agrees[:-1]])
    kept, lasts = starts[steady], turn_s[steady]
    both = tuple((start, start + hop + width) for start in starts[agrees].tolist())
    found = clock.stretches(mask_of(both, clock.count))
    backed = rear_mm is not None and kept.size > 0 and _backed(windows(_band(clock, rear_mm))[steady], lasts, clock)
    return Pedalled(
        stretches=found,
        windows=kept,
        turn_s=lasts,
        confidence="high" if backed else "low",
        told_by=told_by + (", and of rear travel" if backed else ""),
    )


def _backed(rear: Floats, turn_s: Floats, clock: SlowClock) -> bool:
    """Tell whether rear travel repeats itself with the cranks in most windows."""
    lags = np.round(turn_s * clock.rate_hz).astype(np.int64)
    like = [float(likeness(window[None], np.array([lag]))[0, 0]) for window, lag in zip(rear, lags, strict=True)]
    return float(np.median(like)) >= BACKED_LIKENESS
