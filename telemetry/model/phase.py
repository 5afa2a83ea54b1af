"""Phases of a ride: where it was braked, pedalled, flown; stretches of samples, and how well they are known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias, get_args

from .motion import Stretch

PhaseName: TypeAlias = Literal["airborne", "landing", "braking", "accelerating", "turning", "pedalling", "coasting"]
PHASES: tuple[PhaseName, ...] = get_args(PhaseName)
Confidence: TypeAlias = Literal["high", "low"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Phase:
    """One phase of a ride.

    Attributes
    ----------
    stretches : tuple of (start, stop)
        Samples of riding time, in order, apart from each other; empty where the sensors tell it and it wasn't ridden.
    confidence : {"high", "low"}
    told_by : str
        What it was found from, and for low confidence what it lacks.
    """

    name: PhaseName
    stretches: tuple[Stretch, ...]
    confidence: Confidence
    told_by: str

    def seconds(self, rate_hz: float) -> float:
        """Return how long it was ridden in all, s."""
        return sum(stop - start for start, stop in self.stretches) / rate_hz


@dataclass(frozen=True, slots=True, kw_only=True)
class Landing:
    """What the chassis feels from touch-down on.

    Attributes
    ----------
    start, stop : int
        Samples from touch-down until it has settled.
    peak_m_s2 : float
        Highest upward acceleration, gravity taken out, mean over 10 ms.
    impulse_m_s : float
        Upward acceleration summed over the landing: the downward speed that it took out.
    """

    start: int
    stop: int
    peak_m_s2: float
    impulse_m_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Phases:
    """The phases of one ride; each is found, or absent with the reason.

    Attributes
    ----------
    found : mapping of name to Phase
    absent : mapping of name to str
        Why the sensors can't tell a phase.
    landings : tuple of Landing
        Of the phase `landing`, in order.
    """

    found: Mapping[PhaseName, Phase]
    absent: Mapping[PhaseName, str]
    landings: tuple[Landing, ...] = ()
