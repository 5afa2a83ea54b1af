"""From readings to cleaned travel, filtered travel and speed: the handbook's definitions, written out slowly.

A second writing of the same definitions, to check the first one by: it shares no code with ``telemetry``.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import atan, pi, sqrt, tan

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.signal import butter, filtfilt

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class PlainEnd:
    """One measured end: how its readings become wheel travel, and what its strokes are judged against."""

    full_mm: float
    points: tuple[tuple[float, float], ...]
    calibration: str = "line"
    reads_stroke: bool = False
    curve: tuple[tuple[float, float], ...] = ()  # stroke, travel
    ratio: float | None = None
    lifted_readings: Array | None = None
    seen_noise_mm: float = 0.0  # sd of filtered travel in the day's recordings at rest
    bumper_touch_mm: float | None = None
    knee_compression_mm_s: float | None = None
    knee_rebound_mm_s: float | None = None


@dataclass(frozen=True, kw_only=True)
class PlainSpec:
    """Everything but the log that the measures of one run need."""

    ends: dict[str, PlainEnd]
    lowest_rate_hz: float
    stamp_s: float = 1e-9  # the clock's resolution
    cutoff_hz: float = 60.0
    start_s: float | None = None
    end_s: float | None = None
    head_angle_deg: float | None = None
    wheelbase_mm: float | None = None
    hard_mm_s: float = 600.0
    ground_speed_m_s: Array | None = None  # one a row, where a sensor reads it


@dataclass(frozen=True, kw_only=True)
class PlainSegment:
    """One stretch without gaps: a regular clock and, per end, travel before and after the filter and speed."""

    time_s: Array
    rate_hz: float
    cleaned_mm: dict[str, Array]
    filtered_mm: dict[str, Array]
    speed_mm_s: dict[str, Array]
    spikes: dict[str, int] = field(default_factory=dict)


def with_end_slopes(x: Array, table: tuple[tuple[float, float], ...]) -> Array:
    """Return PCHIP through `table` at `x`; outside it the slope at its end continues."""
    points = sorted(table)
    known_x = np.array([point[0] for point in points])
    known_y = np.array([point[1] for point in points])
    curve = PchipInterpolator(known_x, known_y)
    slope = curve.derivative()
    y = curve(np.clip(x, known_x[0], known_x[-1]))
    below = np.minimum(x - known_x[0], 0.0) * slope(known_x[0])
    above = np.maximum(x - known_x[-1], 0.0) * slope(known_x[-1])
    return y + below + above


def calibrated(readings: Array, end: PlainEnd) -> Array:
    """Return readings in mm at the sensor: a line by least squares, or a monotone curve."""
    if end.calibration == "curve":
        return with_end_slopes(readings, end.points)
    slope, offset = np.polyfit([point[0] for point in end.points], [point[1] for point in end.points], 1)
    return slope * readings + offset


def stroke_to_travel(stroke_mm: Array, end: PlainEnd) -> Array:
    """Return wheel travel of a shock's stroke."""
    if end.ratio is not None:
        return stroke_mm * end.ratio
    return with_end_slopes(stroke_mm, end.curve)


def travel_to_stroke(travel_mm: Array, end: PlainEnd) -> Array:
    """Return the shock's stroke at a wheel travel: the curve's table made dense, read the other way round."""
    if end.ratio is not None:
        return travel_mm / end.ratio
    last = max(point[0] for point in end.curve)
    stroke = np.linspace(-0.5 * last, 1.5 * last, 40_001)
    return np.interp(travel_mm, stroke_to_travel(stroke, end), stroke)


def zero_mm(end: PlainEnd) -> float:
    """Return the lifted recording's level, at the sensor and before the curve."""
    if end.lifted_readings is None:
        return 0.0
    return float(np.median(calibrated(end.lifted_readings, end)))


def wheel_travel(readings: Array, end: PlainEnd) -> Array:
    """Return wheel travel in mm, with the zero in force and nothing smoothed."""
    at_sensor = calibrated(readings, end) - zero_mm(end)
    return stroke_to_travel(at_sensor, end) if end.reads_stroke else at_sensor


