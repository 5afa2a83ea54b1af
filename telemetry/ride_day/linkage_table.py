"""The linkage's table: its points, bodies and shock fit together."""

from __future__ import annotations

from telemetry.model.linkage import Linkage
from telemetry.toml_problems import nearest
from telemetry.toml_tables import made

from . import tables as t
from .problems import Problems


def read_linkage(table: t.LinkageTable, path: str, problems: Problems) -> Linkage | None:
    """Return a linkage, or None where its points don't fit together.

    Parameters
    ----------
    table : LinkageTable
    path : str
        Path of its key: ``"bike.rear.linkage"``.
    problems : Problems
    """
    before = problems.told
    points = {**table.fixed, **table.moving}
    for name in table.moving:
        if name in table.fixed:
            problems.add(f"{path}.moving.{name}", f"point {name!r} in fixed too", "a point either fixed or moving")
    for body, names in table.bodies.items():
        _check_body(f"{path}.bodies.{body}", names, points, problems)
    _check_shock(f"{path}.shock", table.shock, points, problems)
    if table.axle not in table.moving:
        problems.add(f"{path}.axle", repr(table.axle), nearest(table.axle, table.moving, "a point of moving"))
    if problems.told > before:
        return None
    return made(Linkage, table)


def _check_body(key: str, names: list[str], points: dict[str, list[float]], problems: Problems) -> None:
    unknown = [name for name in names if name not in points]
    if unknown:
        expected = nearest(unknown[0], points, "points of fixed or moving")
        problems.add(key, f"unknown point {unknown[0]!r}", expected)
    elif len(set(names)) < max(2, len(names)):
        problems.add(key, ", ".join(names) or "no points", "two different points or more")


def _check_shock(key: str, names: list[str], points: dict[str, list[float]], problems: Problems) -> None:
    unknown = [name for name in names if name not in points]
    if unknown:
        problems.add(key, f"unknown point {unknown[0]!r}", nearest(unknown[0], points, "points of fixed or moving"))
    elif len(names) != 2 or names[0] == names[1]:
        problems.add(key, ", ".join(names) or "no points", "two different points: the shock's eyes")
