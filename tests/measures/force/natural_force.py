"""Rides down natural trails whose forces are known: travel and both chassis' sensors, noisy, through the low-pass."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from telemetry.conditioning.speed import derivative
from telemetry.dynamics.car import GRAVITY_M_S2
from telemetry.dynamics.half_car import axle_loads_n
from telemetry.measures.force import Smoothing
from telemetry.measures.view import RunMotion
from telemetry.mechanics.friction import friction_n
from telemetry.model.finding import ENDS, End
from telemetry.model.force import ForceMap
from telemetry.model.inertial import Attitude, InertialSignal, Mounting
from telemetry.model.motion import Pushes
from telemetry.pipeline.forces import smoothing_of
from telemetry.simulation.body import Place, felt
from telemetry.simulation.natural_ride import natural_scenario
from telemetry.simulation.runs_made import MadeRun, made_run
from tests.measures.bare_rides import bare_end, bare_ride, riding_time

CUTOFF_HZ = 60.0
LAG_S = 0.001
TRAVEL_NOISE_MM, ACCELERATION_NOISE_M_S2, ROTATION_NOISE_RAD_S = 0.05, 0.15, 0.002
PITCH_ERROR_RAD = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class NaturalRide:
    """A run as measured, how it is smoothed, and as it was made."""

    run: RunMotion
    smoothing: Smoothing
    made: MadeRun

    def true_spring(self, end: End, travel_mm: np.ndarray) -> np.ndarray:
        """Return N per kg that the end carries at rest, frame and rider, upward at the wheel."""
        tables = self._tables(end)
        grid = 1e3 * (tables.first_m + tables.step_m * np.arange(tables.force_n.shape[0]))
        return np.interp(travel_mm, grid, tables.force_n) / tables.vertical / self._carried_kg(end)

    def true_damper(self, end: End, speed_m_s: np.ndarray) -> np.ndarray:
        """Return the like at the damper's shaft, friction included."""
        tables = self._tables(end)
        force = self.made.whole.dampers[ENDS.index(end)].damper.force_n(speed_m_s)
        force = force + friction_n(speed_m_s, tables.friction_n, tables.friction_band_m_s)
        return force / tables.vertical / self._carried_kg(end)

    def held(self, found: ForceMap) -> tuple[np.ndarray, np.ndarray]:
        """Return at which points the bands of spring and damper hold the truth."""
        truths = self.true_spring(found.end, found.spring.at), self.true_damper(found.end, found.damper.at)
        spring, damper = (
            (curve.low <= true) & (true <= curve.high)
            for curve, true in zip((found.spring, found.damper), truths, strict=True)
        )
        return spring, damper

    def _tables(self, end: End):  # type: ignore[no-untyped-def]
        bike = self.made.whole.bike
        return bike.front if end == "front" else bike.rear

    def _carried_kg(self, end: End) -> float:
        return axle_loads_n(self.made.whole.bike)[ENDS.index(end)] / GRAVITY_M_S2


def _sensed(made: MadeRun, end: End, place: Place, every: int, rng: np.random.Generator) -> InertialSignal:
    body = made.signals.body
    assert body is not None
    own, late = felt(body, place), round(LAG_S * body.rate_hz)
    force, rotation = (np.roll(signal, late, axis=0)[::every] for signal in (own.force_m_s2, own.rotation_rad_s))
    pitch, roll = (np.roll(angle, late)[::every] for angle in body.attitude_rad())
    swaying = PITCH_ERROR_RAD * np.sin(2 * np.pi * 0.02 * np.arange(pitch.shape[0]) * every / body.rate_hz)
    noisy = force + rng.normal(0, ACCELERATION_NOISE_M_S2, force.shape)
    return InertialSignal(
        sensor=f"{end}_chassis",
        end=end,
        on="chassis",
        specific_force_m_s2=noisy,
        rotation_rad_s=rotation + rng.normal(0, ROTATION_NOISE_RAD_S, rotation.shape),
        mounting=Mounting(to_bike=np.eye(3), residual_deg=0.0, heading_known=True, found_from="made"),
        attitude=Attitude(
            pitch_rad=pitch + swaying,
            roll_rad=roll,
            within_deg=1.5,
            upward_m_s2=noisy[:, 2] - GRAVITY_M_S2,
            forward_m_s2=noisy[:, 0],
        ),
        noise_m_s2=ACCELERATION_NOISE_M_S2,
        saturated=np.zeros(pitch.shape, dtype=bool),
    )


def natural_force(
    seed: int,
    line: int,
    *,
    change: Mapping[str, object],
    rate_hz: float = 500.0,
    up_m: float = 0.0,
) -> NaturalRide:
    """Return one ride down the trail of a seed with a chassis sensor above each axle, or so much higher.

    Parameters
    ----------
    seed, line : int
        Of the trail, and of this run's line on it.
    change : mapping
        Keys of the scenario, as `natural_scenario` takes them.
    rate_hz : float
    up_m : float
        Height of the sensors over the frame's centre of mass.
    """
    scenario = natural_scenario(seed, change)
    setup = scenario.setups["a"]
    made = made_run(scenario, setup, np.random.default_rng(line))
    body, rng = made.signals.body, np.random.default_rng(1000 * seed + line)
    assert body is not None
    every = round(body.rate_hz / rate_hz)
    smoothing = smoothing_of(rate_hz, min(CUTOFF_HZ, 0.4 * rate_hz))
    places = {"front": body.geometry.front_ahead_m, "rear": -body.geometry.rear_behind_m}
    signals = {(end, "chassis"): _sensed(made, end, Place(ahead_m=places[end], up_m=up_m), every, rng) for end in ENDS}
    ends = []
    for end, own, travel_m, tables in (
        ("front", setup.bike.front, body.front_m, made.whole.bike.front),
        ("rear", setup.bike.rear, body.rear_m, made.whole.bike.rear),
    ):
        noisy = 1e3 * travel_m[::every]
        noisy = noisy + rng.normal(0, TRAVEL_NOISE_MM, noisy.shape)
        travel = smoothing.low(noisy)
        signal = bare_end(end, travel, full_mm=1e3 * own.full_travel_m, speed_mm_s=derivative(travel, rate_hz))
        grid = 1e3 * (tables.first_m + tables.step_m * np.arange(tables.ratio.shape[0]))
        ends.append(replace(signal, cleaned_mm=noisy, shaft_ratio=(grid, tables.ratio)))
    seconds = np.arange(ends[0].travel_mm.shape[0]) / rate_hz
    time = riding_time((seconds > made.starts_s) & (seconds < made.ends_s), rate_hz)
    flights = () if made.phases is None else made.phases.stretches["airborne"]
    begin = made.starts_s * rate_hz
    flown = tuple((round(begin + start / every), round(begin + stop / every)) for start, stop in flights)
    return NaturalRide(
        run=RunMotion(
            ride=replace(bare_ride(*ends, rate_hz=rate_hz), inertial=signals),
            time=replace(time, flights=flown),
            pushes=Pushes(),
            ends={},
        ),
        smoothing=smoothing,
        made=made,
    )
