"""Three pushes before and after a run, which mark where it starts and ends; their shape is this project's choice."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.ranges import Range

from .ranges import check_ranges
from .recordings import Levels
from .signals import Signals

HITS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreePushes:
    """Three hits by the rider's weight at both ends, before and after a run.

    Attributes
    ----------
    depth_share : float
        Of full travel (at the rear: of full stroke) from the standing level down, 0.12 to 0.7.
    hit_s : float
        From the standing level down and back, s, 0.2 to 0.8.
    every_s : float
        From hit to hit, s, no less than `hit_s`; three hits end within 3 s.
    standing_s, still_s : float
        Before the first hit and after the last, s, 1 to 10 and 0.5 to 10.
    join_s : float
        From the standing level to the run's first sample and from its last sample back, s, 0.1 to 5.
    rear_later_s : float
        How much later the rear is pushed, s, 0 to 0.15: the hits of both ends overlap.

    Raises
    ------
    ValueError
        If a value lies outside its range, or hits touch or take longer than 3 s.
    """

    depth_share: Annotated[float, Range(0.12, 0.7)] = 0.3
    hit_s: Annotated[float, Range(0.2, 0.8)] = 0.5
    every_s: Annotated[float, Range(0.2, 1.3)] = 0.8
    standing_s: Annotated[float, Range(1, 10)] = 1.2
    still_s: Annotated[float, Range(0.5, 10)] = 0.7
    join_s: Annotated[float, Range(0.1, 5)] = 0.6
    rear_later_s: Annotated[float, Range(0, 0.15)] = 0.04

    def __post_init__(self) -> None:
        check_ranges(self)
        if self.every_s < self.hit_s or self.hitting_s > 3.0:
            raise ValueError(
                f"ThreePushes: found hits of {self.hit_s:g} s every {self.every_s:g} s, {self.hitting_s:g} s in all; "
                "expected hits that end before the next begins, three within 3 s"
            )

    @property
    def hitting_s(self) -> float:
        """From the first hit's start to the last one's end at both ends, s."""
        return (HITS - 1) * self.every_s + self.hit_s + self.rear_later_s

    @property
    def lasts_s(self) -> float:
        """Standing, hits and still together, s."""
        return self.standing_s + self.hitting_s + self.still_s

    def samples(self, rate_hz: float) -> int:
        """Return how many samples the pushes and the join add at each end of a run."""
        return round((self.lasts_s + self.join_s) * rate_hz)


def push_share(pushes: ThreePushes, rate_hz: float, later_s: float = 0.0) -> Floats:
    """Return three hits as a share of their depth: standing, hits, still.

    Parameters
    ----------
    pushes : ThreePushes
    rate_hz : float
    later_s : float
        How much later than standing ends this end is pushed.

    Returns
    -------
    float array, shape (round(lasts_s * rate_hz),)
        0 standing, 1 at the deepest; each hit is a raised cosine, ``(1 - cos(2 pi t / hit_s)) / 2``.
    """
    time_s = np.arange(round(pushes.lasts_s * rate_hz)) / rate_hz - pushes.standing_s - later_s
    share = np.zeros(time_s.shape[0])
    for hit in range(HITS):
        within = time_s - hit * pushes.every_s
        share += np.where(
            (within > 0) & (within < pushes.hit_s), (1 - np.cos(2 * np.pi * within / pushes.hit_s)) / 2, 0
        )
    return share


def with_pushes(
    run_mm: Floats, standing_mm: float, full_mm: float, pushes: ThreePushes, rate_hz: float, *, later_s: float = 0.0
) -> Floats:
    """Return a run's travel or stroke with three pushes before and after it.

    Parameters
    ----------
    run_mm : float array, shape (n,)
    standing_mm : float
        Where the end rests with the rider aboard: pushes start from here and come back to it.
    full_mm : float
        Full travel or stroke; the depth is a share of it.
    pushes : ThreePushes
    rate_hz : float
    later_s : float
        How much later than the first end this one is pushed.

    Returns
    -------
    float array, shape (n + 2 * pushes.samples(rate_hz),)
        Standing, hits, still, half a cosine to the run's first sample, the run as it was, half a cosine back,
        standing, hits, still.

    Raises
    ------
    ValueError
        If a push would go beyond full travel.
    """
    depth_mm = pushes.depth_share * full_mm
    if not 0 <= standing_mm <= full_mm - depth_mm:
        raise ValueError(
            f"three pushes: found {standing_mm:g} mm standing and {depth_mm:g} mm deeper; expected 0 to {full_mm:g} mm"
        )
    hits = standing_mm + depth_mm * push_share(pushes, rate_hz, later_s)
    steps = pushes.samples(rate_hz) - hits.shape[0]
    rise = (1 - np.cos(np.pi * np.arange(steps) / steps)) / 2
    into = standing_mm + (run_mm[0] - standing_mm) * rise
    out = standing_mm + (run_mm[-1] - standing_mm) * rise[::-1]
    return np.concatenate([hits, into, run_mm, out, hits])


@dataclass(frozen=True, slots=True, kw_only=True)
class PushedRun:
    """Signals with pushes around a run, where the run now lies on their time axis, s, and samples that join them."""

    signals: Signals
    run_starts_s: float
    run_ends_s: float
    joining: int


def pushed(signals: Signals, standing: Levels, full: Levels, pushes: ThreePushes) -> PushedRun:
    """Return a run with three pushes before and after it.

    Parameters
    ----------
    signals : Signals
        Of the run.
    standing, full : Levels
        Where both ends rest with the rider aboard, and full travel and stroke.
    pushes : ThreePushes

    Returns
    -------
    PushedRun
        Times begin where the run's began; the bike stands, so ground speed is 0 outside the run. How the frame moves
        isn't in them.

    Raises
    ------
    ValueError
        If a push would go beyond full travel.
    """
    rate_hz = signals.rate_hz
    before = pushes.samples(rate_hz)
    count = signals.time_s.shape[0]
    start_s = float(signals.time_s[0])

    def around(signal: Floats) -> Floats:
        return np.pad(signal, before)

    made = replace(
        signals,
        time_s=start_s + np.arange(count + 2 * before) / rate_hz,
        fork_travel_mm=with_pushes(
            signals.fork_travel_mm, standing.fork_travel_mm, full.fork_travel_mm, pushes, rate_hz
        ),
        shock_stroke_mm=with_pushes(
            signals.shock_stroke_mm,
            standing.shock_stroke_mm,
            full.shock_stroke_mm,
            pushes,
            rate_hz,
            later_s=pushes.rear_later_s,
        ),
        ground_speed_m_s=None if signals.ground_speed_m_s is None else around(signals.ground_speed_m_s),
        body=None,
    )
    return PushedRun(
        signals=made,
        run_starts_s=start_s + before / rate_hz,
        run_ends_s=start_s + (before + count - 1) / rate_hz,
        joining=before - push_share(pushes, rate_hz).shape[0],
    )
