"""Linkages as a ride day writes them: points in millimetres or in a photograph's pixels, turned to face right."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import numpy as np

from telemetry.mechanics import photograph
from telemetry.model.linkage import KnownDistance, Linkage, Photograph, Points, Side
from telemetry.toml_problems import nearest
from telemetry.toml_tables import made

from . import tables as t
from .problems import Problems

ANY_POINT = "points of fixed or moving"


class Linkages:
    """Makes each linkage of a day once; a day's tables outlive it."""

    def __init__(self) -> None:
        self._made: dict[tuple[int, float | None, float], Linkage | None] = {}

    def of(
        self, table: t.LinkageTable, shock_mm: float | None, offset_mm: float, key: str, problems: Problems
    ) -> Linkage | None:
        """Return a table's linkage with a shock; None with problems beneath `key`.

        Parameters
        ----------
        table : LinkageTable
        shock_mm : float or None
            Its length from eye to eye, topped out, where that is stated.
        offset_mm : float
            By how much bushes bring its eyes closer.
        key : str
        problems : Problems
        """
        which = id(table), shock_mm, offset_mm
        if which not in self._made:
            found = _linkage(table, key, problems)
            fitted = None if found is None else replace(found, shock_length_mm=shock_mm, shock_offset_mm=offset_mm)
            self._made[which] = fitted
        return self._made[which]


def with_its_scale(values: Mapping[str, Any], key: str, problems: Problems) -> dict[str, Any]:
    """Return what a table states of an end, with a `scale` beside its linkage moved into it, and its picture out of it.

    Parameters
    ----------
    values : mapping
        Every key that is stated.
    key : str
        Where the table stands.
    problems : Problems
    """
    found = {name: value for name, value in values.items() if name != "scale"}
    scale, linkage = values.get("scale"), values.get("linkage")
    if scale is not None and linkage is None:
        problems.add(f"{key}.scale", "scale without linkage", "a linkage beside it, its points in the picture's pixels")
    if linkage is None:
        return found
    if scale is not None and linkage.scale is not None:
        problems.add(f"{key}.scale", "scale here and in the linkage", "one of them")
    linkage = linkage if scale is None else linkage.model_copy(update={"scale": scale})
    if linkage.photo is not None:
        found.setdefault("photo", linkage.photo)
    if "photo" in found and linkage.scale is None:
        expected = 'a known distance, written so: scale = { points = ["main", "axle"], mm = 446 }'
        problems.add(f"{key}.linkage.scale", "nothing, beside a photo", expected)
    return {**found, "linkage": linkage}


def _linkage(table: t.LinkageTable, path: str, problems: Problems) -> Linkage | None:
    """Return a linkage, or None where its points don't fit together."""
    before = problems.told
    points = {**table.fixed, **table.moving}
    for name in table.moving:
        if name in table.fixed:
            problems.add(f"{path}.moving.{name}", f"point {name!r} in fixed too", "a point either fixed or moving")
    for body, names in table.bodies.items():
        _check_names(f"{path}.bodies.{body}", names, points, problems)
    for key, pair, words in _pairs(table):
        if _check_names(f"{path}.{key}", pair, points, problems) and len(pair) != 2:
            problems.add(f"{path}.{key}", ", ".join(pair), f"two different points: {words}")
    if table.axle not in table.moving:
        problems.add(f"{path}.axle", repr(table.axle), nearest(table.axle, table.moving, "a point of moving"))
    _check_units(table, path, problems)
    if problems.told > before:
        return None
    faces = _faces(table, path, problems)
    return _in_pixels(table, faces, path, problems) if table.scale else _in_mm(table, faces)


def _scales(table: t.LinkageTable) -> list[t.ScaleTable]:
    return [table.scale] if isinstance(table.scale, t.ScaleTable) else table.scale or []


def _scale_key(table: t.LinkageTable, place: int) -> str:
    return "scale" if isinstance(table.scale, t.ScaleTable) else f"scale[{place + 1}]"


def _pairs(table: t.LinkageTable) -> Iterable[tuple[str, list[str], str]]:
    """Yield keys that hold two points, what they hold and what the points are."""
    yield "shock", table.shock, "the shock's eyes"
    if table.level is not None:
        yield "level", table.level, "that stand level on the bike"
    for place, scale in enumerate(_scales(table)):
        yield f"{_scale_key(table, place)}.points", scale.points, "whose distance was measured"


