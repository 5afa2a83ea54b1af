"""What a slow log shows in one row alone: a hit faster than its rows, or a glitch that nothing around it tells."""

from __future__ import annotations

import numpy as np

from telemetry.mechanics.bottoming_line import bottoming_line_mm
from telemetry.model.arrays import Floats
from telemetry.model.finding import Finding
from telemetry.model.motion import Stretch
from telemetry.model.ride import CleanedEnd, Ride
from telemetry.model.stretches import stretches
from telemetry.words import figure

from .slow import is_slow

ALONE_SHARE = 0.02
"""Of full travel, the smallest change of a depth: a deepest point so far above both rows beside it is one row's."""


def alone_past(travel_mm: Floats, line_mm: float, segments: tuple[Stretch, ...]) -> list[int]:
    """Return the samples that reach the line while neither sample beside them does.

    Parameters
    ----------
    travel_mm : float array, shape (n,)
    line_mm : float
    segments : tuple of (start, stop)
        Gap-free stretches; beside a sample at either end of one there is one sample only.
    """
    past = travel_mm >= line_mm
    return [start for start, stop in stretches(past, segments) if stop - start == 1] if past.any() else []


def one_row_alone(ride: Ride, end: CleanedEnd) -> tuple[Finding, ...]:
    """Find bottom-outs and a deepest point that rest on one row of a slow log.

    Parameters
    ----------
    ride : Ride
    end : CleanedEnd
        One of its ends, from the ride's start to its end.
    """
    if not is_slow(end.rate_hz):
        return ()
    travel, full_mm, said = end.wheel_mm(end.readings), end.signal.full_travel_mm, []
    line = bottoming_line_mm(full_mm, end.signal.bumper_touch_mm)
    found = alone_past(travel, line, end.segments)
    if found:
        times = "once in one row alone, at" if len(found) == 1 else f"{len(found)} times in one row alone, first at"
        said.append(f"reaches the bottoming line, {line:.1f} mm, {times} {end.time_s[found[0]]:.2f} s")
    deepest = int(np.argmax(travel))
    beside = [place for place in (deepest - 1, deepest + 1) if 0 <= place < travel.shape[0]]
    above = float(travel[deepest] - travel[beside].max(initial=-np.inf))
    if ALONE_SHARE * full_mm < above < np.inf:
        found.append(deepest)
        said.append(
            f"its deepest point, {figure(float(travel[deepest]), 1)} mm at {end.time_s[deepest]:.2f} s, stands "
            f"{above:.1f} mm above the rows beside it"
        )
    if not said:
        return ()
    message = (
        f"{ride.name}, {end.signal.end}: {'; '.join(said)}: at {end.rate_hz:.0f} rows a second a hit may read so, "
        "and a glitch too; what rests on it (bottom-outs, deepest point, speeds there) isn't sure: look at the "
        "run there, log faster"
    )
    row, second = end.row_of(found[0]), float(end.time_s[found[0]])
    return (Finding(code="one_row_alone", message=message, end=end.signal.end, row=row, second=second),)
