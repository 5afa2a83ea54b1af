"""What truly happened, measured on the continuous motion itself and not through the product's own pipeline."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.dynamics.compiled import compiled
from telemetry.dynamics.half_car import Motion
from telemetry.model.arrays import Bools, Floats, Ints

GATE_M = 0.002
HIT_SHARE = 0.06
DEEP_SHARE = 0.80
FLIGHT_S = (0.10, 3.0)
NEAR_TOP_SHARE = 0.03
REARM_M, REARM_SHARE = 0.008, 0.05
OFTEN_PER_MIN = 10.0
LINE_M, LINE_SHARE = 0.003, 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueRun:
    """One run's truth.

    Attributes
    ----------
    ends : dict of end to dict of measure to value
        In the units of the measures of that name.
    both : dict of measure to value
    hits : dict of end to list of (second, depth in % of travel, peak speed in mm/s)
        The deepest first, at most 20.
    bottom_outs_s : dict of end to list of seconds
    """

    ends: dict[str, dict[str, float]]
    both: dict[str, float]
    hits: dict[str, list[tuple[float, float, float]]]
    bottom_outs_s: dict[str, list[float]]

    def to_dict(self) -> dict[str, object]:
        """Return the truth as it stands in ``truth.json``."""
        return {
            "measures": [
                {"measure": name, "end": end, "value": value}
                for end, table in (*self.ends.items(), ("both", self.both))
                for name, value in table.items()
            ],
            "deepest_hits": {
                end: [{"second": s, "depth_pct": d, "peak_speed_mm_s": v} for s, d, v in rows]
                for end, rows in self.hits.items()
            },
            "bottom_outs_s": self.bottom_outs_s,
        }


@compiled()
def reversals(signal, gate):  # type: ignore[no-untyped-def] # pragma: no cover - compiled
    """Return the samples where a signal turns by at least `gate` on both sides, in order."""
    found = []
    high = low = signal[0]
    high_at = low_at = 0
    way = 0
    for n in range(signal.shape[0]):
        value = signal[n]
        if way >= 0:
            if value >= high:
                high, high_at = value, n
            elif high - value >= gate:
                found.append(high_at)
                way, low, low_at = -1, value, n
                continue
        if way <= 0:
            if value <= low:
                low, low_at = value, n
            elif value - low >= gate:
                found.append(low_at)
                way, high, high_at = 1, value, n
    return np.array(found, dtype=np.int64)


@compiled()
def crossings(signal, line, rearm):  # type: ignore[no-untyped-def] # pragma: no cover - compiled
    """Return the samples at which a signal reaches `line`, armed again once it has come back by `rearm`."""
    found = []
    armed = signal[0] < line
    for n in range(1, signal.shape[0]):
        if armed and signal[n] >= line:
            found.append(n)
            armed = False
        elif signal[n] <= line - rearm:
            armed = True
    return np.array(found, dtype=np.int64)


def _lasting_flights(up: Bools, rate_hz: float) -> Bools:
    """Return the stretches that last 0.1 to 3 s."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], up, [False]]).astype(np.int8)))
    mask = np.zeros(up.shape[0], dtype=bool)
    for start, stop in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        if FLIGHT_S[0] <= (stop - start) / rate_hz <= FLIGHT_S[1]:
            mask[start:stop] = True
    return mask


def flights(motion: Motion) -> Bools:
    """Tell where both tyres are off the ground for 0.1 to 3 s."""
    return _lasting_flights((motion.front_tyre_n <= 0) & (motion.rear_tyre_n <= 0), motion.rate_hz)


def flights_by_legs(motion: Motion, full_m: tuple[float, float]) -> Bools:
    """Tell where both ends lie within 3 % of topped out for 0.1 to 3 s: the part of a flight that legs can show."""
    front = np.abs(motion.front_m) <= NEAR_TOP_SHARE * full_m[0]
    rear = np.abs(motion.rear_m) <= NEAR_TOP_SHARE * full_m[1]
    return _lasting_flights(front & rear, motion.rate_hz)


