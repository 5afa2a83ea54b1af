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

    def pushing(self, signal: Floats, rest: float, rate_hz: float) -> Floats:
        """Return ``(w^2 + 2 z w s) / D`` of a signal, ``D = s^2 + 2 z w s + w^2``, from rest at `rest`.

        Notes
        -----
        What spring and damper push with, over the body's mass; by the bilinear transform,
        ``s = 2 rate (z - 1) / (z + 1)``. Its gain at rest is 1.
        """
        k = np.pi * self.hz / rate_hz
        damped = 2 * self.damping * k
        whole = np.array([1 + damped + k * k, 2 * (k * k - 1), 1 - damped + k * k])
        pushes = np.array([k * k + damped, 2 * k * k, k * k - damped])
        return np.asarray(lfilter(pushes, whole, signal - rest) + rest)


SWIFT = ("other", "pitching")
"""What shares the equation and is as quick as the force: read as late as it. What acts along the ground is slower."""
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
        ``pitching``, the pitch's acceleration, rad/s2; ``driven`` and ``braked``, specific force along the ground;
        ``whirling``, the pitch rate's square, which pulls a sensor away from the middle; ``forward``, forward specific
        force where there is no gyroscope.
    followed : mapping of name to float array, shape (n,)
        What a rider's body follows: ``own``, ``other``.
    lean_rad, pitch_rate : float array, shape (n,), or None
        The chassis' pitch against the ground, and its rate, rad/s.
    every : int
        The samples are thinned to every so manieth.
    """

    rate_hz: float
    own: Floats
    beside: Mapping[str, Floats]
    followed: Mapping[str, Floats]
    lean_rad: Floats | None
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
            The rider's body; its columns are too slow to need the lag. A body's spring and damper push at once:
            ``(w^2 + 2 z w s) / D``, and legs and arms alike where the chassis leans.
        """
        chassis = self.chassis
        at = np.asarray(samples + lag_s * chassis.rate_hz, dtype=float)
        read = {
            name: map_coordinates(spline, at[None], order=3, prefilter=False, mode="nearest")
            for name, spline in self.splines.items()
        }
        own = read.pop("")
        slow = [signal[samples] for name, signal in chassis.beside.items() if name not in SWIFT]
        found = [*read.values(), *slow]
        at_rest = [float(name == "other") for name in read] + [0.0] * len(slow)
        if follower is not None:
            thin, rows = chassis.rate_hz / chassis.every, samples // chassis.every
            if chassis.lean_rad is not None and chassis.pitch_rate is not None:
                loss_s = follower.damping / (np.pi * follower.hz)
                found.append(chassis.lean_rad[samples] + loss_s * chassis.pitch_rate[samples])
                at_rest.append(0.0)
            for signal in chassis.followed.values():
                found.append(follower.pushing(signal[chassis.thinned], STANDARD_GRAVITY_M_S2, thin)[rows])
                at_rest.append(1.0)
        beside = np.column_stack(found) if found else np.empty((samples.shape[0], 0))
        return Columns(own=own, beside=beside, at_rest=np.array(at_rest))


def shifted(chassis: Chassis) -> Shifted:
    """Return a chassis' signals ready to be read between samples."""
    signals = {"": chassis.own, **{name: signal for name, signal in chassis.beside.items() if name in SWIFT}}
    splines = {name: spline_filter1d(signal, order=3, mode="nearest") for name, signal in signals.items()}
    return Shifted(chassis=chassis, splines=MappingProxyType(splines))
