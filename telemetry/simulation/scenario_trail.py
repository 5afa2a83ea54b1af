"""The trail of a scenario out of its tables, and what of an obstacle doesn't fit, in the scenario's own keys."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from telemetry.errors import Problem
from telemetry.toml_tables import made

from . import scenario_tables as t
from .natural import NaturalPlan, natural_trail
from .obstacles import BrakingBumps, Bump, Drop, Jump, Kerb, Obstacle, Tabletop
from .pace import STEP_M
from .road import GEOMETRIC_MEAN_M3
from .trail import Stretch, Trail

MM = 1e-3
SHORTEST_RUN_S, LONGEST_RUN_S = 5.0, 900.0
BEVEL_MM, FACE_MM = 20.0, 50.0
"""Where the scenario doesn't say: a kerb's bevel, a drop's face."""
KEYS_BY_KIND = {
    "bump": ("length_mm",),
    "kerb": ("length_mm",),
    "drop": ("length_mm",),
    "braking_bumps": ("wavelength_m", "count"),
    "jump": ("ramp_m", "gap_m", "landing_m"),
    "tabletop": ("ramp_m", "gap_m", "landing_m"),
}
NEEDED = {kind: KEYS_BY_KIND[kind] for kind in ("bump", "braking_bumps", "jump", "tabletop")}
UPRIGHT = {
    "drop": "how far down",
    "jump": "the lip's height",
    "tabletop": "the top's height",
    "braking_bumps": "from trough to crest",
}


def _key_problems(item: t.ObstacleTable, at: str) -> Iterator[Problem]:
    own = KEYS_BY_KIND[item.kind]
    for key in sorted({key for keys in KEYS_BY_KIND.values() for key in keys} - set(own)):
        if getattr(item, key) is not None:
            expected = f"keys of a {item.kind}: {', '.join(own)}"
            yield Problem(key=f"{at}.{key}", found=f"a {item.kind} with {key}", expected=expected)
    for key in NEEDED.get(item.kind, ()):
        if getattr(item, key) is None:
            yield Problem(key=f"{at}.{key}", found="nothing", expected=f"a value: a {item.kind} needs it")
    if item.kind in UPRIGHT and item.height_mm <= 0:
        expected = f"a {item.kind}'s height above 0 mm, {UPRIGHT[item.kind]}"
        yield Problem(key=f"{at}.height_mm", found=f"{item.height_mm:g}", expected=expected)
    if item.kind == "braking_bumps" and item.count is not None and item.count < 2:
        yield Problem(key=f"{at}.count", found=f"{item.count}", expected="2 waves or more")
    if item.times > 1 and item.every_m is None:
        found = f"nothing with times = {item.times}"
        yield Problem(key=f"{at}.every_m", found=found, expected="a value: from one to the next, m")


def _obstacle(item: t.ObstacleTable, at_m: float) -> Obstacle:
    """Return an obstacle of a table in which `_key_problems` found nothing."""
    if item.kind == "kerb":
        return made(Kerb, item, at_m=at_m, bevel_m=(item.length_mm or BEVEL_MM) * MM)
    if item.kind == "drop":
        return made(Drop, item, at_m=at_m, face_m=(item.length_mm or FACE_MM) * MM)
    if item.kind in ("jump", "tabletop"):
        return made(Jump if item.kind == "jump" else Tabletop, item, at_m=at_m, lip_m=item.height_mm * MM)
    if item.kind == "braking_bumps":
        return made(BrakingBumps, item, at_m=at_m)
    return made(Bump, item, at_m=at_m)


def _obstacles(item: t.ObstacleTable) -> tuple[Obstacle, ...]:
    return tuple(_obstacle(item, item.at_m + time * (item.every_m or 0.0)) for time in range(item.times))


