"""Rides whose forces are known: simulated motion as travel and chassis acceleration, noisy, through the low-pass."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from telemetry.conditioning.smoothing import lowpass
from telemetry.conditioning.speed import derivative
from telemetry.dynamics.car import GRAVITY_M_S2, Bike, EndTables, Frame, RiderBody, Wheel
from telemetry.dynamics.half_car import Motion, axle_loads_n, ride
from telemetry.measures.force import Smoothing
from telemetry.measures.view import RunMotion
from telemetry.mechanics.damper import Damper, DamperSide
from telemetry.mechanics.friction import friction_n
from telemetry.model.finding import ENDS, End
from telemetry.model.inertial import Attitude, InertialSignal, Mounting, On
from telemetry.model.motion import Pushes
from telemetry.model.ride import EndSignal
from telemetry.simulation.road import rough_road
from telemetry.simulation.trail import wheel_path
from tests.measures.bare_rides import bare_end, bare_ride, riding_time
from tests.simulation.made_bike import FRAME, NOBODY

STEP_HZ, RATE_HZ, CUTOFF_HZ = 4000.0, 500.0, 60.0
FULL_MM = 170.0
WIDER = 2.5
TRAVEL_NOISE_MM, ACCELERATION_NOISE_M_S2 = 0.05, 0.15
RIDER = RiderBody(
    mass_kg=66.0,
    legs_share=0.78,
    legs_n_m=6000.0,
    legs_n_s_m=750.0,
    arms_n_m=1500.0,
    arms_n_s_m=250.0,
    pedals_ahead_m=-0.06,
    hands_ahead_m=0.42,
)
"""As the scenario's rider stands by default."""
PITCHING = replace(FRAME, pitch_inertia_kg_m2=22.0)
"""Less inertia than m a b: what one end does lifts the frame above the other."""
LIGHT = Frame(mass_kg=22.0, pitch_inertia_kg_m2=7.0, front_ahead_m=0.72, rear_behind_m=0.51)


def rising(front: bool, *, spring: float = 1.0, damper: float = 1.0) -> EndTables:
    """Return an end whose spring rises as air's does, with a knee in its damper, friction, a bumper and a top-out."""
    travel = np.arange(-0.02, 0.19, 5e-5)
    full = FULL_MM * 1e-3
    share = np.clip(travel / full, -0.1, 1.1)
    elastic = 120 + spring * 1500 * share + spring * 900 * share**3
    elastic = elastic + 9e4 * np.maximum(travel - 0.94 * full, 0) + 8e4 * np.minimum(travel - 0.004, 0)
    ratio = np.ones(travel.shape) if front else 2.9 - 0.5 * share
    lines = [420, 0.35, 170, 720, 0.45, 330] if front else [3600, 0.13, 1500, 7000, 0.17, 3200]
    slopes = np.array(lines, dtype=float)
    slopes[[0, 2, 3, 5]] *= damper
    return EndTables(
        first_m=-0.02,
        step_m=5e-5,
        force_n=elastic,
        ratio=ratio,
        end_factor=np.ones(travel.shape),
        damper=slopes,
        friction_n=25.0 if front else 60.0,
        friction_band_m_s=0.01 if front else 0.005,
        vertical=0.9 if front else 1.0,
    )


def bike(frame: Frame, rider: RiderBody = NOBODY, *, spring: float = 1.0, damper: float = 1.0) -> Bike:
    """Return a bike of two rising ends, their springs and dampers so many times as strong."""
    return Bike(
        frame=frame,
        rider=rider,
        front_wheel=Wheel(mass_kg=3.5, tyre_n_m=95e3, tyre_n_s_m=300.0),
        rear_wheel=Wheel(mass_kg=4.5, tyre_n_m=110e3, tyre_n_s_m=300.0),
        front=rising(True, spring=spring, damper=damper),
        rear=rising(False, spring=spring, damper=damper),
    )


def rough_ground(seed: int, seconds: float, wheelbase_m: float, *, sharp: bool = False) -> np.ndarray:
    """Return heights under both wheels: a rough road with bumps and dips as on a trail, or with half sines of 60 mm."""
    speed_m_s = 7.0
    rng = np.random.default_rng(seed)
    step = 0.01
    height = rough_road(rng, seconds * speed_m_s + 2, step, level_m3=500e-6, waviness=2.3)
    along = np.arange(height.shape[0]) * step
    for centre in rng.uniform(20, along[-1] - 5, int(along[-1] / 14)):
        length = rng.uniform(0.5, 3.0)
        inside = np.abs(along - centre) < length / 2
        tall = rng.uniform(0.02, 0.06) * min(3.0, length / 0.5) * rng.choice([1, 1, -1])
        if sharp:
            inside = np.abs(along - centre) < 0.15
            height[inside] += 0.06 * np.cos(np.pi * (along[inside] - centre) / 0.3)
            continue
        height[inside] += tall * np.cos(np.pi * (along[inside] - centre) / length) ** 2
    rolled = wheel_path(height * np.clip(along / 20, 0, 1), step, 0.37)
    at = np.arange(int(seconds * STEP_HZ)) / STEP_HZ * speed_m_s
    return np.column_stack([np.interp(at, along, rolled), np.interp(np.maximum(at - wheelbase_m, 0), along, rolled)])


