"""How the body moves under known forces of both ends: twice integrated above a corner, the rest kept as slow loads."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.fft import irfft, next_fast_len, rfft, rfftfreq

from telemetry.dynamics.car import Bike
from telemetry.model.arrays import Floats

CORNER_HZ = 0.25
"""Forces that change more slowly aren't integrated: what brakes, slopes and turns load an end with would carry the
body away. Own choice."""
CORNER_ORDER = 8
FASTEST_HZ = 120.0
"""A frame's motion is integrated up to here; own choice, twice what travel's low-pass leaves."""
PAD_S = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Movement:
    """The body's motion about its mean, a sample a row of the log.

    Attributes
    ----------
    place, speed, acceleration : float array, shape (3, n)
        Of heave, m, pitch, rad, and the rider's body, m, and their rates.
    slow_n : float array, shape (2, n)
        What of the front's and the rear's vertical force moves nothing: the loads that they carry.
    """

    place: Floats
    speed: Floats
    acceleration: Floats
    slow_n: Floats


def movement(bike: Bike, vertical_n: Floats, rate_hz: float) -> Movement:
    """Return how frame and rider move.

    Parameters
    ----------
    bike : Bike
        Its rider's body on one spring and damper; legs have none of their own.
    vertical_n : float array, shape (2, n)
        What the front and the rear end push the frame up with.
    rate_hz : float

    Notes
    -----
    ``M z'' = Ff + Fr - R``, ``I t'' = a Ff - b Fr - x R``, ``m r'' = R`` with ``R = k (z + x t - r) + c (...)'``,
    solved frequency by frequency, forwards and backwards alike, above 0.25 Hz: the accelerations' second integrals
    then don't run away. What is left out of the forces is given to the bike as a load when it rides again, so that the
    ride is that of the whole forces.
    """
    count = vertical_n.shape[1]
    length = int(next_fast_len(count + int(PAD_S * rate_hz), real=True))
    mean = vertical_n.mean(axis=1, keepdims=True)
    spectrum = np.asarray(rfft(vertical_n - mean, length, axis=1))
    hertz = np.asarray(rfftfreq(length, 1 / rate_hz))
    passed = np.zeros_like(hertz)
    passed[1:] = 1 / (1 + (CORNER_HZ / hertz[1:]) ** CORNER_ORDER)
    driven = spectrum * passed
    moving = (hertz > 0) & (hertz <= FASTEST_HZ)
    swing = np.where(moving, 2j * np.pi * hertz, 0.0)
    place = np.zeros((3, hertz.shape[0]), dtype=complex)
    place[:, moving] = _answered(bike, driven[:, moving], swing[moving])

    def back(values: Floats) -> Floats:
        return np.asarray(irfft(values, length, axis=1), dtype=float)[:, :count]

    return Movement(
        place=back(place),
        speed=back(place * swing),
        acceleration=back(place * swing**2),
        slow_n=vertical_n - back(driven),
    )


def _answered(bike: Bike, driven: Floats, swing: Floats) -> Floats:
    """Return heave, pitch and rider at each frequency, shape (3, f)."""
    frame, rider = bike.frame, bike.rider
    held = rider.arms_n_m + swing * rider.arms_n_s_m
    at = rider.hands_ahead_m
    whole = np.empty((swing.shape[0], 3, 3), dtype=complex)
    whole[:, 0, 0] = frame.mass_kg * swing**2 + held
    whole[:, 0, 1] = whole[:, 1, 0] = at * held
    whole[:, 0, 2] = whole[:, 2, 0] = -held
    whole[:, 1, 1] = frame.pitch_inertia_kg_m2 * swing**2 + at * at * held
    whole[:, 1, 1] += rider.turning_n_m + swing * rider.turning_n_m_s
    whole[:, 1, 2] = whole[:, 2, 1] = -at * held
    whole[:, 2, 2] = rider.mass_kg * swing**2 + held
    pushed = np.zeros((swing.shape[0], 3, 1), dtype=complex)
    pushed[:, 0, 0] = driven[0] + driven[1]
    pushed[:, 1, 0] = frame.front_ahead_m * driven[0] - frame.rear_behind_m * driven[1]
    return np.asarray(np.linalg.solve(whole, pushed)[..., 0].T)
