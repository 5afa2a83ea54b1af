"""The chassis above one end as the equation of motion sees it: what else than this end's force accelerates it there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from scipy.ndimage import map_coordinates, spline_filter1d
from scipy.signal import lfilter

from telemetry.model.arrays import Floats, Ints
from telemetry.units import STANDARD_GRAVITY_M_S2


@dataclass(frozen=True, slots=True, kw_only=True)
class Follower:
    """A mass that follows the chassis on a spring and a damper: its own frequency and share of critical damping."""

    hz: float
    damping: float

    def followed(self, signal: Floats, rest: float, rate_hz: float) -> tuple[Floats, Floats]:
        """Return ``w^2 / D`` and ``w s / D`` of a signal, ``D = s^2 + 2 z w s + w^2``, from rest at `rest`.

        Notes
        -----
        By the bilinear transform, ``s = 2 rate (z - 1) / (z + 1)``. The first has a gain of 1 at rest, the second of 0.
        """
        k = np.pi * self.hz / rate_hz
        damped = 2 * self.damping * k
        whole = np.array([1 + damped + k * k, 2 * (k * k - 1), 1 - damped + k * k])
        about = signal - rest
        slow = lfilter(np.array([1.0, 2.0, 1.0]) * k * k, whole, about) + rest
        return slow, lfilter(np.array([k, 0.0, -k]), whole, about)


USUAL_BODY = Follower(hz=2.0, damping=0.6)
"""A rider standing on the pedals, about (from memory): where the search starts, and what tells when a rider floats."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chassis:
    """What one end's chassis sensor and its like tell, on every sample, through the low-pass of travel.

    Attributes
    ----------
    own : float array, shape (n,)
        Upward specific force above the end, m/s2.
    beside : mapping of name to float array, shape (n,)
        What shares its equation at the same moment: ``other``, upward specific force above the other end, or
        ``pitching``, the pitch's acceleration, rad/s2; ``forward``, forward specific force.
    followed : mapping of name to float array, shape (n,)
        What a rider's body follows: ``own``, ``other``, ``pitch``, rad.
    pitch_rate : float array, shape (n,), or None
        rad/s.
    every : int
        The samples are thinned to every so manieth.
    """

    rate_hz: float
    own: Floats
    beside: Mapping[str, Floats]
    followed: Mapping[str, Floats]
    pitch_rate: Floats | None
    every: int

    @property
    def thinned(self) -> slice:
        """The samples a fit may use."""
        return slice(None, None, self.every)


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """The chassis' side of the equation at the samples that count.

    Attributes
    ----------
    own : float array, shape (n,)
    beside : float array, shape (n, c)
    at_rest : float array, shape (c,)
        Which of them stand at 1 g at rest: 1, else 0.
    """

    own: Floats
    beside: Floats
    at_rest: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Shifted:
    """A chassis' signals ready to be read between samples.

    Attributes
    ----------
    splines : mapping of name to float array, shape (n,)
        Coefficients of cubic splines; "" is the own one.
    """

    chassis: Chassis
    splines: Mapping[str, Floats]

    def columns(self, samples: Ints, lag_s: float, follower: Follower | None) -> Columns:
        """Return the equation's other side at `samples`, read `lag_s` later.

        Parameters
        ----------
        samples : int array, shape (n,)
            Of those thinned to.
        lag_s : float
        follower : Follower or None
            The rider's body; its columns are too slow to need the lag.
        """
        chassis = self.chassis
        at = np.asarray(samples + lag_s * chassis.rate_hz, dtype=float)
        read = {
            name: map_coordinates(spline, at[None], order=3, prefilter=False, mode="nearest")
            for name, spline in self.splines.items()
        }
        own = read.pop("")
        found, at_rest = list(read.values()), [float(name == "other") for name in read]
        if follower is not None:
            thin, rows = chassis.rate_hz / chassis.every, samples // chassis.every
            if chassis.pitch_rate is not None:
                found.append(chassis.pitch_rate[samples])
                at_rest.append(0.0)
            for name, signal in chassis.followed.items():
                rest = 0.0 if name == "pitch" else STANDARD_GRAVITY_M_S2
                found.extend(part[rows] for part in follower.followed(signal[chassis.thinned], rest, thin))
                at_rest.extend((float(name != "pitch"), 0.0))
        beside = np.column_stack(found) if found else np.empty((samples.shape[0], 0))
        return Columns(own=own, beside=beside, at_rest=np.array(at_rest))


def shifted(chassis: Chassis) -> Shifted:
    """Return a chassis' signals ready to be read between samples."""
    signals = {"": chassis.own, **chassis.beside}
    splines = {name: spline_filter1d(signal, order=3, mode="nearest") for name, signal in signals.items()}
    return Shifted(chassis=chassis, splines=MappingProxyType(splines))
