"""Every measure of a run by its definition, one small loop each."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, sin

import numpy as np

from tests.plain.plain_lag import lag_speed_m_s
from tests.plain.plain_signal import (
    Array,
    PlainEnd,
    PlainSegment,
    PlainSpec,
    derivative,
    gate_mm,
    plain_segments,
    travel_to_stroke,
)
from tests.plain.plain_strokes import Mask, PlainStroke, is_airborne, is_riding, stretches_of, strokes_of

Values = dict[tuple[str, str], float | None]


@dataclass(frozen=True, kw_only=True)
class PlainRun:
    """One run after conditioning: segments with what is riding and what is flight."""

    segments: list[PlainSegment]
    riding: list[Mask]
    airborne: list[Mask]
    spec: PlainSpec

    @property
    def minutes(self) -> float:
        return sum(float(np.sum(m)) / s.rate_hz for m, s in zip(self.riding, self.segments, strict=True)) / 60

    def ridden(self, name: str, kind: str = "filtered_mm", *, grounded: bool = False) -> Array:
        """Return one end's samples of all riding time, end to end."""
        parts = []
        for segment, riding, airborne in zip(self.segments, self.riding, self.airborne, strict=True):
            wanted = riding & ~airborne if grounded else riding
            parts.append(getattr(segment, kind)[name][wanted])
        return np.concatenate(parts)

    def strokes(self, name: str, gate: float) -> list[PlainStroke]:
        """Return one end's strokes whose middle sample is riding time."""
        counted: list[PlainStroke] = []
        for number, segment in enumerate(self.segments):
            travel = segment.filtered_mm[name]
            shaft = shaft_speed(travel, segment, self.spec.ends[name], name)
            strokes = strokes_of(travel, segment.speed_mm_s[name], shaft, gate, number)
            counted += [s for s in strokes if self.riding[number][(s.first + s.last) // 2]]
        return counted


def shaft_speed(travel: Array, segment: PlainSegment, end: PlainEnd, name: str) -> Array | None:
    """Return the damper's own speed: the wheel's at the fork, through the curve at the rear."""
    if name == "front":
        return segment.speed_mm_s[name]
    if end.ratio is None and not end.curve:
        return None
    return derivative(travel_to_stroke(travel, end), segment.rate_hz)


def quantile(values: list[float], share: float) -> float | None:
    return float(np.quantile(values, share)) if values else None


def crossing_s(x: Array, time_s: Array, i: int, level: float) -> float:
    """Return when the line from sample i - 1 to i passes a level."""
    return float(time_s[i - 1] + (level - x[i - 1]) / (x[i] - x[i - 1]) * (time_s[i] - time_s[i - 1]))


def bottom_out_line_mm(end: PlainEnd) -> float:
    if end.bumper_touch_mm is not None:
        return (end.bumper_touch_mm + end.full_mm) / 2
    return end.full_mm - max(3.0, 0.02 * end.full_mm)


def bottom_outs(segment: PlainSegment, riding: Mask, name: str, spec: PlainSpec) -> tuple[int, int]:
    """Return how often cleaned travel passes the line, and how often it does so hard."""
    end, x = spec.ends[name], segment.cleaned_mm[name]
    line = bottom_out_line_mm(end)
    back = line - max(8.0, 0.05 * end.full_mm)
    armed, count, hard = x[0] < line, 0, 0
    for i in range(1, len(x)):
        if x[i] <= back:
            armed = True
        if armed and x[i] >= line > x[i - 1]:
            armed = False
            if riding[i]:
                count += 1
                hard += is_hard(x, segment.time_s, i, line, spec.hard_mm_s)
    return count, hard


def is_hard(x: Array, time_s: Array, i: int, line: float, limit_mm_s: float) -> bool:
    """Tell whether the last 8 mm before the line took no longer than the limit's time."""
    for j in range(i, 0, -1):
        if x[j - 1] <= line - 8 < x[j]:
            took_s = crossing_s(x, time_s, i, line) - crossing_s(x, time_s, j, line - 8)
            return took_s <= 8 / limit_mm_s
    return False


def is_top_out(stroke: PlainStroke, segment: PlainSegment, name: str, end: PlainEnd) -> bool:
    """Tell whether a return comes within 2.5 % of zero, its last 8 mm before that line faster than 400 mm/s."""
    x, line = segment.filtered_mm[name], 0.025 * end.full_mm
    for i in range(stroke.first + 1, stroke.last + 1):
        if x[i] <= line < x[i - 1]:
            for j in range(i, stroke.first, -1):
                if x[j - 1] >= line + 8 > x[j]:
                    took_s = crossing_s(x, segment.time_s, i, line) - crossing_s(x, segment.time_s, j, line + 8)
                    return took_s < 8 / 400
            return False
    return False


def ten_a_minute(peaks: list[float], minutes: float) -> float | None:
    """Return the k-th largest peak, k = ten a minute, linear between ranks."""
    k = 10 * minutes
    if k < 1 or len(peaks) < k:
        return None
    ranked = sorted(peaks, reverse=True)
    return float(np.interp(k, np.arange(1, len(ranked) + 1), ranked))


def share_below(peaks: list[float], knee: float | None) -> float | None:
    if knee is None or not peaks:
        return None
    return 100 * sum(peak < knee for peak in peaks) / len(peaks)


def recovery_s(hits: list[PlainStroke], run: PlainRun, name: str, sag_mm: float) -> float | None:
    """Return the median time from a deep hit's deepest sample back to sag."""
    deep = [hit for hit in hits if hit.end_mm > 0.5 * run.spec.ends[name].full_mm]
    times = []
    for hit, after in zip(deep, [*deep[1:], None], strict=True):
        x = run.segments[hit.segment].filtered_mm[name]
        stop = len(x)
        if after is not None and after.segment == hit.segment:
            stop = after.last
        for i in range(hit.last, stop):
            if not run.riding[hit.segment][i]:
                break
            if x[i] <= sag_mm:
                times.append((i - hit.last) / run.segments[hit.segment].rate_hz)
                break
    return float(np.median(times)) if len(times) >= 5 else None


def packing_mm(hits: list[PlainStroke], run: PlainRun, full_mm: float) -> float | None:
    """Return the mean slope of starting travel over bursts, weighted by their length - 1."""
    bursts: list[list[PlainStroke]] = []
    for hit in (hit for hit in hits if hit.length_mm >= 0.15 * full_mm):
        last = bursts[-1][-1] if bursts else None
        near = last is not None and last.segment == hit.segment
        if near and last is not None:
            near = (hit.first - last.last) / run.segments[hit.segment].rate_hz <= 0.6
        if near:
            bursts[-1].append(hit)
        else:
            bursts.append([hit])
    bursts = [burst for burst in bursts if len(burst) >= 3]
    if not bursts:
        return None
    slopes = [np.polyfit(range(len(burst)), [hit.start_mm for hit in burst], 1)[0] for burst in bursts]
    return float(np.average(slopes, weights=[len(burst) - 1 for burst in bursts]))


def slow_frequency_hz(run: PlainRun, name: str) -> float | None:
    """Return the strongest peak of filtered travel in 0.7 to 4 Hz."""
    rate = run.segments[0].rate_hz
    size = round(8 * rate)
    window = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(size) / size)
    index = np.arange(size)
    total, count = np.zeros(size // 2 + 1), 0
    for segment, riding in zip(run.segments, run.riding, strict=True):
        for first, last in stretches_of(riding):
            for a in range(first, last - size + 1, size // 2):
                x = segment.filtered_mm[name][a : a + size]
                x = x - np.polyval(np.polyfit(index, x, 1), index)
                total += np.abs(np.fft.rfft(x * window)) ** 2
                count += 1
    if not count:
        return None
    hz = np.arange(len(total)) * rate / size
    inside = [k for k in range(1, len(hz) - 1) if 0.7 <= hz[k] <= 4.0]
    peaks = [k for k in inside if total[k - 1] < total[k] > total[k + 1]]
    if not peaks:
        return None
    best = max(peaks, key=lambda k: total[k])
    left, middle, right = np.log(total[best - 1 : best + 2])
    return float((best + 0.5 * (left - right) / (left - 2 * middle + right)) * rate / size)


def travel_measures(run: PlainRun, name: str) -> Values:
    """Return what one end's travel says, without strokes."""
    to_percent = 100 / run.spec.ends[name].full_mm
    grounded = run.ridden(name, grounded=True) * to_percent
    ridden = run.ridden(name) * to_percent
    counts = [bottom_outs(s, m, name, run.spec) for s, m in zip(run.segments, run.riding, strict=True)]
    bottomed = sum(count for count, _ in counts)
    return {
        ("dynamic_sag", name): float(np.mean(grounded)),
        ("dynamic_sag_median", name): float(np.median(grounded)),
        ("travel_p95", name): float(np.quantile(ridden, 0.95)),
        ("travel_max", name): float(np.max(run.ridden(name, "cleaned_mm"))) * to_percent,
        ("bottom_outs", name): float(bottomed),
        ("bottom_outs_per_min", name): bottomed / run.minutes,
        ("hard_bottom_outs", name): float(sum(hard for _, hard in counts)),
        ("strongest_slow_frequency", name): slow_frequency_hz(run, name),
    }


def stroke_measures(run: PlainRun, name: str, strokes: list[PlainStroke], sag_mm: float) -> Values:
    """Return what one end's strokes say."""
    end, minutes = run.spec.ends[name], run.minutes
    long_enough = [stroke for stroke in strokes if stroke.length_mm >= 0.06 * end.full_mm]
    hits = [stroke for stroke in long_enough if stroke.compresses]
    returns = [stroke for stroke in long_enough if not stroke.compresses]
    into, out = [hit.peak_mm_s for hit in hits], [stroke.peak_mm_s for stroke in returns]
    shaft = name == "front" or end.ratio is not None or bool(end.curve)
    shaft_into = [hit.peak_shaft_mm_s for hit in hits] if shaft else []
    shaft_out = [stroke.peak_shaft_mm_s for stroke in returns] if shaft else []
    deepest = [100 * hit.end_mm / end.full_mm for hit in hits]
    top_outs = sum(is_top_out(stroke, run.segments[stroke.segment], name, end) for stroke in returns)
    return {
        ("hit_depth_10_per_min", name): ten_a_minute(deepest, minutes),
        ("hit_depth_p95", name): quantile(deepest, 0.95),
        ("deep_hits_per_min", name): sum(depth > 80 for depth in deepest) / minutes,
        ("top_outs_per_min", name): top_outs / minutes,
        ("hits_per_min", name): len(hits) / minutes,
        ("strokes_per_min", name): sum(stroke.compresses for stroke in strokes) / minutes,
        ("hit_length_p50", name): quantile([hit.length_mm for hit in hits], 0.5),
        ("hit_length_p95", name): quantile([hit.length_mm for hit in hits], 0.95),
        ("compression_speed_p50", name): quantile(into, 0.5),
        ("compression_speed_p95", name): quantile(into, 0.95),
        ("rebound_speed_p50", name): quantile(out, 0.5),
        ("rebound_speed_p95", name): quantile(out, 0.95),
        ("compression_speed_10_per_min", name): ten_a_minute(into, minutes),
        ("rebound_speed_10_per_min", name): ten_a_minute(out, minutes),
        ("shaft_compression_speed_p95", name): quantile(shaft_into, 0.95),
        ("shaft_rebound_speed_p95", name): quantile(shaft_out, 0.95),
        ("below_knee_compression_hits", name): share_below(shaft_into, end.knee_compression_mm_s),
        ("below_knee_rebound_returns", name): share_below(shaft_out, end.knee_rebound_mm_s),
        ("recovery_time", name): recovery_s(hits, run, name, sag_mm),
        ("packing", name): packing_mm(hits, run, end.full_mm),
    }


def ratio_at_the_wheels(values: Values, measure: str, head_angle_deg: float | None) -> float | None:
    front, rear = values[measure, "front"], values[measure, "rear"]
    if head_angle_deg is None or front is None or not rear:
        return None
    return front * sin(radians(head_angle_deg)) / rear


def measures_of_both(run: PlainRun, values: Values) -> Values:
    """Return what only both ends together say."""
    head = run.spec.head_angle_deg
    return {
        ("sag_difference", "both"): values["dynamic_sag", "front"] - values["dynamic_sag", "rear"],  # type: ignore[operator]
        ("compression_speed_ratio", "both"): ratio_at_the_wheels(values, "compression_speed_10_per_min", head),
        ("rebound_speed_ratio", "both"): ratio_at_the_wheels(values, "rebound_speed_10_per_min", head),
        ("airborne_time", "both"): sum(
            float(np.sum(m)) / s.rate_hz for m, s in zip(run.airborne, run.segments, strict=True)
        ),
    }


def ground_speed_m_s(time_s: Array, run: PlainRun) -> float | None:
    """Return a speed sensor's mean over riding, else wheelbase over the lag of the rear behind the front."""
    if run.spec.ground_speed_m_s is None:
        return lag_speed_m_s(run.segments, run.riding, run.spec)
    read = []
    for segment, riding in zip(run.segments, run.riding, strict=True):
        read.extend(np.interp(segment.time_s[riding], time_s, run.spec.ground_speed_m_s))
    return float(np.mean(read))


def plain_measures(time_s: Array, readings_by_end: dict[str, Array], spec: PlainSpec) -> Values:
    """Return every measure of one run, ``None`` where the data can't give it.

    Parameters
    ----------
    time_s : array, shape (n,)
        The log's clock, s.
    readings_by_end : dict of array, shape (n,)
        Readings of each measured end, in the sensor's own unit; a missing one is not a number.
    spec : PlainSpec
        The bike, the sensors and the run's limits.

    Returns
    -------
    dict
        (measure, end) to value, in the handbook's units.
    """
    segments = plain_segments(time_s, readings_by_end, spec)
    riding = [is_riding(segment, spec, float(time_s[0])) for segment in segments]
    airborne = [is_airborne(s, spec, m) for s, m in zip(segments, riding, strict=True)]
    run = PlainRun(segments=segments, riding=riding, airborne=airborne, spec=spec)
    values: Values = {("riding_time", "both"): run.minutes * 60}
    for name, readings in readings_by_end.items():
        values |= travel_measures(run, name)
        sag_mm = (values["dynamic_sag", name] or 0.0) * spec.ends[name].full_mm / 100
        gate = gate_mm(readings, segments[0].rate_hz, name, spec)
        values |= stroke_measures(run, name, run.strokes(name, gate), sag_mm)
    if len(readings_by_end) == 2:
        values |= measures_of_both(run, values)
    values["ground_speed", "both"] = ground_speed_m_s(time_s, run)
    return values