def is_far(x: Array, i: int) -> tuple[bool, float]:
    """Tell whether a sample is far from its window's median, and that median."""
    window = x[max(0, i - 3) : i + 4]
    median = float(np.median(window))
    spread = float(np.median(np.abs(window - median)))
    return abs(x[i] - median) > 3 * 1.4826 * spread, median


def spike_at(x: Array, i: int, rate_hz: float) -> int:
    """Return how many samples from `i` on are a spike: 0 to 3."""
    step_in = (x[i] - x[i - 1]) * rate_hz
    for count in (1, 2, 3):
        if i + count >= len(x):
            return 0
        step_out = (x[i + count] - x[i + count - 1]) * rate_hz
        quick = abs(step_in) > 10_000 and abs(step_out) > 10_000
        there_and_back = step_in * step_out < 0
        if quick and there_and_back and all(is_far(x, j)[0] for j in range(i, i + count)):
            return count
    return 0


def without_spikes(x: Array, rate_hz: float) -> tuple[Array, int]:
    """Return `x` with spikes replaced by their windows' medians, and how many samples that were."""
    mended = x.copy()
    quick = np.flatnonzero(np.abs(np.diff(x)) * rate_hz > 10_000) + 1
    found: set[int] = set()
    for i in quick:
        if i in found:
            continue
        for j in range(i, i + spike_at(x, i, rate_hz)):
            mended[j] = is_far(x, j)[1]
            found.add(j)
    return mended, len(found)


def low_passed(x: Array, rate_hz: float, cutoff_hz: float) -> Array:
    """Return `x` after four poles forward and backward, -3 dB at the cut-off after both."""
    design_hz = rate_hz / pi * atan(tan(pi * cutoff_hz / rate_hz) / 0.89568)
    b, a = butter(4, design_hz, fs=rate_hz)
    return filtfilt(b, a, x)


def derivative(x: Array, rate_hz: float) -> Array:
    """Return the five-point derivative, of second order at the two samples of each end."""
    slope = np.gradient(x, edge_order=2) * rate_hz
    for i in range(2, len(x) - 2):
        slope[i] = (x[i - 2] - 8 * x[i - 1] + 8 * x[i + 1] - x[i + 2]) * rate_hz / 12
    return slope


def day_cutoff_hz(spec: PlainSpec) -> float:
    """Return the day's cut-off frequency."""
    return min(spec.cutoff_hz, 0.4 * spec.lowest_rate_hz)


def gap_free(time_s: Array) -> list[tuple[int, int]]:
    """Return first and last-plus-one row of each stretch without a gap."""
    steps = np.diff(time_s)
    limit = max(3 * float(np.mean(steps)), 0.020)
    edges = [0, *(int(i) + 1 for i in np.flatnonzero(steps > limit)), len(time_s)]
    return list(pairwise(edges))


def log_rate_hz(time_s: Array) -> float:
    """Return rows - 1 over the time span, within stretches free of gaps."""
    rows = span = 0.0
    for first, last in gap_free(time_s):
        rows += last - first - 1
        span += time_s[last - 1] - time_s[first]
    return rows / span


def on_its_line(time_s: Array, place: Array, rate_hz: float, stamp_s: float) -> Array | None:
    """Return the times of the straight line that stamps lie on within one resolution, else ``None``."""
    residual = time_s - place / rate_hz
    offset = (np.max(residual) + np.min(residual)) / 2
    if np.max(np.abs(residual - offset)) > stamp_s * (1 + 1e-6) + 1e-9:
        return None
    return place / rate_hz + offset


