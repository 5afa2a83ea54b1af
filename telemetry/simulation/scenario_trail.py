"""The trail of a scenario out of its tables, and what of an obstacle doesn't fit, in the scenario's own keys."""

from __future__ import annotations

from collections.abc import Iterator

from telemetry.errors import Problem
from telemetry.toml_tables import made

from . import scenario_tables as t
from .obstacles import BrakingBumps, Bump, Drop, Jump, Kerb, Obstacle
from .road import GEOMETRIC_MEAN_M3
from .trail import Stretch, Trail

MM = 1e-3
BEVEL_MM, FACE_MM = 20.0, 50.0
"""Where the scenario doesn't say: a kerb's bevel, a drop's face."""
KEYS_BY_KIND = {
    "bump": ("length_mm",),
    "kerb": ("length_mm",),
    "drop": ("length_mm",),
    "braking_bumps": ("wavelength_m", "count"),
    "jump": ("ramp_m", "gap_m", "landing_m"),
}
NEEDED = {"bump": ("length_mm",), "braking_bumps": ("wavelength_m", "count"), "jump": ("ramp_m", "gap_m", "landing_m")}
UPRIGHT = {"drop": "how far down", "jump": "the lip's height", "braking_bumps": "from trough to crest"}


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
    if item.kind == "jump":
        return made(Jump, item, at_m=at_m, lip_m=item.height_mm * MM)
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


def trail_of(table: t.TrailTable) -> tuple[Trail, list[Problem]]:
    """Return the trail of a scenario, and what of its obstacles doesn't fit; those are left out.

    Parameters
    ----------
    table : TrailTable
    """
    problems: list[Problem] = []
    stretches = [
        _stretch(item, f"trail.stretches[{number}]", problems) for number, item in enumerate(table.stretches, 1)
    ]
    return Trail(stretches=tuple(stretches), seed=table.seed), problems
