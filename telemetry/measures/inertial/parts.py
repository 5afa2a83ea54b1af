"""What the measures of one end share: its signals cut to what was ridden, filtered, and their spectra."""

from __future__ import annotations

from bisect import bisect_right

from telemetry.measures.missing import Missing
from telemetry.model.arrays import Floats
from telemetry.model.inertial import On
from telemetry.model.motion import Stretch
from telemetry.words import counted

from .band import PADDING, band_passed, high_passed, low_passed, upper_edge_hz
from .spectra import FEWEST_WINDOWS, WINDOW_S, Spectra, mean_spectra
from .unloading import RIDER_HZ, load_share, load_shares
from .view import InertialView, once

TOO_SHORT = "no stretch of riding long enough to be filtered"


def _long_enough(view: InertialView) -> tuple[Stretch, ...]:
    return tuple((start, stop) for start, stop in view.ridden if stop - start > PADDING)


def _cut(view: InertialView, whole: InertialView, found: tuple[Floats, ...] | Missing) -> tuple[Floats, ...] | Missing:
    """Return a view's stretches of what was worked out over its whole ride."""
    if isinstance(found, Missing):
        return found
    firsts = [start for start, _ in _long_enough(whole)]
    parts = []
    for start, stop in _long_enough(view):
        place = bisect_right(firsts, start) - 1
        parts.append(found[place][start - firsts[place] : stop - firsts[place]])
    return tuple(parts) or Missing(TOO_SHORT)


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
    """Return the same within the band of shaking; filtered once a ride, as travel is."""
    if view.whole is not None:
        return _cut(view, view.whole, shaken(view.whole, on))
    parts = upward(view, on)
    return parts if isinstance(parts, Missing) else tuple(band_passed(part, view.rate_hz) for part in parts)


@once
def carried(view: InertialView) -> tuple[Floats, ...] | Missing:
    """Return what the wheel carries over its static load by ridden stretches; filtered once a ride, as travel is."""
    if view.whole is not None:
        return _cut(view, view.whole, carried(view.whole))
    wheel, chassis = upward(view, "wheel"), upward(view, "chassis")
    if isinstance(wheel, Missing):
        return wheel
    if isinstance(chassis, Missing):
        return chassis
    edge_hz, shares = upper_edge_hz(view.rate_hz), load_shares(view.bike_share)

    def slower(part: Floats, edge_hz: float) -> Floats:
        return low_passed(part, view.rate_hz, edge_hz)

    return tuple(
        load_share(slower(below, edge_hz), slower(above, edge_hz), slower(above, RIDER_HZ), shares)
        for below, above in zip(wheel, chassis, strict=True)
    )


@once
def faster(view: InertialView, on: On, edge_hz: float) -> tuple[Floats, ...] | Missing:
    """Return what of a place's shaking is faster than an edge, Hz; filtered once a ride, as travel is."""
    if view.whole is not None:
        return _cut(view, view.whole, faster(view.whole, on, edge_hz))
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
