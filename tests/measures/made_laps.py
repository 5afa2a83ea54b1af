"""The same simulated trail ridden several times, each time at a pace of its own along it, with the true place known."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.ndimage import gaussian_filter1d

from telemetry.conditioning import RideRecipe
from telemetry.dynamics.half_car import ride
from telemetry.measures import RunMotion, find_motion
from telemetry.model.ride import GroundSpeed
from telemetry.pipeline.rides import clean
from telemetry.simulation.obstacles import BrakingBumps, Bump, Drop
from telemetry.simulation.road import GEOMETRIC_MEAN_M3
from telemetry.simulation.scenario_parts import RATE_HZ
from telemetry.simulation.trail import Stretch, Trail, profile, wheel_path
from tests.measures.made_pushes import scenario_of
from tests.measures.made_rides import made_log, recipe

LOG_HZ = 250.0
PACE_SD, PACE_M = 0.12, 25.0
"""How much and over what length a rider's pace varies from run to run: a guess, no source."""


@dataclass(frozen=True, kw_only=True)
class Lap:
    """One run and the place on the trail at each of its samples, m."""

    motion: RunMotion
    place_m: np.ndarray


def made_trail(seed: int, length_m: float = 500.0) -> Trail:
    """Return an invented trail of stretches of 20 to 70 m, smooth and rough."""
    rng = np.random.default_rng([seed, 3])
    stretches = []
    while length_m > 0:
        length = float(rng.uniform(20.0, 70.0))
        obstacles = (
            (),
            (BrakingBumps(at_m=4.0, height_m=0.05, wavelength_m=1.2, count=10),),
            (Bump(at_m=length / 2, height_m=0.1, length_m=0.5),),
            (Drop(at_m=length / 2, height_m=0.3),),
        )
        rough = GEOMETRIC_MEAN_M3[str(rng.choice(["B", "C", "D", "D", "E"]))]
        stretches.append(
            Stretch(
                length_m=length,
                speed_m_s=float(rng.uniform(4.0, 8.0)),
                level_m3=rough,
                obstacles=obstacles[int(rng.integers(4))],
            )
        )
        length_m -= length
    return Trail(stretches=tuple(stretches), seed=seed)


def lap(trail: Trail, seed: int, *, scenario: str = "lower_leg_oil", setup: int = 0, with_speed: bool = False) -> Lap:
    """Ride the trail once.

    Parameters
    ----------
    trail : Trail
    seed : int
        Of the line and the pace.
    scenario : str
        The sample day whose bike is ridden.
    setup : int
        Which of its setups.
    with_speed : bool
        Whether ground speed is logged.
    """
    line_rng, pace_rng, noise_rng = np.random.default_rng([seed, 4]).spawn(3)
    ground = profile(trail, line_rng=line_rng, line_share=0.05)
    drawn = gaussian_filter1d(pace_rng.standard_normal(ground.height_m.shape[0]), PACE_M / ground.step_m)
    speed = ground.speed_m_s * np.exp(PACE_SD * drawn / drawn.std() + 0.03 * pace_rng.standard_normal())
    seconds = np.concatenate([[0.0], np.cumsum(ground.step_m / speed[:-1])])
    bike = list(scenario_of(scenario).setups.values())[setup].bike
    time_s = np.arange(int(seconds[-1] * RATE_HZ)) / RATE_HZ
    at_m = np.interp(time_s, seconds, ground.distance_m)
    front, rear = (wheel_path(ground.height_m, ground.step_m, radius) for radius in bike.wheel_radius_m)
    roads = np.column_stack(
        [
            np.interp(at_m, ground.distance_m, front),
            np.interp(at_m - bike.frame.wheelbase_m, ground.distance_m, rear),
        ]
    )
    moved = ride(bike.riding(), roads - roads[0], RATE_HZ)
    every = round(RATE_HZ / LOG_HZ)
    columns = {
        end: 1e3 * travel[::every] + 0.1 * noise_rng.standard_normal(travel[::every].shape[0])
        for end, travel in (("front", moved.front_m), ("rear", moved.rear_m))
    }
    plan = RideRecipe(name=f"lap {seed}", setup="a", ends=(recipe("front"), recipe("rear")), cutoff_hz=60.0)
    made = clean(made_log(columns, LOG_HZ), plan)
    place = at_m[::every]
    if with_speed:
        logged = np.interp(place, ground.distance_m, speed)
        made = replace(made, ground_speed=GroundSpeed(speed_m_s=logged, source="ground_speed"))
    return Lap(motion=find_motion(made), place_m=place)
