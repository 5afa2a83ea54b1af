"""Where the bike stands still, by acceleration: for rides without a displacement sensor."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from telemetry.model.arrays import Bools, Ints
from telemetry.model.ride import Ride
from telemetry.model.stretches import mask_of

MEAN_OVER_S = 0.05
"""A mean over so long is a low-pass: -3 dB at 0.443 / 0.05 s = 8.9 Hz, so that an engine's idling counts little."""
STILL_M_S2 = 0.3
STILL_RAD_S = 0.1
"""Own choices: riders astride lean and breathe within these; a rover that rolls over asphalt leaves them within 2 s."""


def _starts(ride: Ride) -> Ints:
    """Return the samples at which pieces of 0.05 s begin; none reaches across a gap."""
    length = max(1, round(MEAN_OVER_S * ride.rate_hz))
    return np.concatenate([np.arange(start, stop, length) for start, stop in ride.segments]).astype(np.int64)


def _movements(ride: Ride, starts: Ints) -> Iterator[Bools]:
    """Yield for each inertial sensor in which pieces it moves neither up and down nor round."""
    lengths = np.diff(starts, append=ride.time_s.shape[0])
    for signal in ride.inertial.values():
        upward = np.add.reduceat(signal.attitude.upward_m_s2, starts) / lengths
        yield np.abs(upward) <= STILL_M_S2
        if signal.frozen:
            yield ~mask_of(signal.frozen, ride.time_s.shape[0])[starts]
        if signal.rotation_rad_s is not None:
            turning = np.add.reduceat(signal.rotation_rad_s, starts, axis=0) / lengths[:, None]
            yield np.einsum("ij,ij->i", turning, turning) <= STILL_RAD_S**2


def still_by_acceleration(ride: Ride) -> Bools:
    """Tell where no inertial sensor moves.

    Parameters
    ----------
    ride : Ride
        With at least one inertial sensor.

    Returns
    -------
    bool array, shape (n,)
        Where upward acceleration, mean over 0.05 s, stays within 0.3 m/s2 and rotation, mean over 0.05 s, within
        0.1 rad/s (5.7 deg/s), at every sensor; a frozen one tells no standing.
    """
    starts = _starts(ride)
    calm = np.logical_and.reduce(list(_movements(ride, starts)))
    return np.repeat(calm, np.diff(starts, append=ride.time_s.shape[0]))
