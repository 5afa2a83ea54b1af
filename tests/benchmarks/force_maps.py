"""Restoring-force maps of simulated days on natural trails beside the forces they were simulated with.

    python -m tests.benchmarks.force_maps                # three days of two setups
    python -m tests.benchmarks.force_maps 1 2 3 4 --rate 200 --up 0.3 --bike heavy

A day: two runs as it came, two with front damping a quarter lighter. Prints a line a day and end: likeness and
steepness of the spring, slopes of the damper each way below and above 0.3 m/s (0.12 at a shaft) over the true ones,
points of the bands that hold the truth, and what the lighter damper comes out as (front: 0.75 but for friction; rear:
1). Judges nothing.
"""

from __future__ import annotations

import argparse
import time
from typing import TypeAlias

import numpy as np

from telemetry.measures.force import bodies_seen, common_rider, force_maps
from telemetry.model.finding import ENDS, End
from telemetry.model.force import TOLD_SPEEDS_M_S, ForceMap
from tests.measures.force.natural_force import NaturalRide, natural_force

KNEES = {"front": 0.3, "rear": 0.12}
TRAIL: dict[str, object] = {"natural": {"length_m": 1300, "speed_m_s": 8.5}}
BIKES: dict[str, dict[str, object]] = {
    "light": {},
    "stiff rider": {"rider": {"moving_kg": 80, "legs_n_m": 9000, "legs_n_s_m": 1100}},
    "heavy": {
        "bike": {
            "frame_kg": 60,
            "pitch_inertia_kg_m2": 12,
            "front": {"air_pressure_bar": 8.5, "compression_below_n_s_m": 800, "rebound_below_n_s_m": 1500},
            "rear": {"spring_rate_n_mm": 130},
        }
    },
}
Mapped: TypeAlias = tuple[str, NaturalRide, ForceMap]


def slope(at: np.ndarray, force: np.ndarray, low: float, high: float) -> float:
    """Return the slope between two speeds; nan where fewer than two points were told there."""
    inside = (at >= low - 1e-9) & (at <= high + 1e-9)
    return float(np.polyfit(at[inside], force[inside], 1)[0]) if inside.sum() > 1 else np.nan


def day(seed: int, change: dict[str, object], rate_hz: float, up_m: float) -> tuple[list[Mapped], float]:
    """Return the maps of a day's four runs, and the processor's seconds they took."""
    lighter = {"setups": {"a": {"front": {"viscosity_share": 0.75}}}}
    rides = [
        ("ab"[line % 2], natural_force(seed, line, change={"trail": TRAIL} | change | part, rate_hz=rate_hz, up_m=up_m))
        for line, part in enumerate(({}, lighter, {}, lighter))
    ]
    start = time.process_time()
    rider = common_rider([one for _, ride in rides for one in bodies_seen(ride.run, ride.smoothing)])
    maps = [(setup, ride, found) for setup, ride in rides for found in force_maps(ride.run, ride.smoothing, rider)]
    took = time.process_time() - start
    for setup, _, found in maps:
        if not isinstance(found, ForceMap):
            print(f"  {setup} {found.end}: refused, {found.reason}")
    return [(setup, ride, found) for setup, ride, found in maps if isinstance(found, ForceMap)], took


def ratios(maps: list[Mapped]) -> str:
    """Return what the second setup's damper comes out as beside the first's, and as what in truth."""
    words = []
    for at in TOLD_SPEEDS_M_S:
        told = {setup: [f.damper.value_at(at) for name, _, f in maps if name == setup] for setup in "ab"}
        sound = {setup: [value for value in values if value is not None] for setup, values in told.items()}
        if all(sound.values()):
            true = {name: ride.true_damper(f.end, np.array([at]))[0] for name, ride, f in maps}
            words.append(f"{at:+.1f}: {np.mean(sound['b']) / np.mean(sound['a']):.2f} ({true['b'] / true['a']:.2f})")
    return ", ".join(words)


def of_end(end: End, maps: list[Mapped]) -> str:
    """Return the line of one end."""
    like, steep, slopes, held = [], [], [], []
    for _, ride, found in maps:
        spring, damper = found.spring, found.damper
        true = ride.true_spring(end, spring.at)
        like.append(np.corrcoef(true, spring.per_kg)[0, 1])
        steep.append(np.polyfit(true, spring.per_kg, 1)[0])
        real, knee = ride.true_damper(end, damper.at), KNEES[end]
        for low, high in ((-5, -1.2 * knee), (-knee, -0.05), (0.05, knee), (1.2 * knee, 5)):
            slopes.append(slope(damper.at, damper.per_kg, low, high) / slope(damper.at, real, low, high))
        held.append(ride.held(found))
    ways = np.reshape(slopes, (-1, 4))
    shares = [100 * np.concatenate(part).mean() for part in zip(*held, strict=True)]
    return (
        f"  {end:5} spring r {min(like):.3f}, steepness {np.mean(steep):.2f}; damper slopes "
        f"{' '.join(f'{value:.2f}' for value in np.nanmean(ways, axis=0))}; held: spring {shares[0]:.0f} %, damper "
        f"{shares[1]:.0f} %; lighter: {ratios(maps)}"
    )


def main() -> None:
    """Print the figures of the days asked for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("seeds", nargs="*", type=int, default=[1, 2, 3])
    parser.add_argument("--bike", choices=BIKES, default="light")
    parser.add_argument("--rate", type=float, default=500.0, help="rows a second: 200, 500 or 1000")
    parser.add_argument("--up", type=float, default=0.0, help="m, sensors over the frame's centre of mass")
    asked = parser.parse_args()
    for seed in asked.seeds:
        maps, took = day(seed, BIKES[asked.bike], asked.rate, asked.up)
        print(
            f"trail {seed}, {asked.bike}, {asked.rate:g} rows a second: {took:.1f} s for {len(maps)} maps", flush=True
        )
        for end in ENDS:
            own = [one for one in maps if one[2].end == end]
            if own:
                print(of_end(end, own), flush=True)


if __name__ == "__main__":
    main()
