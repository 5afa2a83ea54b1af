"""Ground speed from a sensor, one value a sample on the ride's even clock."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeAlias

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.finding import Finding
from telemetry.model.log import Log
from telemetry.model.ride import GroundSpeed
from telemetry.model.sensor import (
    ColumnName,
    DistanceSensor,
    GroundSpeedSensor,
    PositionFixSensor,
    WheelPulseSensor,
    columns_of,
)

EARTH_RADIUS_M = 6_371_008.8  # mean radius, IUGG 1980, from memory
MOST_LACKING_SHARE = 0.05
"""Own choice: over less, speed goes on in a straight line."""
FASTEST_M_S, MEAN_OVER_S = 100.0, 1.0
"""Own choice: 360 km/h. Counting sensors tell speed in single samples, so that only its means are meant."""

GroundSensor: TypeAlias = GroundSpeedSensor | WheelPulseSensor | DistanceSensor | PositionFixSensor
Column: TypeAlias = Callable[[ColumnName], Floats]


def pulses_each_sample(readings: Floats) -> Floats:
    """Return new pulses in each sample from a running count, or from a level that rises once a pulse.

    Parameters
    ----------
    readings : float array, shape (n,)
        A count that only grows (a fall is a restart), or a level with two states.

    Returns
    -------
    float array, shape (n,)

    Examples
    --------
    >>> import numpy as np
    >>> pulses_each_sample(np.array([4.0, 4.0, 5.0, 7.0]))
    array([0., 0., 1., 2.])
    >>> pulses_each_sample(np.array([0.0, 1.0, 1.0, 0.0, 1.0]))
    array([0., 1., 0., 0., 1.])
    """
    step = np.diff(readings, prepend=readings[:1])
    if np.count_nonzero(step < 0) * 4 > np.count_nonzero(step > 0):  # falls about as often: a level
        high = readings > (np.min(readings) + np.max(readings)) / 2
        return np.diff(high.astype(np.int8), prepend=high[:1].astype(np.int8)).clip(0).astype(float)
    return np.maximum(step, 0.0)


def metres_each_sample(lat_deg: Floats, lon_deg: Floats) -> Floats:
    """Return the distance ridden in each sample by the haversine formula, m, shape (n,).

    Parameters
    ----------
    lat_deg, lon_deg : float arrays, shape (n,)
        Degrees, north and east positive.

    Notes
    -----
    ``2 R asin(sqrt(sin^2(dlat/2) + cos(lat1) cos(lat2) sin^2(dlon/2)))`` on a sphere [Sinnott1984].
    """
    lat, lon = np.radians(lat_deg), np.radians(lon_deg)
    half_lat = np.diff(lat, prepend=lat[:1]) / 2
    half_lon = np.diff(lon, prepend=lon[:1]) / 2
    before = np.concatenate([lat[:1], lat[:-1]])
    root = np.sin(half_lat) ** 2 + np.cos(before) * np.cos(lat) * np.sin(half_lon) ** 2
    return np.asarray(2 * EARTH_RADIUS_M * np.arcsin(np.sqrt(root.clip(0.0, 1.0))), dtype=float)


def _not_across_gaps(each_sample: Floats, segments: tuple[tuple[int, int], ...]) -> Floats:
    """Return what each sample adds, with nothing at a segment's first: that was ridden in the gap before it."""
    kept = each_sample.copy()
    kept[[start for start, _ in segments]] = 0.0
    return kept


def ground_speed(
    sensor: GroundSensor, column: Column, rate_hz: float, segments: tuple[tuple[int, int], ...]
) -> GroundSpeed:
    """Return ground speed from whichever sensor the bike carries.

    Parameters
    ----------
    sensor : GroundSpeedSensor, WheelPulseSensor, DistanceSensor or PositionFixSensor
    column : callable
        Gives a column's readings on the even clock, shape (n,).
    rate_hz : float
    segments : tuple of (start, stop)
        Gap-free stretches; what a counting sensor adds in a gap is no speed.

    Returns
    -------
    GroundSpeed
        m/s; for counting sensors the speed comes in single samples and only its means are meant.
    """
    if isinstance(sensor, GroundSpeedSensor):
        factor = 1.0 if sensor.unit == "m/s" else 1 / 3.6
        return GroundSpeed(speed_m_s=column(sensor.column) * factor, source="ground_speed")
    if isinstance(sensor, WheelPulseSensor):
        metres = sensor.wheel_circumference_mm / 1000 / sensor.pulses_per_turn
        ridden = pulses_each_sample(column(sensor.column)) * metres
        return GroundSpeed(speed_m_s=_not_across_gaps(ridden, segments) * rate_hz, source="wheel_pulses")
    if isinstance(sensor, DistanceSensor):
        distance = column(sensor.column)
        ridden = np.diff(distance, prepend=distance[:1])
        return GroundSpeed(speed_m_s=_not_across_gaps(ridden, segments) * rate_hz, source="distance")
    ridden = metres_each_sample(column(sensor.lat), column(sensor.lon))
    return GroundSpeed(speed_m_s=_not_across_gaps(ridden, segments) * rate_hz, source="position_fix")


def lacking_share(log: Log, sensor: GroundSensor, time_s: Floats) -> float:
    """Return for which share of a ride a ground-speed sensor with rows of its own has none; 0 of any other.

    Parameters
    ----------
    log : Log
    sensor : GroundSensor
    time_s : float array, shape (n,)
        The ride's samples.
    """
    own = log.own.get(columns_of(sensor)[0])
    if own is None:
        return 0.0
    late_s = 1 / own.rate_hz
    spans = ((own.time_s[start] - late_s, own.time_s[stop - 1] + late_s) for start, stop in own.segments)
    covered = sum(int(np.diff(np.searchsorted(time_s, span))[0]) for span in spans)
    return float(1.0 - min(1.0, covered / time_s.shape[0]))


def lacking(name: str, share: float) -> Finding:
    """Return what a run is told whose ground-speed sensor has no reading for so long."""
    message = (
        f"{name}: the ground-speed sensor reads nothing for {100 * share:.0f} % of the log (limit "
        f"{100 * MOST_LACKING_SHARE:.0f} %): it is left out; check its reception, plug and card"
    )
    return Finding(code="odd_ground_speed", message=message)


def believable_speed(
    name: str, ground: GroundSpeed | None, rate_hz: float
) -> tuple[GroundSpeed | None, Sequence[Finding]]:
    """Return ground speed where a bike may have it, else None and why.

    Parameters
    ----------
    name : str
        The run's name, for messages.
    ground : GroundSpeed or None
    rate_hz : float
    """
    if ground is None:
        return None, ()
    metres = np.concatenate([[0.0], np.cumsum(np.abs(ground.speed_m_s))]) / rate_hz
    over = min(max(1, round(MEAN_OVER_S * rate_hz)), metres.shape[0] - 1)
    fastest = float((metres[over:] - metres[:-over]).max()) * rate_hz / over
    if 0 < fastest <= FASTEST_M_S:
        return ground, ()
    told = (
        f"{fastest:.4g} m/s over a second ({FASTEST_M_S:.0f} at most are believed)" if fastest else "no movement at all"
    )
    message = (
        f"{name}: the ground-speed sensor tells {told}: it is left out; check its column, unit, magnet or reception"
    )
    return None, (Finding(code="odd_ground_speed", message=message),)