def _peaks(speed: Floats, turns: Ints) -> Floats:
    pairs = np.column_stack([turns[:-1], turns[1:]]).ravel()
    return np.asarray(np.maximum.reduceat(np.abs(speed), pairs)[::2]) if turns.size > 1 else np.empty(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Airborne:
    tyres: Bools
    legs: Bools


@dataclass(frozen=True, slots=True, kw_only=True)
class _End:
    travel_m: Floats
    speed_m_s: Floats
    full_m: float
    bumper_m: float | None


def _reached(name: str, values: Floats, minutes: float) -> dict[str, float]:
    """Return under its name what ten of these a minute reach; nothing where there are fewer."""
    rank = OFTEN_PER_MIN * minutes
    if not 1 <= rank <= values.size:
        return {}
    return {name: float(np.interp(rank, np.arange(1, values.size + 1), np.sort(values)[::-1]))}


def _end_truth(
    end: _End, ridden: slice, airborne: _Airborne, rate_hz: float
) -> tuple[dict[str, float], list[tuple[float, float, float]], list[float]]:
    travel, speed, full = end.travel_m[ridden], end.speed_m_s[ridden], end.full_m
    minutes = travel.shape[0] / rate_hz / 60
    turns = reversals(travel, GATE_M)
    length = np.diff(travel[turns])
    peak = _peaks(speed, turns)
    hit, back = length >= HIT_SHARE * full, length <= -HIT_SHARE * full
    depth = travel[turns[1:]][hit] / full
    line = full - max(LINE_M, LINE_SHARE * full) if end.bumper_m is None else (end.bumper_m + full) / 2
    bottoms = crossings(travel, line, max(REARM_M, REARM_SHARE * full))
    table = {
        "dynamic_sag": 100 * float(travel[~airborne.legs[ridden]].mean()) / full,
        "dynamic_sag_on_the_ground": 100 * float(travel[~airborne.tyres[ridden]].mean()) / full,
        "travel_p95": 100 * float(np.quantile(travel, 0.95)) / full,
        "travel_max": 100 * float(travel.max()) / full,
        "bottom_outs": float(bottoms.size),
        "strokes_per_min": float(np.count_nonzero(length > 0)) / minutes,
        "hits_per_min": float(np.count_nonzero(hit)) / minutes,
    }
    if hit.any():
        table |= {
            "hit_depth_p95": 100 * float(np.quantile(depth, 0.95)),
            "deep_hits_per_min": float(np.count_nonzero(depth > DEEP_SHARE)) / minutes,
            "compression_speed_p50": 1e3 * float(np.quantile(peak[hit], 0.5)),
            "compression_speed_p95": 1e3 * float(np.quantile(peak[hit], 0.95)),
            **_reached("hit_depth_10_per_min", 100 * depth, minutes),
            **_reached("compression_speed_10_per_min", 1e3 * peak[hit], minutes),
        }
    if back.any():
        table |= {
            "rebound_speed_p50": 1e3 * float(np.quantile(peak[back], 0.5)),
            "rebound_speed_p95": 1e3 * float(np.quantile(peak[back], 0.95)),
            **_reached("rebound_speed_10_per_min", 1e3 * peak[back], minutes),
        }
    begin = ridden.start / rate_hz
    deepest = np.argsort(-depth, kind="stable")[:20]
    seconds = turns[1:][hit] / rate_hz + begin
    rows = [(float(seconds[k]), 100 * float(depth[k]), 1e3 * float(peak[hit][k])) for k in deepest]
    return table, rows, (bottoms / rate_hz + begin).tolist()


def true_run(
    motion: Motion,
    ridden: slice,
    speed_m_s: Floats,
    full_m: tuple[float, float],
    bumper_m: tuple[float | None, float | None] = (None, None),
) -> TrueRun:
    """Return the truth of one run.

    Parameters
    ----------
    motion : Motion
    ridden : slice
        Steps of the trail itself, without standing before and after.
    speed_m_s : float array, shape (n,)
        Ground speed at each step.
    full_m : (front, rear)
        Full travel at the wheels.
    bumper_m : (front, rear)
        Where the bumper is first felt, in wheel travel; None where bottoming isn't counted by it.

    Notes
    -----
    Definitions are those of the measures of the same name, on unfiltered motion at the full rate. Flight is told
    twice: ``dynamic_sag`` and ``airborne_time`` go by the legs, as the measures do; ``dynamic_sag_on_the_ground`` and
    ``flown_time`` by the tyres, which no sensor of a leg sees. ``ground_speed_median`` is what windows of lags tell.
    """
    airborne = _Airborne(tyres=flights(motion), legs=flights_by_legs(motion, full_m))
    ends: dict[str, dict[str, float]] = {}
    hits: dict[str, list[tuple[float, float, float]]] = {}
    bottoms: dict[str, list[float]] = {}
    signals = {
        "front": _End(travel_m=motion.front_m, speed_m_s=motion.front_m_s, full_m=full_m[0], bumper_m=bumper_m[0]),
        "rear": _End(travel_m=motion.rear_m, speed_m_s=motion.rear_m_s, full_m=full_m[1], bumper_m=bumper_m[1]),
    }
    for name, end in signals.items():
        ends[name], hits[name], bottoms[name] = _end_truth(end, ridden, airborne, motion.rate_hz)
    both = {
        "riding_time": (ridden.stop - ridden.start) / motion.rate_hz,
        "airborne_time": float(np.count_nonzero(airborne.legs[ridden])) / motion.rate_hz,
        "flown_time": float(np.count_nonzero(airborne.tyres[ridden])) / motion.rate_hz,
        "ground_speed": float(speed_m_s[ridden].mean()),
        "ground_speed_median": float(np.median(speed_m_s[ridden])),
        "sag_difference": ends["front"]["dynamic_sag"] - ends["rear"]["dynamic_sag"],
    }
    return TrueRun(ends=ends, both=both, hits=hits, bottom_outs_s=bottoms)
