"""Setups: what each is based on, and everything it inherits."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from telemetry.model.day import Setting, Setup
from telemetry.model.finding import End

from . import tables as t
from .ends import EndResolver, Layer, check_layer, setting_value, stated
from .imperial import Entered, unit_of
from .problems import Problems, nearest, path_of
from .sensors import overridden, read_sensors


def _layer(table: t.EndTable, path: tuple[str, ...], entered: Entered) -> Layer:
    values = stated(table)
    words = {key: entered[(*path, key)] for key in values if (*path, key) in entered}
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
    entered : mapping of path to str
        Words of imperial values.
    folder : Path
    problems : Problems
    """

    def __init__(self, document: t.Document, entered: Entered, folder: Path, problems: Problems) -> None:
        self._document = document
        self._entered = entered
        self._problems = problems
        self._ends = EndResolver(folder, problems)
        self.raw_sensors: dict[str, Mapping[str, Mapping[str, Any]]] = {}

    def resolve(self) -> dict[str, Setup]:
        """Return all setups by name; those that can't be resolved are left out, with a problem."""
        self._check_tables()
        found = {}
        for name in self._document.setups:
            chain = lineage(name, self._document.setups, self._problems)
            if chain is not None:
                found[name] = self._setup(name, chain)
        return found

    def _check_tables(self) -> None:
        for end in ("front", "rear"):
            check_layer(self._bike_layer(end), end, self._problems)
            for name in self._document.setups:
                check_layer(self._setup_layer(name, end), end, self._problems)

    def _bike_layer(self, end: End) -> Layer:
        return _layer(getattr(self._document.bike, end), ("bike", end), self._entered)

    def _setup_layer(self, name: str, end: End) -> Layer:
        return _layer(getattr(self._document.setups[name], end), ("setups", name, end), self._entered)

    def _setup(self, name: str, chain: list[str]) -> Setup:
        table = self._document.setups[name]
        layers = {
            end: (self._bike_layer(end), *(self._setup_layer(item, end) for item in chain)) for end in ("front", "rear")
        }
        raw: Mapping[str, Mapping[str, Any]] = self._document.sensors
        for item in chain:
            changes = self._document.setups[item].sensors
            raw = overridden(raw, changes, ("setups", item, "sensors"), self._problems)
        self.raw_sensors[name] = raw
        path = ("setups", name, "sensors") if any(self._document.setups[i].sensors for i in chain) else ("sensors",)
        other = {key: str(value) for item in chain for key, value in self._document.setups[item].other.items()}
        return Setup(
            name=name,
            label=table.label or name,
            front=self._ends.resolve(layers["front"], "front"),
            rear=self._ends.resolve(layers["rear"], "rear"),
            bike=MappingProxyType(self._bike_settings(chain)),
            other=MappingProxyType(other),
            sensors=MappingProxyType(read_sensors(raw, path, self._problems)),
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
        words = self._entered.get(path) or f"{value:g} {unit_of(key)}".strip()
        return Setting(key=key, value=setting_value(value), entered=words)
