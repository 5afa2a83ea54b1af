"""Whether one end's readings can be trusted: its calibration, spikes, contact, range and converter."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from telemetry.mechanics.bottoming_line import bottoming_line_mm
from telemetry.model.arrays import Ints
from telemetry.model.finding import Finding
from telemetry.model.finding_codes import Severity
from telemetry.model.ride import CleanedEnd, Ride
from telemetry.model.stretches import samples_within, segments_within
from telemetry.words import counted, percent

from .clipping import SPEED_LIMIT_MM_S, FlatEnd, false_depths, find_clipped, find_clipped_at_own, own_ends
from .one_row import one_row_alone

COARSE_SHARE = 0.005
RESIDUAL_SHARE = 0.01
SPIKE_SHARE = 0.001
MOST_BROKEN = 4
"""Steps of a broken contact that still leave a run to be compared: two losses, in and out."""


def reading_findings(ride: Ride, end: CleanedEnd) -> tuple[Finding, ...]:
    """Return what is told of one end's readings between the ride's start and end.

    Parameters
    ----------
    ride : Ride
    end : CleanedEnd
        One of its ends.
    """
    judges = (_calibration, _glitches, _spikes, _contact, _range, _clipped, _coarse)
    end = _ridden(ride, end)
    if not end.readings.size:
        return ()
    told = (found for judge in judges if (found := judge(ride, end)) is not None)
    return (*told, *one_row_alone(ride, end))


def _ridden(ride: Ride, end: CleanedEnd) -> CleanedEnd:
    """Return what of one of a ride's ends, on the clock of its own rows, lies between the ride's start and its end."""
    ridden = samples_within(end.time_s, ride.start_s, ride.end_s)
    first, last = ridden.start, ridden.stop
    if first == 0 and last == end.time_s.shape[0]:
        return end

    def inside(samples: Ints) -> Ints:
        kept: Ints = samples[(samples >= first) & (samples < last)] - first
        return kept

    return replace(
        end,
        row_of=lambda sample: end.row_of(first + sample),
        time_s=end.time_s[first:last],
        segments=tuple((start - first, stop - first) for start, stop in segments_within(end.segments, ridden)),
        readings=end.readings[first:last],
        spikes=inside(end.spikes),
        glitches=inside(end.glitches),
        lost=inside(end.lost),
        lasting=inside(end.lasting),
    )


def _found(
    ride: Ride, end: CleanedEnd, code: str, message: str, sample: int | None = None, severity: Severity = "warning"
) -> Finding:
    return Finding(
        severity=severity,
        code=code,
        message=f"{ride.name}, {end.signal.end}: {message}",
        end=end.signal.end,
        row=None if sample is None else end.row_of(sample),
        second=None if sample is None else float(end.time_s[sample]),
    )


def _calibration(ride: Ride, end: CleanedEnd) -> Finding | None:
    limit = RESIDUAL_SHARE * end.measured_mm
    if end.off_line_mm <= limit:
        return None
    message = (
        f"a calibration point lies {end.off_line_mm:.2f} mm off the line (limit {limit:.2f} mm, 1 % of travel); "
        "measure the points again or use a curve"
    )
    return _found(ride, end, "poor_calibration", message)


def _spikes(ride: Ride, end: CleanedEnd) -> Finding | None:
    if not end.spikes.size:
        return None
    share, first = end.spikes.size / end.readings.shape[0], int(end.spikes[0])
    message = (
        f"{counted(end.spikes.size, 'sample')} in spikes ({percent(share)} % of all, limit 0.1 %), the first at "
        f"{end.time_s[first]:.2f} s, replaced by the median of their neighbours; check plug, cable and ground"
    )
    return _found(ride, end, "spikes", message, first, "warning" if share > SPIKE_SHARE else "note")


def _glitches(ride: Ride, end: CleanedEnd) -> Finding | None:
    if not end.glitches.size:
        return None
    first, jump = int(end.glitches[0]), "jumps" if end.glitches.size == 1 else "jump"
    message = (
        f"{counted(end.glitches.size, 'reading')} of {end.readings.shape[0]} {jump} over a fifth of full travel away "
        "and back while those around go on as if nothing had been (rows are too far apart to tell glitches by 10 m/s), "
        f"the first at {end.time_s[first]:.2f} s; replaced; check plug, cable and ground; log faster"
    )
    return _found(ride, end, "slow_glitches", message, first, "note")


def _contact(ride: Ride, end: CleanedEnd) -> Finding | None:
    """Say where travel steps faster than a wheel can move, and no spike explains it."""
    if not end.lost.size:
        return None
    first = int(end.lost[0])
    stay = "stays" if end.lost.size == 1 else "stay"
    message = (
        f"{counted(end.lost.size, 'step')} faster than 10 m/s at the wheel {stay} after spikes are out, the first at "
        f"{end.time_s[first]:.2f} s; no wheel moves like that: readings between such steps are false (over "
        f"{MOST_BROKEN} that aren't undone within 5 samples: no verdict); check plug, cable and ground, then ride again"
    )
    if end.lasting.size > MOST_BROKEN:
        return _found(ride, end, "contact_lost_often", message, first)
    return _found(ride, end, "loose_contact", message, first)


def _coarse(ride: Ride, end: CleanedEnd) -> Finding | None:
    step_mm, limit = end.signal.noise.sensor_step_mm, COARSE_SHARE * end.signal.full_travel_mm
    if step_mm <= limit:
        return None
    message = (
        f"the sensor's step is {step_mm:.2f} mm at the wheel (limit {limit:.2f} mm, 0.5 % of travel); use more of the "
        "converter's range"
    )
    return _found(ride, end, "coarse_steps", message)


def _range(ride: Ride, end: CleanedEnd) -> Finding | None:
    """Say where readings lie outside the range that is stated for them."""
    stated, readings = end.sensor.counts_range, end.readings
    if stated is None:
        return None
    low, high = min(stated), max(stated)
    lowest, highest = float(readings.min()), float(readings.max())
    if lowest >= low and highest <= high:
        return None
    outside = np.flatnonzero((readings < low) | (readings > high))
    furthest = highest if highest - high > low - lowest else lowest
    message = (
        f"{percent(outside.size / readings.shape[0])} % of readings lie outside counts_range ({low:g} to {high:g}; "
        f"furthest {furthest:g}, first at {end.time_s[outside[0]]:.2f} s): no converter reads beyond its range, "
        "so running out of it can't be told; correct counts_range, or look at the column"
    )
    return _found(ride, end, "outside_range", message, int(outside[0]))


def _clipped(ride: Ride, end: CleanedEnd) -> Finding | None:
    readings, step, full_mm = end.readings, end.reading_step, end.signal.full_travel_mm
    least = SPEED_LIMIT_MM_S / end.rate_hz / max(abs(end.mm_a_reading), 1e-300)
    stated = end.sensor.counts_range or ()
    flats: list[FlatEnd] = []
    for start, stop in end.segments:
        found = find_clipped(readings[start:stop], least, step, stated)
        flats.extend(replace(flat, start=start + flat.start, stop=start + flat.stop) for flat in found)
    extremes = np.array([np.min(readings), np.max(readings)])
    own = own_ends(extremes, end.wheel_mm(extremes), full_mm)
    unstated = tuple(reading for reading in own if reading not in stated)
    flats.extend(find_clipped_at_own(readings, end.segments, least, step, unstated))
    if not flats:
        return None
    flats.sort(key=lambda flat: flat.start)
    first = flats[0].start
    depths = end.wheel_mm(np.array([flat.reading for flat in flats]))
    false = false_depths(depths, full_mm)
    message = (
        f"sensor ran out of range: {len(flats)} times 3 or more equal readings at {flats[0].reading:g} while moving "
        f"faster than 200 mm/s, first at {end.time_s[first]:.2f} s; "
        f"{_cut(end, float(np.max(depths)), float(extremes.mean()))}{' (no verdict at this end)' if false else ''}; "
        "check the sensor's mounting and range"
    )
    return replace(_found(ride, end, "clipped", message, first), no_verdict=false)


def _cut(end: CleanedEnd, deepest_mm: float, middle: float) -> str:
    """Return what is lost where readings end at `deepest_mm` of wheel travel; `middle`: between extremes."""
    line = bottoming_line_mm(end.signal.full_travel_mm, end.signal.bumper_touch_mm)
    if deepest_mm >= line:
        return "inside bottom-outs: their count is a lower bound"
    if deepest_mm > float(end.wheel_mm(np.array([middle]))[0]):
        return f"depth is cut at {deepest_mm:.1f} mm, so bottom-outs (from {line:.1f} mm) can't be seen"
    return f"travel of less than {deepest_mm:.1f} mm can't be seen"