def _sensed(on: On, end: End, upward: np.ndarray, pitch: np.ndarray, rng: np.random.Generator) -> InertialSignal:
    """Return a chassis sensor above one end: specific force in the bike's axes and pitch rate; `pitch` nose down."""
    force = np.column_stack([-GRAVITY_M_S2 * np.sin(pitch), np.zeros(pitch.shape), upward * np.cos(pitch)])
    noisy = force + rng.normal(0, ACCELERATION_NOISE_M_S2, force.shape)
    rotation = np.zeros((pitch.shape[0], 3))
    rotation[:, 1] = np.gradient(pitch) * RATE_HZ + rng.normal(0, 0.002, pitch.shape)
    return InertialSignal(
        sensor=f"{end}_{on}",
        end=end,
        on=on,
        specific_force_m_s2=noisy,
        rotation_rad_s=rotation,
        mounting=Mounting(to_bike=np.eye(3), residual_deg=0.0, heading_known=True, found_from="made"),
        attitude=Attitude(
            pitch_rad=pitch,
            roll_rad=np.zeros(pitch.shape),
            within_deg=0.5,
            upward_m_s2=noisy[:, 2] - GRAVITY_M_S2,
            forward_m_s2=np.zeros(pitch.shape),
        ),
        noise_m_s2=ACCELERATION_NOISE_M_S2,
        saturated=np.zeros(pitch.shape, dtype=bool),
    )


def _end(end: End, tables: EndTables, travel_m: np.ndarray, rng: np.random.Generator) -> EndSignal:
    noisy = 1e3 * travel_m + rng.normal(0, TRAVEL_NOISE_MM, travel_m.shape)
    travel = lowpass(noisy, RATE_HZ, CUTOFF_HZ)
    signal = bare_end(end, travel, full_mm=FULL_MM, speed_mm_s=derivative(travel, RATE_HZ))
    grid = 1e3 * (tables.first_m + tables.step_m * np.arange(tables.ratio.shape[0]))
    return replace(signal, cleaned_mm=noisy, shaft_ratio=(grid, tables.ratio))


def ridden(made: Bike, seed: int, *, seconds: float = 240.0, lag_s: float = 0.0, sharp: bool = False) -> RunMotion:
    """Return a run of a bike over rough ground with a chassis sensor above each end, `lag_s` late."""
    motion: Motion = ride(made, rough_ground(seed, seconds, made.frame.wheelbase_m, sharp=sharp), STEP_HZ)
    rng = np.random.default_rng(seed + 1000)
    every, late = round(STEP_HZ / RATE_HZ), round(lag_s * STEP_HZ)
    heave = np.gradient(np.gradient(motion.heave_m)) * STEP_HZ**2 + GRAVITY_M_S2
    turning = np.gradient(np.gradient(motion.pitch_rad)) * STEP_HZ**2
    places = {"front": made.frame.front_ahead_m, "rear": -made.frame.rear_behind_m}

    def read(signal: np.ndarray) -> np.ndarray:
        return np.asarray(np.roll(signal, late)[::every])

    pitch = read(-motion.pitch_rad)
    signals = {
        (end, "chassis"): _sensed("chassis", end, read(heave + places[end] * turning), pitch, rng) for end in ENDS
    }
    ends = (
        _end("front", made.front, motion.front_m[::every], rng),
        _end("rear", made.rear, motion.rear_m[::every], rng),
    )
    whole = bare_ride(*ends, rate_hz=RATE_HZ)
    count = pitch.shape[0]
    riding = np.arange(count) > 3 * RATE_HZ
    return RunMotion(
        ride=replace(whole, inertial=signals),
        time=riding_time(riding, RATE_HZ),
        pushes=Pushes(),
        ends={},
    )


def _wide(signal: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    travel = lowpass(signal, RATE_HZ, WIDER * CUTOFF_HZ)
    return travel, derivative(travel, RATE_HZ)


smooth = Smoothing(low=lambda signal: lowpass(signal, RATE_HZ, CUTOFF_HZ), wide=_wide)


def true_spring(made: Bike, end: End, travel_mm: np.ndarray) -> np.ndarray:
    """Return N per kg carried, upward at the wheel, without damper and friction."""
    tables = made.front if end == "front" else made.rear
    carried = axle_loads_n(made)[ENDS.index(end)] / GRAVITY_M_S2
    grid = 1e3 * (tables.first_m + tables.step_m * np.arange(tables.force_n.shape[0]))
    return np.interp(travel_mm, grid, tables.force_n) / tables.vertical / carried


def true_damper(made: Bike, end: End, speed_m_s: np.ndarray) -> np.ndarray:
    """Return N per kg carried, at the shaft, upward, friction included: two straight lines each way, rounded."""
    tables = made.front if end == "front" else made.rear
    carried = axle_loads_n(made)[ENDS.index(end)] / GRAVITY_M_S2
    sides = [
        DamperSide(slope_below_n_s_m=below, knee_m_s=knee, slope_above_n_s_m=above)
        for below, knee, above in (tables.damper[:3], tables.damper[3:])
    ]
    force = Damper(compression=sides[0], rebound=sides[1]).force_n(speed_m_s)
    force = force + friction_n(speed_m_s, tables.friction_n, tables.friction_band_m_s)
    return force / tables.vertical / carried


def true_friction(made: Bike, end: End) -> float:
    """Return Coulomb friction at the shaft, N per kg carried, upward."""
    tables = made.front if end == "front" else made.rear
    return tables.friction_n / tables.vertical / (axle_loads_n(made)[ENDS.index(end)] / GRAVITY_M_S2)
