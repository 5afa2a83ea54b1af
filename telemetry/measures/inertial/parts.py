"""What the measures of one end share: its signals cut to what was ridden, filtered, and their spectra."""

from __future__ import annotations

from telemetry.measures.missing import Missing
from telemetry.model.arrays import Floats
from telemetry.model.inertial import On
from telemetry.model.motion import Stretch
from telemetry.words import counted

from .band import PADDING, band_passed, high_passed, low_passed
from .spectra import FEWEST_WINDOWS, WINDOW_S, Spectra, mean_spectra
from .view import InertialView, once

TOO_SHORT = "no stretch of riding long enough to be filtered"


def _long_enough(view: InertialView) -> tuple[Stretch, ...]:
    return tuple((start, stop) for start, stop in view.ridden if stop - start > PADDING)


@once
def upward(view: InertialView, on: On) -> tuple[Floats, ...] | Missing:
    """Return a place's upward acceleration by ridden stretches, m/s2; the reason where it has no sensor."""
    signal = view.of(on)
    if signal is None:
        return view.lacks(on)
    found = tuple(signal.attitude.upward_m_s2[start:stop] for start, stop in _long_enough(view))
    return found or Missing(TOO_SHORT)


@once
def shaken(view: InertialView, on: On) -> tuple[Floats, ...] | Missing:
    """Return the same within the band of shaking."""
    parts = upward(view, on)
    return parts if isinstance(parts, Missing) else tuple(band_passed(part, view.rate_hz) for part in parts)


def slower(view: InertialView, on: On, edge_hz: float) -> tuple[Floats, ...] | Missing:
    """Return what of the same is slower than an edge, Hz."""
    parts = upward(view, on)
    return parts if isinstance(parts, Missing) else tuple(low_passed(part, view.rate_hz, edge_hz) for part in parts)


def faster(view: InertialView, on: On, edge_hz: float) -> tuple[Floats, ...] | Missing:
    """Return what of a place's shaking is faster than an edge, Hz."""
    parts = shaken(view, on)
    return parts if isinstance(parts, Missing) else tuple(high_passed(part, view.rate_hz, edge_hz) for part in parts)


@once
def wheel_to_chassis(view: InertialView) -> Spectra | Missing:
    """Return the spectra of wheel and chassis; the reason where either has no sensor or too little was ridden."""
    if view.wheel is None:
        return view.lacks("wheel")
    if view.chassis is None:
        return view.lacks("chassis")
    first, second = view.wheel.attitude.upward_m_s2, view.chassis.attitude.upward_m_s2
    return _enough(mean_spectra(first, second, view.ridden, view.rate_hz))


@once
def of_wheel(view: InertialView) -> Spectra | Missing:
    """Return the wheel's spectrum: with the chassis's beside it where that has a sensor."""
    if view.wheel is None:
        return view.lacks("wheel")
    if view.chassis is not None:
        return wheel_to_chassis(view)
    alone = view.wheel.attitude.upward_m_s2
    return _enough(mean_spectra(alone, alone, view.ridden, view.rate_hz))


def _enough(spectra: Spectra) -> Spectra | Missing:
    if spectra.windows >= FEWEST_WINDOWS:
        return spectra
    return Missing(
        f"{counted(spectra.windows, 'window')} of {WINDOW_S:g} s of riding without a break, half overlapping, "
        f"at least {FEWEST_WINDOWS} needed"
    )
