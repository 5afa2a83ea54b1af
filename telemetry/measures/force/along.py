"""What brakes, drive and slopes push a bike with along the ground, and how the chassis leans against it."""

from __future__ import annotations

import numpy as np
from scipy.signal import butter, sosfiltfilt

from telemetry.measures.view import RunMotion
from telemetry.model.arrays import Floats

from .bending import Smooth, in_pieces

LEANS_HZ = 0.1
"""Below, how deep both ends are tells the chassis' pitch against the ground, above its gyroscope. Own choice."""
TURNS_HZ = 1.0
TURNS_M_S2 = 0.3
"""How slowly, and over which acceleration, braking passes into driving. Own choice: noise of lean is a third of it."""
QUICK_HZ = 8.0
"""Above, brakes and drive do little beside pitching. Own choice."""
WHEELBASE_M = 1.25
HEAD_SINE = 0.9
"""Of a bike with two sprung ends: they scale what is slower than 0.1 Hz only. From memory."""


def slow_part(run: RunMotion, signal: Floats, corner_hz: float) -> Floats:
    """Return what is slower than `corner_hz`, stretch by stretch, without a lag."""
    filter_ = butter(2, corner_hz, fs=run.ride.rate_hz, output="sos")

    def slow(part: Floats) -> Floats:
        about = part - part.mean()
        return np.asarray(sosfiltfilt(filter_, about, padlen=min(15, part.shape[0] - 1)) + part.mean())

    return in_pieces(run, signal, slow)


def leaning(run: RunMotion, pitch_rad: Floats) -> Floats:
    """Return the chassis' pitch against the ground under it, nose down, rad, its mean as it rides.

    Parameters
    ----------
    run : RunMotion
    pitch_rad : float array, shape (n,)
        Against the horizon.

    Notes
    -----
    Slopes are slow and pitching isn't: above 0.1 Hz the horizon's, below what both ends' travel gives, where both are
    measured.
    """
    quick = pitch_rad - slow_part(run, pitch_rad, LEANS_HZ)
    ends = run.ride.ends
    if len(ends) < 2:
        return quick
    deeper = 1e-3 * (HEAD_SINE * ends["front"].travel_mm - ends["rear"].travel_mm) / WHEELBASE_M
    settled = run.time.riding if run.time.riding.any() else slice(None)
    return np.asarray(quick + slow_part(run, deeper - deeper[settled].mean(), LEANS_HZ))


def along_the_ground(run: RunMotion, forward: Floats, upward: Floats, lean_rad: Floats) -> tuple[Floats, Floats]:
    """Return the specific force along the ground, m/s2, while driven (or coasting downhill) and while braked.

    Parameters
    ----------
    run : RunMotion
    forward, upward : float arrays, shape (n,)
        Specific force in the bike's axes, m/s2.
    lean_rad : float array, shape (n,)

    Notes
    -----
    Brakes push at both tyres, drive at the rear one: what each g of them loads an end with differs.
    """
    along = forward + upward * lean_rad
    driven = 0.5 + 0.5 * np.tanh(slow_part(run, along, TURNS_HZ) / (2 * TURNS_M_S2))
    return np.asarray(along * driven), np.asarray(along * (1.0 - driven))


def levelled(run: RunMotion, forward: Floats, pitch_rate: Floats) -> Floats:
    """Return forward specific force without what pitching adds at a height, m/s2.

    Notes
    -----
    A sensor so high above the middle is pushed forward by so much times the pitch's acceleration; above 8 Hz that is
    most of what it feels, and tells the height.
    """
    turning = np.gradient(pitch_rate) * run.ride.rate_hz
    quick, turns = (signal - slow_part(run, signal, QUICK_HZ) for signal in (forward, turning))
    riding = run.time.riding
    squares = float(turns[riding] @ turns[riding])
    height = float(quick[riding] @ turns[riding]) / squares if squares > 0 else 0.0
    return np.asarray(forward - height * turning)


def middle_forward(run: RunMotion, smooth: Smooth) -> Floats:
    """Return forward specific force halfway between the chassis' sensors whose heading is known, smoothed, m/s2."""
    known = [one for one in run.ride.inertial.values() if one.on == "chassis" and one.mounting.heading_known]
    return in_pieces(run, np.mean([one.specific_force_m_s2[:, 0] for one in known], axis=0), smooth)
