"""Ride days without logs whose rear is a linkage, in millimetres or in the pixels of a photograph."""

from __future__ import annotations

from pathlib import Path

import numpy as np

import telemetry
from telemetry.model.bench import Bench, SetupBench
from telemetry.model.linkage import Linkage

MM_PER_PX = 0.52
HEAD = """\
[ride_day]
date = 2026-05-16
[bike]
wheelbase_mm = 1252
head_angle_deg = 64.0
[bike.front]
travel_mm = 170
"""


def pixel(at: tuple[float, float], faces: str = "right") -> tuple[float, float]:
    """Return where a point stands in a picture: rows downward, mirrored where the bike faces left."""
    x = at[0] if faces == "right" else -at[0]
    return 926 + x / MM_PER_PX, 723 - at[1] / MM_PER_PX


def table(linkage: Linkage, *more: str, where: str = "bike.rear") -> str:
    """Return a linkage as the file has it, with more lines of its table."""

    def points(held: object) -> str:
        return "{ " + ", ".join(f"{name} = [{x!r}, {y!r}]" for name, (x, y) in dict(held).items()) + " }"  # type: ignore[call-overload]

    bodies = ", ".join(f"{name} = {list(body)}" for name, body in linkage.bodies.items()).replace("'", '"')
    shock = f'["{linkage.shock[0]}", "{linkage.shock[1]}"]'
    lines = [f"[{where}.linkage]", f"fixed = {points(linkage.fixed)}", f"moving = {points(linkage.moving)}"]
    return "\n".join([*lines, f"bodies = {{ {bodies} }}", f"shock = {shock}", f'axle = "{linkage.axle}"', *more, ""])


def distance(linkage: Linkage, one: str, other: str) -> float:
    """Return how far two points are from each other, mm."""
    at = {**linkage.fixed, **linkage.moving}
    return float(np.hypot(*np.subtract(at[one], at[other])))


def pictured(linkage: Linkage, chance: np.random.Generator | None = None, faces: str = "right") -> Linkage:
    """Return a linkage's points in pixels, each read one pixel off where chance is given."""

    def of(held: object) -> dict[str, tuple[float, float]]:
        found = {name: np.array(pixel(at, faces)) for name, at in dict(held).items()}  # type: ignore[call-overload]
        off = {name: np.zeros(2) if chance is None else chance.standard_normal(2) for name in found}
        return {name: (float(x), float(y)) for name, (x, y) in ((name, found[name] + off[name]) for name in found)}

    return Linkage(
        fixed=of(linkage.fixed),
        moving=of(linkage.moving),
        bodies=linkage.bodies,
        shock=linkage.shock,
        axle=linkage.axle,
    )


def bench_of(folder: Path, text: str) -> Bench:
    """Return the bench's answer for a day's text."""
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    return telemetry.bench_of(telemetry.read_ride_day(folder))


def only(bench: Bench) -> SetupBench:
    """Return the answer of a day with one setup."""
    (found,) = bench.setups
    return found
