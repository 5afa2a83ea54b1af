"""Invented riding: both ends' share of full travel as smooth functions of time, from a seed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.signal import butter, sosfilt

from tests.plain.plain_signal import Array

GRID_HZ = 400


@dataclass(frozen=True, kw_only=True)
class MadeRide:
    """One invented ride: how long, how quick, how rough, and what happens at which second."""

    seconds: float
    speed_m_s: float
    wheelbase_mm: float
    sag: tuple[float, float]
    roughness: float
    flights_s: tuple[float, ...]
    drops_s: tuple[float, ...]
    stops_s: tuple[float, ...]
    carries_s: tuple[float, ...]


def made_ride(rng: np.random.Generator, wheelbase_mm: float) -> MadeRide:
    """Draw a ride: two stands, and between them flights, drops, perhaps a stop, perhaps the bike carried."""
    seconds = float(rng.uniform(26, 46))
    places = rng.permutation(np.arange(5.0, seconds - 9.0, 4.6))
    flights, drops = int(rng.integers(0, 3)), int(rng.integers(0, 4))
    stop = int(rng.random() < 0.25)
    carry = int(rng.random() < 0.15)
    cuts = np.cumsum([flights, drops, stop, carry])
    return MadeRide(
        seconds=seconds,
        speed_m_s=float(rng.uniform(3.5, 11)),
        wheelbase_mm=wheelbase_mm,
        sag=(float(rng.uniform(0.2, 0.32)), float(rng.uniform(0.24, 0.36))),
        roughness=float(rng.uniform(0.6, 1.3)),
        flights_s=tuple(places[: cuts[0]]),
        drops_s=tuple(places[cuts[0] : cuts[1]]),
        stops_s=tuple(places[cuts[1] : cuts[2]]),
        carries_s=tuple(places[cuts[2] : cuts[3]]),
    )


def band_noise(rng: np.random.Generator, count: int, low_hz: float, high_hz: float) -> Array:
    """Return noise between two frequencies, of standard deviation 1."""
    noise = sosfilt(butter(2, (low_hz, high_hz), "bandpass", fs=GRID_HZ, output="sos"), rng.normal(size=count))
    return np.asarray(noise / np.std(noise))


def ramp(x: Array) -> Array:
    """Return 0 before 0, 1 after 1, and half a cosine in between."""
    return 0.5 - 0.5 * np.cos(np.pi * np.clip(x, 0.0, 1.0))


def plateau(t: Array, start_s: float, end_s: float, edge_s: float) -> Array:
    """Return 1 between start and end, with smooth edges outside."""
    return ramp((t - start_s + edge_s) / edge_s) * ramp((end_s + edge_s - t) / edge_s)


def pulse(t: Array, start_s: float, up_s: float, down_s: float) -> Array:
    """Return a push of height 1: up within `up_s`, back within `down_s`."""
    return ramp((t - start_s) / up_s) * ramp((start_s + up_s + down_s - t) / down_s)


def one_end(rng: np.random.Generator, ride: MadeRide, road: Array, t: Array, number: int) -> Array:
    """Return one end's share of travel on the grid, before anything clips it."""
    x = 0.075 * band_noise(rng, len(t), 0.4, 3.0) + 0.018 * road + 0.008 * band_noise(rng, len(t), 5.0, 18.0)
    for start in rng.uniform(4, ride.seconds - 5, size=round(0.6 * ride.seconds)):
        x += rng.uniform(0.08, 0.45) * pulse(t, start, rng.uniform(0.04, 0.14), rng.uniform(0.08, 0.3))
    x *= ride.roughness * plateau(t, 3.2, ride.seconds - 3.6, 0.4)
    for start in ride.stops_s:
        x *= 1 - plateau(t, start, start + 3.2, 0.4)
    x += ride.sag[number]
    for start in (*ride.drops_s, *(start + 1.0 for start in ride.flights_s)):
        height = rng.uniform(0.8, 1.3)
        x += (height - x) * pulse(t, start + 0.05 * number, rng.uniform(0.05, 0.16), rng.uniform(0.12, 0.3))
    for start in ride.flights_s:
        x *= 1 - plateau(t, start, start + rng.uniform(0.2, 0.7), 0.09)
    for start in ride.carries_s:
        x *= 1 - plateau(t, start, start + 3.9, 0.15)
    return x


def made_shares(rng: np.random.Generator, ride: MadeRide) -> tuple[CubicSpline, CubicSpline]:
    """Return the front's and the rear's share of full travel, 0 to 1, as functions of seconds."""
    t = np.arange(0, ride.seconds + 0.5, 1 / GRID_HZ)
    lag = ride.wheelbase_mm / 1000 / ride.speed_m_s
    road = band_noise(rng, len(t), 6.0, 20.0)
    later = np.interp(t - lag, t, road)
    ends = [one_end(rng, ride, ground, t, number) for number, ground in enumerate((road, later))]
    front, rear = (CubicSpline(t, np.clip(x, 0.0, 1.0)) for x in ends)
    return front, rear
