"""One end under one setup: what is inherited, what replaces it, its full travel, and what its sensor needs."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

from telemetry.mechanics.leverage import curve_of
from telemetry.model.day import EndSetup, LeverageTable, RunEntry, Setup, StaticEntry
from telemetry.model.finding import End, Place
from telemetry.model.linkage import Linkage
from telemetry.model.sensor import DisplacementSensor, InertialSensor, Sensor
from telemetry.model.setup_keys import LEVERAGE_KEYS, OF_ENDS, SPECS

from . import tables as t
from .curves import Curves
from .linkages import Linkages
from .mechanism_stated import check_other_shock, check_shock_as_measured, travel_known_to_mm
from .paths import WrongPathError, file_inside
from .picture_file import PictureFileError, require_photograph
from .possible import check_fork, check_shock
from .problems import Problems
from .settings import read_setting
from .travel_known import check_span
from .value_kinds import Table
from .widths import KEY as WIDTHS
from .widths import WidthsStated

AGREE_SHARE = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """What one table states of an end: values, the words they were entered in, where it stands, how well it knows."""

    values: Mapping[str, Any]
    entered: Mapping[str, str]
    path: str
    plus_minus: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class _Held:
    """A value in force, with its words and the path of its key."""

    value: Any
    entered: str | None
    path: str


def stated(table: Table) -> dict[str, Any]:
    """Return the keys a table states, without those left out, nor how well they are known."""
    names = (name for name in type(table).model_fields if name != WIDTHS)
    return {name: getattr(table, name) for name in names if getattr(table, name) is not None}


def check_layer(layer: Layer, end: End, problems: Problems) -> None:
    """Find keys in one table that exclude each other or don't belong at this end."""
    leverages = [key for key in LEVERAGE_KEYS if key in layer.values]
    if len(leverages) > 1:
        problems.add(f"{layer.path}.{leverages[1]}", " and ".join(leverages), "one of leverage, ratio, linkage")
    for key, value in layer.values.items():
        if end not in SPECS[key].at:
            problems.add(f"{layer.path}.{key}", f"{key} at the {end}", f"{_others_at(SPECS[key].at)} only")
        beside = [other for other in SPECS[key].instead_of if other in layer.values]
        if beside and key.endswith("_each_ml"):
            problems.add(f"{layer.path}.{beside[0]}", f"{key} and {beside[0]}", "each leg alike, or side by side")
        if isinstance(value, t.AdjusterTable):
            _check_adjuster(f"{layer.path}.{key}", value, problems)


