"""A steady tone in a reading: a cable that picks up the mains, a motor or a lamp's driver."""

from __future__ import annotations

import numpy as np
from scipy.signal import welch

from telemetry.model.arrays import Floats
from telemetry.model.finding import Finding
from telemetry.model.ride import EndSignal, Ride
from telemetry.words import figure

LOWEST_HZ = 30.0
WINDOW_S, LEAST_S, MOST_S = 4.0, 12.0, 120.0
NEAR_HZ, AROUND_HZ = (0.75, 1.5), 8.0
ABOVE = 30.0
LEAST_MM = 0.1
MOST_SHARE = 0.45
"""Own choices: no suspension moves as narrow a tone; a tenth of a millimetre is what a good sensor resolves."""


def strongest_tone(signal_mm: Floats, rate_hz: float) -> tuple[float, float, float]:
    """Return the tone that stands out most from 30 Hz to 0.45 x the rate: frequency, amplitude, how far it stands out.

    Parameters
    ----------
    signal_mm : float array, shape (n,)
        12 s or more on an even clock.
    rate_hz : float

    Returns
    -------
    frequency_hz, amplitude_mm, ratio : float
        Amplitude of the sine that holds the power within 0.75 Hz. Ratio: of the power density there to the median from
        1.5 to 8 Hz off, 0 where there is no such band.

    Notes
    -----
    Power spectral density by averaged periodograms (Welch) of 4 s, Hann.
    """
    hertz, density = welch(signal_mm, fs=rate_hz, window="hann", nperseg=round(WINDOW_S * rate_hz))
    step = float(hertz[1])
    inside = np.flatnonzero((hertz >= LOWEST_HZ) & (hertz <= MOST_SHARE * rate_hz - AROUND_HZ))
    best, ratio = -1, 0.0
    for place in inside[np.argsort(-density[inside])[:20]].tolist():
        off = np.abs(hertz - hertz[place])
        ring = density[(off > NEAR_HZ[1]) & (off <= AROUND_HZ)]
        found = float(density[place] / max(float(np.median(ring)), 1e-30))
        if found > ratio:
            best, ratio = place, found
    if best < 0:
        return 0.0, 0.0, 0.0
    near = np.abs(hertz - hertz[best]) <= NEAR_HZ[0]
    return float(hertz[best]), float(np.sqrt(2 * density[near].sum() * step)), ratio


def line_noise(ride: Ride, signal: EndSignal) -> tuple[Finding, ...]:
    """Find a steady tone of 0.1 mm or more that stands out 30 times around it, in two minutes of the ride.

    Parameters
    ----------
    ride : Ride
    signal : EndSignal
        One of its ends.
    """
    start, stop = max(ride.ridden_segments, key=lambda segment: segment[1] - segment[0], default=(0, 0))
    spare = max(0, stop - start - round(MOST_S * ride.rate_hz)) // 2
    start, stop = start + spare, stop - spare
    if stop - start < LEAST_S * ride.rate_hz or MOST_SHARE * ride.rate_hz - AROUND_HZ <= LOWEST_HZ:
        return ()
    hertz, amplitude_mm, ratio = strongest_tone(signal.cleaned_mm[start:stop], ride.rate_hz)
    if ratio < ABOVE or amplitude_mm < LEAST_MM:
        return ()
    message = (
        f"{ride.name}, {signal.end}: a steady tone of {figure(amplitude_mm, 2)} mm at {figure(hertz, 1)} Hz (limit "
        f"{LEAST_MM} mm; {ratio:.0f} times what is around it, limit {ABOVE:.0f}): no suspension moves so; keep the "
        "sensor's cable off motor, charger and mains, and look at its shield and ground"
    )
    return (Finding(code="line_noise", message=message, end=signal.end),)
