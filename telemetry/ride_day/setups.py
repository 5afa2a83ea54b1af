"""Setups: what each is based on, and everything it inherits."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from telemetry.model.day import Setting, Setup
from telemetry.model.finding import ENDS, End

from . import tables as t
from .ends import EndResolver, Layer, check_layer, stated
from .imperial import Entered
from .problems import Problems, nearest, path_of
from .sensors import SensorReader, SensorSet
from .settings import plain_words, read_setting


def _layer(table: t.EndTable, path: tuple[str, ...], entered: Entered) -> Layer:
    values = stated(table)
    words = {key: entered[(*path, key)].words for key in values if (*path, key) in entered}
    return Layer(values=values, entered=words, path=path_of(path))


def lineage(name: str, setups: Mapping[str, t.SetupTable], problems: Problems) -> list[str] | None:
    """Return a setup's ancestors and itself, the oldest first; None where the chain breaks."""
    chain = [name]
    while (parent := setups[chain[0]].based_on) is not None:
        key = f"setups.{chain[0]}.based_on"
        if parent not in setups:
            problems.add(key, f"unknown setup {parent!r}", nearest(parent, setups, "a setup of [setups]"))
            return None
        if parent in chain:
            problems.add(key, f"a circle: {' → '.join([parent, *chain])}", "a setup that doesn't lead back to itself")
            return None
        chain.insert(0, parent)
    return chain


class SetupResolver:
    """Resolves every setup of a day.

    Parameters
    ----------
    document : Document
    entered : mapping of path to Imperial
    folder : Path
    problems : Problems
    """

    def __init__(self, document: t.Document, entered: Entered, folder: Path, problems: Problems) -> None:
        self._document = document
        self._entered = entered
        self._problems = problems
        self._ends = EndResolver(folder, problems)
        self._sensors = SensorReader(entered, problems)
        self._base = self._sensors.read(document.sensors)
        self._sets: dict[str, SensorSet] = {}
        self.setups: Mapping[str, Setup] = MappingProxyType(self._resolve())
        """All setups by name; those that can't be resolved are left out, with a problem."""

    @property
    def base_sensors(self) -> SensorSet:
        """The sensors of ``[sensors]``."""
        return self._base

    def sensors_of(
        self, setup: str, changes: Mapping[str, Mapping[str, Any]], path: tuple[str | int, ...]
    ) -> SensorSet:
        """Return a resolved setup's sensors with a run's own changes."""
        return self._sensors.replaced(self._sets[setup], changes, path)

    def _resolve(self) -> dict[str, Setup]:
        self._check_tables()
        if not self._document.setups:
            for end in ENDS:
                self._ends.resolve((self._bike_layer(end),), end)
        found = {}
        for name in self._document.setups:
            chain = lineage(name, self._document.setups, self._problems)
            if chain is not None:
                found[name] = self._setup(name, chain)
        return found

    def _check_tables(self) -> None:
        wrong = set()
        for end in ENDS:
            for layer in (self._bike_layer(end), *(self._setup_layer(name, end) for name in self._document.setups)):
                check_layer(layer, end, self._problems)
                if self._problems.any_beneath(layer.path):
                    wrong.add(layer.path)
        self._ends.leave_out(frozenset(wrong))

    def _bike_layer(self, end: End) -> Layer:
        return _layer(getattr(self._document.bike, end), ("bike", end), self._entered)

    def _setup_layer(self, name: str, end: End) -> Layer:
        return _layer(getattr(self._document.setups[name], end), ("setups", name, end), self._entered)

    def _setup(self, name: str, chain: list[str]) -> Setup:
        table = self._document.setups[name]
        layers = {end: (self._bike_layer(end), *(self._setup_layer(item, end) for item in chain)) for end in ENDS}
        sensors = self._base
        for item in chain:
            sensors = self._sensors.replaced(sensors, self._document.setups[item].sensors, ("setups", item, "sensors"))
        self._sets[name] = sensors
        other = {key: plain_words(value) for item in chain for key, value in self._document.setups[item].other.items()}
        return Setup(
            name=name,
            label=table.label or name,
            front=self._ends.resolve(layers["front"], "front"),
            rear=self._ends.resolve(layers["rear"], "rear"),
            bike=MappingProxyType(self._bike_settings(chain)),
            other=MappingProxyType(other),
            sensors=sensors.sensors,
        )

    def _bike_settings(self, chain: list[str]) -> dict[str, Setting]:
        bike = self._document.bike
        held: dict[str, Setting] = {}
        for key in ("wheelbase_mm", "head_angle_deg", "mass_kg"):
            value = getattr(bike, key)
            if value is not None:
                held[key] = self._bike_setting(key, value, ("bike", key))
        for item in chain:
            for key, value in stated(self._document.setups[item].bike).items():
                held[key] = self._bike_setting(key, value, ("setups", item, "bike", key))
        return held

    def _bike_setting(self, key: str, value: Any, path: tuple[str, ...]) -> Setting:
        imperial = self._entered.get(path)
        return read_setting(key, value, imperial.words if imperial else None)