def _check_names(key: str, names: list[str], points: Mapping[str, Any], problems: Problems) -> bool:
    """Find unknown points, and fewer than two that differ; tell whether there was nothing."""
    unknown = [name for name in names if name not in points]
    if unknown:
        expected = nearest(unknown[0], points, ANY_POINT)
        problems.add(key, f"unknown point {unknown[0]!r}", expected)
        return False
    if len(set(names)) < max(2, len(names)):
        problems.add(key, ", ".join(names) or "no points", "two different points or more")
        return False
    return True


def _check_units(table: t.LinkageTable, path: str, problems: Problems) -> None:
    if table.scale is None:
        for key in ("plus_minus_px", "level"):
            if getattr(table, key) is not None:
                problems.add(f"{path}.{key}", f"{key} without scale", "scale beside it: the points are a picture's")
    elif table.plus_minus_mm is not None and table.plus_minus_px is not None:
        problems.add(f"{path}.plus_minus_px", "plus_minus_px and plus_minus_mm", "one of them")


def _faces(table: t.LinkageTable, path: str, problems: Problems) -> Side:
    """Return which way the bike faces: the rear axle is behind whatever pivots on the frame.

    What is told against the points is a problem.
    """
    used = {name for names in (*table.bodies.values(), table.shock) for name in names}
    frame = [at[0] for name, at in table.fixed.items() if name in used]
    found: Side = "left" if frame and table.moving[table.axle][0] > float(np.mean(frame)) else "right"
    if table.faces is not None and frame and table.faces != found:
        expected = (
            f"{found!r}, or points that fit: the axle lies {'right' if found == 'left' else 'left'} of the pivots"
        )
        problems.add(f"{path}.faces", repr(table.faces), expected)
    return found


def _points(table: Mapping[str, Any], sign: float = 1.0) -> Points:
    return MappingProxyType({name: (sign * float(x), float(y)) for name, (x, y) in table.items()})


def _in_mm(table: t.LinkageTable, faces: Side) -> Linkage:
    sign = 1.0 if faces == "right" else -1.0
    return made(
        Linkage, table, faces=faces, photo=None, fixed=_points(table.fixed, sign), moving=_points(table.moving, sign)
    )


def _in_pixels(table: t.LinkageTable, faces: Side, path: str, problems: Problems) -> Linkage | None:
    """Return a linkage whose points are a photograph's; None with a problem where its distances make no scale."""
    photo = Photograph(
        fixed=_points(table.fixed),
        moving=_points(table.moving),
        distances=tuple(_distance(scale) for scale in _scales(table)),
        plus_minus_px=table.plus_minus_px or photograph.PLUS_MINUS_PX,
        level=(table.level[0], table.level[1]) if table.level else None,
    )
    if table.plus_minus_mm is not None:
        photo = replace(photo, plus_minus_px=table.plus_minus_mm / photograph.mm_per_pixel(photo))
    try:
        photo = replace(photo, askew=photograph.checked_askew(photo))
    except photograph.PhotographError as error:
        problems.add(f"{path}.{_scale_key(table, error.place)}", error.found, error.expected)
        return None
    turned = photograph.turned_deg(photo)
    if turned > photograph.MOST_TURNED_DEG:
        expected = "two points that stand level on the bike, in a picture that isn't turned: column first, then row"
        problems.add(f"{path}.level", f"a line {turned:.0f}° from the picture's rows", expected)
        return None
    pixels = photograph.pixels_of(photo)[None]
    places = photograph.millimetres(photo, faces, pixels, photograph.known_mm(photo.distances))[0]
    at = {name: (float(x), float(y)) for name, (x, y) in zip(photograph.names_of(photo), places, strict=True)}
    return made(
        Linkage,
        table,
        faces=faces,
        photo=photo,
        fixed=MappingProxyType({name: at[name] for name in table.fixed}),
        moving=MappingProxyType({name: at[name] for name in table.moving}),
    )


def _distance(scale: t.ScaleTable) -> KnownDistance:
    tape = photograph.PLUS_MINUS_MM if scale.plus_minus_mm is None else scale.plus_minus_mm
    return KnownDistance(points=(scale.points[0], scale.points[1]), mm=scale.mm, plus_minus_mm=tape)