def straightened(time_s: Array, place: Array, stamp_s: float) -> tuple[list[Array], float, bool]:
    """Return each stretch's times, the rate, and whether they are those of straight lines."""
    stretches = gap_free(time_s)
    span = sum(time_s[b - 1] - time_s[a] for a, b in stretches)
    rate_hz = sum(place[b - 1] - place[a] for a, b in stretches) / span
    lines = [on_its_line(time_s[a:b], place[a:b], rate_hz, stamp_s) for a, b in stretches]
    straight = [line for line in lines if line is not None]
    if len(straight) == len(lines):
        return straight, rate_hz, True
    return [time_s[a:b] for a, b in stretches], rate_hz, False


def even_clock(time_s: Array, whole: NDArray[np.bool_], stamp_s: float) -> tuple[list[Array], float]:
    """Return the times of each stretch's rows, and the rate to bring them to.

    Rows whose readings lack are left out. What remains is one line a stretch by its own count of rows, or by the
    places the rows had among all; where it is neither, the stamps stand.
    """
    counted = np.arange(np.count_nonzero(whole), dtype=float)
    stamps, rate_hz, straight = straightened(time_s[whole], counted, stamp_s)
    if not straight:
        by_place, place_hz, straight = straightened(time_s[whole], np.flatnonzero(whole).astype(float), stamp_s)
        if straight:
            return by_place, place_hz
    return stamps, rate_hz


def plain_segments(time_s: Array, readings: dict[str, Array], spec: PlainSpec) -> list[PlainSegment]:
    """Return a log's gap-free segments, cleaned, filtered and differentiated."""
    whole = np.ones(len(time_s), dtype=bool)
    for values in readings.values():
        whole &= np.isfinite(values)
    stretches, rate_hz = even_clock(time_s, whole, spec.stamp_s)
    segments, first = [], 0
    for stamps in stretches:
        rows = slice(first, first + len(stamps))
        first += len(stamps)
        even_s = stamps[0] + np.arange(int((stamps[-1] - stamps[0]) * rate_hz + 1e-6) + 1) / rate_hz
        if len(even_s) < 16 or len(even_s) / rate_hz < 0.25:
            continue
        cleaned, filtered, speed, spikes = {}, {}, {}, {}
        for name, values in readings.items():
            raw = np.interp(even_s, stamps, values[whole][rows])
            cleaned[name], spikes[name] = without_spikes(wheel_travel(raw, spec.ends[name]), rate_hz)
            filtered[name] = low_passed(cleaned[name], rate_hz, min(day_cutoff_hz(spec), 0.4 * rate_hz))
            speed[name] = derivative(filtered[name], rate_hz)
        segments.append(
            PlainSegment(
                time_s=even_s,
                rate_hz=rate_hz,
                cleaned_mm=cleaned,
                filtered_mm=filtered,
                speed_mm_s=speed,
                spikes=spikes,
            )
        )
    return segments


def rest_noise_mm(recordings: list[tuple[Array, Array]], name: str, spec: PlainSpec) -> float:
    """Return the sd of filtered travel over all recordings at rest, clock and readings, each about its own mean."""
    variances = []
    for time_s, readings in recordings:
        alone = replace(spec, ends={name: spec.ends[name]})
        segments = plain_segments(time_s, {name: readings}, alone)
        variances += [np.var(segment.filtered_mm[name]) for segment in segments]
    return float(np.sqrt(np.mean(variances))) if variances else 0.0


def travel_noise_mm(readings: Array, rate_hz: float, name: str, spec: PlainSpec) -> float:
    """Return the sd of filtered travel: from the sensor's step, or as recordings at rest show it."""
    end = spec.ends[name]
    levels = np.unique(readings[np.isfinite(readings)])
    step_mm = float(np.median(np.abs(np.diff(wheel_travel(levels, end))))) if len(levels) > 1 else 0.0
    return max(step_mm / sqrt(12) * sqrt(2 * day_cutoff_hz(spec) / rate_hz), end.seen_noise_mm)


def gate_mm(readings: Array, rate_hz: float, name: str, spec: PlainSpec) -> float:
    """Return the hysteresis a turning point needs."""
    return max(2.0, 6 * travel_noise_mm(readings, rate_hz, name, spec))
