"""An inertial sensor whose signal does not live: readings that stand still, an axis that tells nothing, cut peaks."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from telemetry.model.arrays import Bools
from telemetry.model.finding import Finding
from telemetry.model.inertial import FROZEN_S, InertialSignal
from telemetry.model.motion import RidingTime
from telemetry.model.ride import Ride
from telemetry.model.stretches import lasting, stretches

from .looked_at import looked_at

SAME_M_S2 = 1e-9
FEWEST_SAMPLES = 100
MOST_AT_RANGE_SHARE = 0.05
"""Own choice: of riding. A frame's sensor at its range for four tenths read rms 46 % low; a wheel's of 16 g, for a
fiftieth, still tells a lighter damper."""
DEAD_AXIS_SHARE = 1e-9
"""Own choice: of the variance along the axis shaken most; noise alone gives a sound axis a thousand times that."""


def felt_findings(ride: Ride, time: RidingTime) -> tuple[Finding, ...]:
    """Return what is to be said of inertial sensors whose signal doesn't live.

    Parameters
    ----------
    ride : Ride
    time : RidingTime
    """
    return tuple(found for signal in ride.inertial.values() for found in _judged(ride, signal, time.riding))


def _judged(ride: Ride, signal: InertialSignal, riding: Bools) -> Iterator[Finding]:
    dead = _dead_axis(ride, signal, riding)
    yield from (dead,) if dead is not None else _frozen(ride, signal, riding)
    yield from _cut_off(ride, signal, riding)


def _frozen(ride: Ride, signal: InertialSignal, riding: Bools) -> Iterator[Finding]:
    """Tell of readings that stay the same to the last digit for 1.5 s or more of riding."""
    force = signal.specific_force_m_s2
    same = riding.copy()
    same[:1] = False
    for axis in range(3):
        same[1:] &= np.abs(np.diff(force[:, axis])) <= SAME_M_S2
        if np.count_nonzero(same) < FROZEN_S * ride.rate_hz - 1:
            return
    found = lasting(stretches(same, ride.segments), ride.rate_hz, FROZEN_S)
    if not found:
        return
    lasts = sum(stop - start for start, stop in found) / ride.rate_hz
    second = float(ride.time_s[found[0][0]])
    alone = signal.end not in ride.ends
    message = (
        f"{ride.name}, {signal.end}: {signal.sensor!r} tells the same to the last digit for {lasts:.1f} s of riding, "
        f"first from {second:.2f} s on (limit {FROZEN_S:g} s): nothing that is ridden does{_verdict(alone=alone)}; "
        "check its plug and the logger's supply, then ride again"
    )
    yield Finding(code="inertial_frozen", message=message, end=signal.end, second=second, no_verdict=alone)


def _cut_off(ride: Ride, signal: InertialSignal, riding: Bools) -> Iterator[Finding]:
    """Tell of a sensor at the end of its range for so long that what is summed up from it is wrong."""
    share = float(signal.saturated[riding].mean()) if riding.any() else 0.0
    if share <= MOST_AT_RANGE_SHARE:
        return
    alone = signal.end not in ride.ends
    message = (
        f"{ride.name}, {signal.end}: {signal.sensor!r} is at the end of its range for {100 * share:.2g} % of riding "
        f"({100 * MOST_AT_RANGE_SHARE:g} % at most), so its peaks and all that is summed up from them read "
        f"low{_verdict(alone=alone)}; set it to a larger range, then ride again"
    )
    yield Finding(code="cut_off", message=message, end=signal.end, no_verdict=alone)


def _verdict(*, alone: bool) -> str:
    return " (no verdict at this end)" if alone else ""


def _dead_axis(ride: Ride, signal: InertialSignal, riding: Bools) -> Finding | None:
    """Tell of a sensor whose acceleration lies in a plane: one of its three axes never changes."""
    samples = looked_at(riding)
    if samples.shape[0] < FEWEST_SAMPLES:
        return None
    spread = np.linalg.eigvalsh(np.cov(signal.specific_force_m_s2[samples], rowvar=False))
    if spread[0] > DEAD_AXIS_SHARE * spread[-1]:
        return None
    message = (
        f"{ride.name}, {signal.end}: one axis of {signal.sensor!r} never changes (noise alone would be seen), so what "
        "it tells is lacking that direction; check its `columns`, plug and wiring"
    )
    return Finding(code="dead_axis", message=message, end=signal.end)