def _room_problem(item: t.ObstacleTable, built: tuple[Obstacle, ...], length_m: float, at: str) -> Problem | None:
    """Return what is wrong where an obstacle, or its last repetition, ends beyond its stretch."""
    ends_m = built[-1].at_m + built[-1].length_m
    if ends_m <= length_m:
        return None
    times = "" if item.times == 1 else f", the last of {item.times},"
    found = f"a {item.kind}{times} that ends at {ends_m:g} m"
    key = "at_m" if item.times == 1 or built[0].at_m + built[0].length_m > length_m else "times"
    return Problem(key=f"{at}.{key}", found=found, expected=f"obstacles within their stretch of {length_m:g} m")


def _stretch(item: t.StretchTable, at: str, problems: list[Problem]) -> Stretch:
    obstacles: list[Obstacle] = []
    for number, table in enumerate(item.obstacles, 1):
        place = f"{at}.obstacles[{number}]"
        wrong = list(_key_problems(table, place))
        problems.extend(wrong)
        if wrong:
            continue
        built = _obstacles(table)
        no_room = _room_problem(table, built, item.length_m, place)
        if no_room is None:
            obstacles.extend(built)
        else:
            problems.append(no_room)
    return made(Stretch, item, level_m3=GEOMETRIC_MEAN_M3[item.road_class], obstacles=tuple(obstacles))


def _pair_m(pair: list[float], share: float = MM) -> tuple[float, float]:
    return pair[0] * share, pair[1] * share


def _natural(table: t.NaturalTable, seed: int) -> Trail:
    plan = made(
        NaturalPlan,
        table,
        gradient=table.gradient_percent / 100,
        turn_radius_m=_pair_m(table.turn_radius_m, 1.0),
        rocks_per_m=table.rocks_per_100_m / 100,
        rock_m=_pair_m(table.rock_mm),
        roots_per_m=table.roots_per_100_m / 100,
        root_m=_pair_m(table.root_mm),
        braking_bumps_m=table.braking_bumps_mm * MM,
        braking_bump_m=_pair_m(table.braking_bump_m, 1.0),
        dips_per_m=table.dips_per_100_m / 100,
        dip_m=_pair_m(table.dip_mm),
        drops_per_m=table.drops_per_km / 1000,
        drop_m=_pair_m(table.drop_mm),
        jumps_per_m=table.jumps_per_km / 1000,
        lip_m=_pair_m(table.lip_mm),
    )
    return natural_trail(plan, seed, table.pedal_hz)


def _too_long(trail: Trail) -> Iterator[Problem]:
    """Refuse a natural trail that is ridden in too long or too short a time."""
    lasts_s = 0.0 if trail.course is None else float(np.sum(STEP_M / trail.course.speed_m_s))
    if not SHORTEST_RUN_S <= lasts_s <= LONGEST_RUN_S:
        expected = f"{SHORTEST_RUN_S:g} to {LONGEST_RUN_S:g} s"
        yield Problem(key="trail.natural.length_m", found=f"a run of {lasts_s:.4g} s", expected=expected)


def _beyond(table: t.TrailTable, trail: Trail) -> Iterator[Problem]:
    """Refuse marks that no run would pass."""
    for number, mark in enumerate(table.marks, 1):
        if mark.at_m >= trail.length_m:
            expected = f"a place before the trail's end at {trail.length_m:g} m"
            yield Problem(key=f"trail.marks[{number}].at_m", found=f"{mark.at_m:g}", expected=expected)


def trail_of(table: t.TrailTable) -> tuple[Trail, list[Problem]]:
    """Return the trail of a scenario, and what of its obstacles and marks doesn't fit; such obstacles are left out.

    Parameters
    ----------
    table : TrailTable
    """
    problems: list[Problem] = []
    if table.natural is not None:
        trail = _natural(table.natural, table.seed)
        return trail, [*_too_long(trail), *_beyond(table, trail)]
    stretches = [
        _stretch(item, f"trail.stretches[{number}]", problems) for number, item in enumerate(table.stretches, 1)
    ]
    trail = Trail(stretches=tuple(stretches), seed=table.seed)
    return trail, [*problems, *_beyond(table, trail)]