def _others_at(places: tuple[Place, ...]) -> str:
    keys = [spec.key for spec in OF_ENDS if spec.at == places]
    listed = " and ".join(filter(None, [", ".join(keys[:-1]), keys[-1]]))
    return f"{listed} at the {' and '.join(places)}"


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
    return dropped.union(*(SPECS[key].instead_of for key in layer)) - set(layer)


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
    widths : WidthsStated
    problems : Problems
    """

    def __init__(self, folder: Path, widths: WidthsStated, problems: Problems) -> None:
        self._folder = folder
        self._widths = widths
        self._curves = Curves(folder)
        self._linkages = Linkages()
        self._told = problems
        self._problems = problems
        self._merged: dict[str, Mapping[str, _Held]] = {}
        self._wrong: frozenset[str] = frozenset()

    def leave_out(self, paths: frozenset[str]) -> None:
        """Say which tables hold wrong keys that travel may rest on."""
        self._wrong = paths

    def resolve(self, layers: Sequence[Layer], end: End) -> EndSetup:
        """Return one end with everything inherited resolved.

        What follows from a wrong key that travel may rest on isn't reported: it may be no mistake.
        """
        self._problems = Problems() if any(layer.path in self._wrong for layer in layers) else self._told
        held: Mapping[str, _Held] = {}
        for layer in layers:
            if layer.path not in self._merged:
                self._merged[layer.path] = _with(held, layer, end)
            held = self._merged[layer.path]
        values = {key: item.value for key, item in held.items()}
        self._check_photo(held)
        widths = {key: width for layer in layers for key, width in layer.plus_minus.items()}
        self._widths.check([(layer.path, layer.plus_minus) for layer in layers], values, self._problems)
        stroke = values.get("stroke_mm")
        linkage = self._linkage(held)
        table = self._leverage(held, stroke, linkage) if end == "rear" else None
        full, source = self._full_travel(held, end, table, linkage)
        if "axle_to_crown_mm" in held:
            check_fork(held["axle_to_crown_mm"].path, held["axle_to_crown_mm"].value, full, self._problems)
        if "shock_length_mm" in held:
            check_shock(held["shock_length_mm"].path, held["shock_length_mm"].value, stroke, self._problems)
            self._check_eyes(held, linkage)
        return EndSetup(
            end=end,
            full_travel_mm=full,
            full_travel_from=source,
            stroke_mm=stroke,
            bumper_touch_mm=self._bumper(held, full),
            leverage=table,
            linkage=linkage,
            settings=MappingProxyType(
                {key: read_setting(key, item.value, item.entered, widths.get(key)) for key, item in held.items()}
            ),
        )

    def _check_eyes(self, held: Mapping[str, _Held], linkage: Linkage | None) -> None:
        """Find a shock's length that the linkage's points contradict: beside them it is that of the points' own."""
        item = held["shock_length_mm"]
        if linkage is None or self._told.is_wrong(held["linkage"].path):
            return
        alike = item.path.rpartition(".")[0] == held["linkage"].path.rpartition(".")[0]
        check = check_shock_as_measured if alike else check_other_shock
        check(item.path, float(item.value), linkage, self._problems)

    def _check_photo(self, held: Mapping[str, _Held]) -> None:
        if "photo" in held:
            try:
                require_photograph(file_inside(self._folder, str(held["photo"].value), "a picture"))
            except (WrongPathError, PictureFileError) as error:
                self._told.add(held["photo"].path, error.found, error.expected)

    def _bumper(self, held: Mapping[str, _Held], full: float | None) -> float | None:
        item = held.get("bumper_touch_mm")
        if item is None:
            return None
        if full is not None and item.value >= full:
            self._problems.add(item.path, f"{item.value:g} mm", f"less than full travel, {full:.1f} mm")
        return float(item.value)

    def _linkage(self, held: Mapping[str, _Held]) -> Linkage | None:
        """Return the linkage with the shock that is fitted."""
        item = held.get("linkage")
        if item is None:
            return None
        length, offset = (
            float(held[key].value) if key in held else None for key in ("shock_length_mm", "shock_offset_mm")
        )
        return self._linkages.of(item.value, length, offset or 0.0, item.path, self._problems)

    def _leverage(
        self, held: Mapping[str, _Held], stroke: float | None, linkage: Linkage | None
    ) -> LeverageTable | None:
        key = next((key for key in LEVERAGE_KEYS if key in held), None)
        if key is None:
            return None
        item = held[key]
        if key == "leverage":
            return self._curves.of_file(str(item.value), item.path, self._told)  # whatever else is wrong
        if stroke is None:
            self._problems.add(item.path, f"{key} without stroke_mm", "the shock's stroke_mm beside it")
            return None
        if key == "ratio":
            ratio = float(item.value)
            return LeverageTable(stroke_mm=(0.0, stroke), travel_mm=(0.0, ratio * stroke), source=f"ratio = {ratio:g}")
        if linkage is None:
            return None
        shock = next((held[key].path for key in ("shock_length_mm", "shock_offset_mm") if key in held), item.path)
        return self._curves.of_linkage(linkage, stroke, item.path, shock, self._problems)

    def _full_travel(
        self, held: Mapping[str, _Held], end: End, table: LeverageTable | None, linkage: Linkage | None
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
            known_to = 0.0 if linkage is None else travel_known_to_mm(linkage, stroke_mm)
            if abs(travel.value - full) > known_to:
                within = f"{known_to:.1f} mm" if known_to > AGREE_SHARE * full else "1 %"
                given = f"within {within} of {full:.1f} mm, what {table.source} gives at {stroke_mm:g} mm of stroke"
                self._problems.add(travel.path, f"{travel.value:g} mm", given)
        source = next(key for key in LEVERAGE_KEYS if key in held)
        return full, source


def check_measured_ends(
    setups: Mapping[str, Setup],
    entries: Sequence[RunEntry | StaticEntry],
    is_known: Callable[[str, End], bool],
    problems: Problems,
) -> None:
    """Find measured ends without full travel, stroke sensors without leverage, two sensors at one place.

    Setups that were neither ridden nor recorded count where nothing was. What an end lacks isn't reported where
    `is_known` tells that its travel may only follow from a key that is wrong.
    """
    used = [(setups[item.setup], item.sensors) for item in entries if item.setup is not None]
    used = used or [(item, item.sensors) for item in setups.values()]
    for setup, sensors in {(setup.name, id(sensors)): (setup, sensors) for setup, sensors in used}.values():
        _check_sensors(setup, sensors, is_known, problems)


def _check_sensors(
    setup: Setup, sensors: Mapping[str, Sensor], is_known: Callable[[str, End], bool], problems: Problems
) -> None:
    seen: dict[str, str] = {}
    for sensor in sensors.values():
        if isinstance(sensor, DisplacementSensor):
            _check_alone(sensor, f"at the {sensor.end}", "one displacement sensor an end", seen, problems)
            if is_known(setup.name, sensor.end):
                _check_end(setup, sensor, problems)
        elif isinstance(sensor, InertialSensor):
            expected = "one inertial sensor on each chassis and wheel"
            _check_alone(sensor, f"on the {sensor.on} at the {sensor.end}", expected, seen, problems)


def _check_alone(
    sensor: DisplacementSensor | InertialSensor, place: str, expected: str, seen: dict[str, str], problems: Problems
) -> None:
    if place in seen:
        problems.add(f"sensors.{sensor.name}.end", f"{seen[place]!r} and {sensor.name!r} both {place}", expected)
    seen[place] = sensor.name


def _check_end(setup: Setup, sensor: DisplacementSensor, problems: Problems) -> None:
    end = setup.at(sensor.end)
    if sensor.measures == "stroke" and end.leverage is None:
        found = f"a stroke sensor without leverage (setup {setup.name!r})"
        problems.add(f"sensors.{sensor.name}.measures", found, "leverage, ratio or linkage at the rear")
    elif end.full_travel_mm is None:
        needed = "travel_mm" if sensor.end == "front" else "stroke_mm with leverage, ratio or linkage; or travel_mm"
        problems.add(f"bike.{sensor.end}", f"no full travel (setup {setup.name!r})", f"{needed}, in mm")
    else:
        check_span(sensor, end, problems)
