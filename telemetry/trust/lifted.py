"""Whether a lifted recording shows an end at rest, fully extended: a wrong one would move zero in every run after."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.finding import End, Finding
from telemetry.model.sensor import DisplacementSensor

STILL_SHARE = 0.01
MIDDLE = (10.0, 90.0)
FAR_SHARE = 0.10
AT_END_COUNTS = 1.0
NEAR_SHARE = 0.03
PARTS = 20
"""Own choices: hands that hold a bike up move its ends by a tenth of that."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftedEnd:
    """One end of a lifted recording: its readings as logged, and as millimetres of what its sensor measures."""

    log: str
    sensor: DisplacementSensor
    readings: Floats
    level_mm: Floats
    full_mm: float

    def finds(self, code: str, message: str) -> Finding:
        """Return a finding of this end."""
        end = self.sensor.end
        return Finding(code=code, message=f"{self.log}, {end}: {message}", end=end)


def lifted_wrong(lifted: LiftedEnd) -> tuple[Finding, ...]:
    """Return what is wrong with one end of a lifted recording; an error means that no zero comes of it.

    Parameters
    ----------
    lifted : LiftedEnd
    """
    for judged in (_unplugged, _not_still, _far):
        found = judged(lifted)
        if found is not None:
            return (found,)
    return ()


def _unplugged(lifted: LiftedEnd) -> Finding | None:
    bounds, reading = lifted.sensor.counts_range, float(np.median(lifted.readings))
    near = abs(float(np.median(lifted.level_mm))) <= NEAR_SHARE * lifted.full_mm
    if bounds is None or near or min(abs(reading - end) for end in bounds) > AT_END_COUNTS:
        return None
    message = (
        f"reads {reading:g}, an end of counts_range ({bounds[0]:g} to {bounds[1]:g}): the sensor is unplugged or out "
        "of reach, and no zero comes of it; plug it in, lift both wheels for 5 s and record it again"
    )
    return lifted.finds("lifted_at_range_end", message)


def _not_still(lifted: LiftedEnd) -> Finding | None:
    low, high = np.percentile(_levels(lifted.level_mm), MIDDLE)
    limit = STILL_SHARE * lifted.full_mm
    if high - low <= limit:
        return None
    message = (
        f"the middle eight tenths of its levels span {high - low:.1f} mm of {lifted.sensor.measures} (limit "
        f"{limit:.1f} mm, 1 %): the end didn't hang still, and no zero comes of it; lift both wheels, let them come to "
        "rest, record 5 s again"
    )
    return lifted.finds("lifted_moves", message)


def _levels(level_mm: Floats) -> Floats:
    """Return the medians of a recording's parts: a sensor's noise leaves them alike."""
    parts = min(PARTS, level_mm.shape[0])
    return np.array([np.median(part) for part in np.array_split(level_mm, parts)])


def _far(lifted: LiftedEnd) -> Finding | None:
    level = float(np.median(lifted.level_mm))
    if abs(level) <= FAR_SHARE * lifted.full_mm:
        return None
    message = (
        f"puts zero {level:+.1f} mm of {lifted.sensor.measures} from the calibration's (limit "
        f"{FAR_SHARE * lifted.full_mm:.1f} mm, 10 %); it is taken out all the same: were both wheels off the ground? "
        "Measure the calibration points again where the sensor was mounted anew"
    )
    return lifted.finds("lifted_far", message)


def zero_lost(run: str, end: End, wrong: str, used: str | None) -> Finding:
    """Return what a run is told whose zero a wrong lifted recording should have given.

    Parameters
    ----------
    run : str
    end : {"front", "rear"}
    wrong, used : str
        The lifted recording that is wrong, and the one whose zero is used in its place; None: the calibration's.
    """
    message = (
        f"{run}, {end}: lifted recording {wrong}, which should give its zero, can't (it says why); zero is "
        f"{'as calibrated' if used is None else f'that of {used}'}: lift both wheels for 5 s and record it again"
    )
    return Finding(code="zero_unchecked", message=message, end=end)
