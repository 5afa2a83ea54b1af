"""Measures of control: shaking of wheel and chassis, what is passed on, how long a wheel hardly presses."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from telemetry.measures.fixed_rate import PER_MINUTE, reached_ten_a_minute
from telemetry.measures.missing import Missing, Outcome
from telemetry.model.inertial import On
from telemetry.model.stretches import stretches

from .band import upper_edge_hz
from .body_mode import Mode, body_mode
from .hop import hop_frequency
from .parts import carried, faster, of_wheel, shaken, upward, wheel_to_chassis
from .shaking import foremost_peaks, minutes_of, peaks, root_mean_square
from .shock import HITS, LOWEST_HZ, SAMPLES_A_SWING, frequencies, hit_windows, responses
from .third_octaves import centre_hz, name_of
from .transfer import LEAST_COHERENCE, transmissibility
from .unloading import unloaded_pct
from .view import InertialView, once

FEWEST_PEAKS = 5
"""A percentile of a section's peaks needs, as it needs of strokes."""
FAST_HZ = 16.0
"""From here on a spring that is slow against it passes on next to nothing, the damper nearly all. Own choice, by
simulated trails: of 8 to 25 Hz it scatters least from run to run."""
FAST_HELD_HZ = 32.0
"""A log has to hold fast shaking up to here: an octave of it. Own choice."""


def acceleration_rms(view: InertialView, on: On) -> Outcome:
    """Return the root mean square of a place's upward acceleration in the band of shaking, m/s2."""
    parts = shaken(view, on)
    return parts if isinstance(parts, Missing) else root_mean_square(parts)


def acceleration_10_per_min(view: InertialView, on: On) -> Outcome:
    """Return the acceleration that ten peaks a minute reach, m/s2."""
    parts = shaken(view, on)
    if isinstance(parts, Missing):
        return parts
    minutes = minutes_of(parts, view.rate_hz)
    cut = _cut_off(view, on)
    if cut > PER_MINUTE * minutes:
        return Missing(f"the sensor is at the end of its range {cut / minutes:.0f} times a minute: peaks are cut off")
    return reached_ten_a_minute(foremost_peaks(parts, view.rate_hz, minutes), minutes, "peaks")


def _cut_off(view: InertialView, on: On) -> int:
    """Return how many times a place's sensor was at the end of its range while riding."""
    signal = view.of(on)
    return 0 if signal is None else len(stretches(signal.saturated & view.riding))


def acceleration_p95(view: InertialView, on: On) -> Outcome:
    """Return the 95th percentile of the peaks: what stands for ten a minute within a section."""
    parts = shaken(view, on)
    if isinstance(parts, Missing):
        return parts
    found = peaks(parts, view.rate_hz)
    if found.size < FEWEST_PEAKS:
        return Missing(f"{found.size} peaks, at least {FEWEST_PEAKS} needed")
    return float(np.quantile(found, 0.95))


def passed_on(view: InertialView) -> Mapping[str, float] | Missing:
    """Return how much of the wheel's shaking reaches the chassis, by the name of a third of an octave."""
    spectra = wheel_to_chassis(view)
    if isinstance(spectra, Missing):
        return spectra
    told = {band: value for band, value in transmissibility(spectra, view.rate_hz).items() if value is not None}
    return told or Missing(f"chassis follows wheel in no third of an octave (coherence over {LEAST_COHERENCE:g})")


def fast_shaking_passed_on(view: InertialView) -> Outcome:
    """Return the chassis's fast shaking over its wheel's, each as root mean square."""
    edge_hz = upper_edge_hz(view.rate_hz)
    if edge_hz < FAST_HELD_HZ:
        held = f"{view.rate_hz:.0f} rows a second hold shaking up to {edge_hz:.0f} Hz"
        return Missing(f"{held}, {FAST_HELD_HZ:g} Hz needed")
    wheel, chassis = faster(view, "wheel", FAST_HZ), faster(view, "chassis", FAST_HZ)
    if isinstance(wheel, Missing):
        return wheel
    if isinstance(chassis, Missing):
        return chassis
    of_wheel_m_s2 = root_mean_square(wheel)
    return root_mean_square(chassis) / of_wheel_m_s2 if of_wheel_m_s2 > 0 else Missing("the wheel isn't shaken")


def unloaded_share(view: InertialView) -> Outcome:
    """Return the share of riding time in which the wheel carries under 0.3 of its static load, %."""
    parts = carried(view)
    return parts if isinstance(parts, Missing) else unloaded_pct(parts)


@once
def _mode(view: InertialView) -> Mode | Missing:
    spectra = wheel_to_chassis(view)
    return spectra if isinstance(spectra, Missing) else body_mode(spectra)


def chassis_frequency(view: InertialView) -> Outcome:
    """Return the chassis's natural frequency on its spring, undamped, Hz."""
    mode = _mode(view)
    return mode if isinstance(mode, Missing) else mode.frequency_hz


def chassis_damping(view: InertialView) -> Outcome:
    """Return the chassis's damping, as a share of critical."""
    mode = _mode(view)
    return mode if isinstance(mode, Missing) else mode.damping


def wheel_hop(view: InertialView) -> Outcome:
    """Return the frequency at which the wheel hops, Hz."""
    spectra = of_wheel(view)
    if isinstance(spectra, Missing):
        return spectra
    return hop_frequency(spectra.frequency_hz, spectra.first, upper_edge_hz(view.rate_hz))


def shock_response(view: InertialView) -> Mapping[str, float] | Missing:
    """Return the median response of the ten hardest hits of the chassis, m/s2, by natural frequency in Hz."""
    band, whole = shaken(view, "chassis"), upward(view, "chassis")
    if isinstance(band, Missing):
        return band
    if isinstance(whole, Missing):
        return whole
    numbers, windows = frequencies(view.rate_hz), hit_windows(band, whole, view.rate_hz)
    if not numbers:
        return Missing(f"{view.rate_hz:.0f} rows a second, at least {SAMPLES_A_SWING * LOWEST_HZ:.0f} needed")
    if windows.shape[0] < HITS:
        return Missing(f"{windows.shape[0]} hits that stand out, {HITS} needed")
    found = responses(np.array([centre_hz(number) for number in numbers]), windows, view.rate_hz)
    return dict(zip(map(name_of, numbers), np.median(found, axis=0).tolist(), strict=True))
