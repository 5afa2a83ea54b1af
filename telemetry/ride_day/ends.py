"""One end under one setup: what is inherited, what replaces it, and its full travel."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

from telemetry.mechanics.leverage import curve_of
from telemetry.model.day import EndSetup, LeverageTable
from telemetry.model.finding import End

from . import tables as t
from .curves import Curves
from .problems import Problems
from .settings import read_setting

LEVERAGE_KEYS = ("leverage", "ratio", "linkage")
AGREE_SHARE = 0.01
EXCLUSIVE = (
    (("lower_leg_oil_each_ml",), ("lower_leg_oil_spring_side_ml", "lower_leg_oil_damper_side_ml")),
    (("lower_leg_volume_each_ml",), ("lower_leg_volume_spring_side_ml", "lower_leg_volume_damper_side_ml")),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """What one table states of an end: values, the words they were entered in, and where it stands."""

    values: Mapping[str, Any]
    entered: Mapping[str, str]
    path: str


@dataclass(frozen=True, slots=True)
class _Held:
    """A value in force, with its words and the path of its key."""

    value: Any
    entered: str | None
    path: str


def stated(table: t.EndTable | t.SetupBikeTable) -> dict[str, Any]:
    """Return the keys a table states, without those left out."""
    return {name: getattr(table, name) for name in type(table).model_fields if getattr(table, name) is not None}


def check_layer(layer: Layer, end: End, problems: Problems) -> None:
    """Find keys in one table that exclude each other or don't belong at this end."""
    leverages = [key for key in LEVERAGE_KEYS if key in layer.values]
    if len(leverages) > 1:
        problems.add(f"{layer.path}.{leverages[1]}", " and ".join(leverages), "one of leverage, ratio, linkage")
    if end == "front":
        for key in leverages:
            problems.add(f"{layer.path}.{key}", f"{key} at the front", "leverage, ratio and linkage at the rear only")
    for single, sides in EXCLUSIVE:
        both = [key for key in single if key in layer.values] and [key for key in sides if key in layer.values]
        if both:
            problems.add(f"{layer.path}.{both[0]}", f"{single[0]} and {both[0]}", "each leg alike, or side by side")
    for key, value in layer.values.items():
        if isinstance(value, t.AdjusterTable):
            _check_adjuster(f"{layer.path}.{key}", value, problems)


def _check_adjuster(path: str, value: t.AdjusterTable, problems: Problems) -> None:
    given = [item for item in (value.clicks_from_closed, value.turns_from_closed) if item is not None]
    if len(given) != 1:
        if problems.any_beneath(path):
            return  # what is wrong in it was told
        problems.add(path, f"{len(given)} positions", "clicks_from_closed or turns_from_closed, one of them")
    elif value.of is not None and given[0] > value.of:
        problems.add(path, f"{given[0]:g} of {value.of:g}", "a position within the adjuster's range")


def _dropped_by(layer: Mapping[str, Any], end: End) -> set[str]:
    """Return the inherited keys that a table's own keys put out of force."""
    dropped: set[str] = set()
    if end == "front" and "travel_mm" in layer:
        dropped |= {"measured_travel_mm", "bumper_touch_mm"}
    if end == "rear" and any(key in layer for key in (*LEVERAGE_KEYS, "stroke_mm")):
        dropped.add("travel_mm")
    if any(key in layer for key in LEVERAGE_KEYS):
        dropped |= set(LEVERAGE_KEYS)
    for one, other in (*EXCLUSIVE, *((b, a) for a, b in EXCLUSIVE)):
        if any(key in layer for key in one):
            dropped |= set(other)
    return dropped - set(layer)


def _with(held: Mapping[str, _Held], layer: Layer, end: End) -> dict[str, _Held]:
    """Return what is in force after one more table, whose keys win."""
    dropped = _dropped_by(layer.values, end)
    own = {key: _Held(value, layer.entered.get(key), f"{layer.path}.{key}") for key, value in layer.values.items()}
    return {key: item for key, item in held.items() if key not in dropped} | own


class EndResolver:
    """Resolves ends of setups; a table is laid over what it inherits once.

    Parameters
    ----------
    folder : Path
        The ride day's folder.
    problems : Problems
    """

    def __init__(self, folder: Path, problems: Problems) -> None:
        self._curves = Curves(folder)
        self._told = problems
        self._problems = problems
        self._merged: dict[str, Mapping[str, _Held]] = {}
        self._wrong: frozenset[str] = frozenset()

    def leave_out(self, paths: frozenset[str]) -> None:
        """Say which tables hold keys that are wrong in themselves."""
        self._wrong = paths

    def resolve(self, layers: Sequence[Layer], end: End) -> EndSetup:
        """Return one end with everything inherited resolved.

        What follows from a table with a wrong key isn't reported: it may be no mistake.
        """
        self._problems = Problems() if any(layer.path in self._wrong for layer in layers) else self._told
        held: Mapping[str, _Held] = {}
        for layer in layers:
            if layer.path not in self._merged:
                self._merged[layer.path] = _with(held, layer, end)
            held = self._merged[layer.path]
        values = {key: item.value for key, item in held.items()}
        stroke = values.get("stroke_mm")
        table = self._leverage(held, stroke) if end == "rear" else None
        full, source = self._full_travel(held, end, table)
        return EndSetup(
            end=end,
            full_travel_mm=full,
            full_travel_from=source,
            stroke_mm=stroke,
            bumper_touch_mm=self._bumper(held, full),
            leverage=table,
            settings=MappingProxyType({key: read_setting(key, item.value, item.entered) for key, item in held.items()}),
        )

    def _bumper(self, held: Mapping[str, _Held], full: float | None) -> float | None:
        item = held.get("bumper_touch_mm")
        if item is None:
            return None
        if full is not None and item.value >= full:
            self._problems.add(item.path, f"{item.value:g} mm", f"less than full travel, {full:.1f} mm")
        return float(item.value)

    def _leverage(self, held: Mapping[str, _Held], stroke: float | None) -> LeverageTable | None:
        key = next((key for key in LEVERAGE_KEYS if key in held), None)
        if key is None:
            return None
        item = held[key]
        if key == "leverage":
            return self._curves.of_file(str(item.value), item.path, self._problems)
        if stroke is None:
            self._problems.add(item.path, f"{key} without stroke_mm", "the shock's stroke_mm beside it")
            return None
        if key == "ratio":
            ratio = float(item.value)
            return LeverageTable(stroke_mm=(0.0, stroke), travel_mm=(0.0, ratio * stroke), source=f"ratio = {ratio:g}")
        return self._curves.of_linkage(item.value, stroke, item.path, self._problems)

    def _full_travel(
        self, held: Mapping[str, _Held], end: End, table: LeverageTable | None
    ) -> tuple[float | None, str]:
        if end == "front":
            key = next((key for key in ("measured_travel_mm", "travel_mm") if key in held), None)
            return (float(held[key].value), key) if key else (None, "")
        stroke = held.get("stroke_mm")
        travel = held.get("travel_mm")
        if table is None or stroke is None:
            return (float(travel.value), "travel_mm") if travel else (None, "")
        stroke_mm = float(stroke.value)
        full = float(curve_of(table).travel_mm(np.array([stroke_mm]))[0])
        if travel is not None and abs(travel.value - full) > AGREE_SHARE * full:
            self._problems.add(
                travel.path,
                f"{travel.value:g} mm",
                f"within 1 % of {full:.1f} mm, what {table.source} gives at {stroke_mm:g} mm of stroke",
            )
        source = next(key for key in LEVERAGE_KEYS if key in held)
        return full, source
