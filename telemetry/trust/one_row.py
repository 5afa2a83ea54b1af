"""What a slow log shows in one row alone: a hit faster than its rows, or a glitch that nothing around it tells."""

from __future__ import annotations

import numpy as np

from telemetry.mechanics.bottoming_line import bottoming_line_mm
from telemetry.model.arrays import Bools, Floats
from telemetry.model.finding import Finding
from telemetry.model.motion import RidingTime, Stretch
from telemetry.model.ride import EndSignal, Ride
from telemetry.model.stretches import stretches
from telemetry.words import figure

from .readings import is_slow

ALONE_SHARE = 0.02
"""Of full travel, the smallest change of a depth: a deepest point so far above both rows beside it is one row's."""


def alone_past(travel_mm: Floats, line_mm: float, counts: Bools, segments: tuple[Stretch, ...]) -> list[int]:
    """Return the samples that count and reach the line while neither sample beside them does.

    Parameters
    ----------
    travel_mm : float array, shape (n,)
    line_mm : float
    counts : bool array, shape (n,)
    segments : tuple of (start, stop)
        Gap-free stretches; beside a sample at either end of one there is one sample only.
    """
    past = travel_mm >= line_mm
    if not past.any():
        return []
    return [start for start, stop in stretches(past, segments) if stop - start == 1 and counts[start]]


def one_row_alone(ride: Ride, signal: EndSignal, time: RidingTime) -> tuple[Finding, ...]:
    """Find bottom-outs and a deepest point that rest on one row of a slow log.

    Parameters
    ----------
    ride : Ride
    signal : EndSignal
        One of its ends.
    time : RidingTime
    """
    if not is_slow(ride.rate_hz) or not time.riding.any():
        return ()
    travel = signal.cleaned_mm
    said = []
    line = bottoming_line_mm(signal.full_travel_mm, signal.bumper_touch_mm)
    found = alone_past(travel, line, time.riding, ride.segments)
    if found:
        times = "once in one row alone, at" if len(found) == 1 else f"{len(found)} times in one row alone, first at"
        said.append(f"reaches the bottoming line, {line:.1f} mm, {times} {_at(ride, found[0])}")
    deepest = int(np.argmax(np.where(time.riding, travel, -np.inf)))
    beside = [place for place in (deepest - 1, deepest + 1) if 0 <= place < travel.shape[0]]
    above = float(travel[deepest] - travel[beside].max())
    if above > ALONE_SHARE * signal.full_travel_mm:
        found.append(deepest)
        said.append(
            f"its deepest point, {figure(float(travel[deepest]), 1)} mm at {_at(ride, deepest)}, stands {above:.1f} mm "
            "above the rows beside it"
        )
    if not said:
        return ()
    message = (
        f"{ride.name}, {signal.end}: {'; '.join(said)}: at {ride.rate_hz:.0f} rows a second a hit may read so, and a "
        "glitch too; what rests on it (bottom-outs, deepest point, speeds there) isn't sure: look at the run there, "
        "log faster"
    )
    second = float(ride.time_s[found[0]])
    return (Finding(code="one_row_alone", message=message, end=signal.end, second=second),)


def _at(ride: Ride, sample: int) -> str:
    return f"{ride.time_s[sample]:.2f} s"
