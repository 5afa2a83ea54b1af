"""Setups: what each is based on, and everything it inherits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from telemetry.model.day import Setup
from telemetry.model.finding import ENDS, End
from telemetry.model.setting import Setting
from telemetry.model.setup_keys import SPECS
from telemetry.toml_problems import nearest, path_of

from . import tables as t
from .ends import EndResolver, Layer, check_layer, stated
from .imperial import Entered
from .linkages import with_its_scale
from .problems import Problems
from .sensors import SensorReader, SensorSet
from .settings import plain_words, read_setting
from .travel_known import may_hide_travel
from .widths import WidthsStated, widths_of

MOST_SETUPS, MOST_SENSORS, MOST_OTHER = 500, 50, 100
"""Of a day; other keys are those of one setup. Own choices: each setup holds all it inherits."""
MOST_BASED_ON = 50
"""Setups in a chain, each based on the one before."""


def lineage(name: str, setups: Mapping[str, t.SetupTable], problems: Problems) -> list[str] | None:
    """Return a setup's ancestors and itself, the oldest first; None where the chain breaks or is too long."""
    chain = [name]
    while (parent := setups[chain[0]].based_on) is not None:
        if len(chain) == MOST_BASED_ON:
            found = f"more than {MOST_BASED_ON} setups in a chain, each based on the one before"
            problems.add(f"setups.{name}.based_on", found, "a setup nearer to the first, and what differs from it")
            return None
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
        self._widths = WidthsStated()
        self._ends = EndResolver(folder, self._widths, problems)
        self._sensors = SensorReader(entered, problems)
        self._base = self._sensors.read(document.sensors)
        self._sets: dict[str, SensorSet] = {}
        self._layers = {(end, name): self._layer(end, name) for end in ENDS for name in (None, *document.setups)}
        self.setups: Mapping[str, Setup] = MappingProxyType(self._resolve())
        """All setups by name; those that can't be resolved are left out, with a problem."""

    @property
    def base_sensors(self) -> SensorSet:
        """The sensors of ``[sensors]``."""
        return self._base

    @property
    def all_sensors_read(self) -> bool:
        """Whether none is left out because it is wrong."""
        return not self._sensors.lost

    def is_known(self, setup: str, end: End) -> bool:
        """Tell whether nothing is wrong that an end's full travel in a resolved setup may rest on."""
        chain = lineage(setup, self._document.setups, self._problems) or []
        layers = (self._layers[end, name] for name in (None, *chain))
        return not any(may_hide_travel(layer.path, self._problems) for layer in layers)

    def sensors_of(
        self, setup: str, changes: Mapping[str, Mapping[str, Any]], path: tuple[str | int, ...]
    ) -> SensorSet:
        """Return a resolved setup's sensors with a run's own changes."""
        return self._sensors.replaced(self._sets[setup], changes, path)

    def _resolve(self) -> dict[str, Setup]:
        self._check_tables()
        if not self._document.setups:
            for end in ENDS:
                self._ends.resolve([self._layers[end, None]], end)
        found = {}
        for name in self._document.setups:
            chain = lineage(name, self._document.setups, self._problems)
            if chain is not None:
                found[name] = self._setup(name, chain)
        if not self._problems:  # else what a width is of may be what is wrong
            self._widths.check_idle(self._problems)
        return found

    def _layer(self, end: End, name: str | None) -> Layer:
        """Return what a setup's table states of an end; the bike's without a name."""
        table = self._document.bike if name is None else self._document.setups[name]
        path = ("bike", end) if name is None else ("setups", name, end)
        values = with_its_scale(stated(getattr(table, end)), path_of(path), self._problems)
        words = {key: self._entered[(*path, key)].words for key in values if (*path, key) in self._entered}
        return Layer(values=values, entered=words, path=path_of(path), plus_minus=widths_of(getattr(table, end)))

    def _check_tables(self) -> None:
        for (end, _), layer in self._layers.items():
            check_layer(layer, end, self._problems)
        paths = (layer.path for layer in self._layers.values())
        self._ends.leave_out(frozenset(path for path in paths if may_hide_travel(path, self._problems)))

    def _setup(self, name: str, chain: list[str]) -> Setup:
        table = self._document.setups[name]
        layers = {end: [self._layers[end, item] for item in (None, *chain)] for end in ENDS}
        other = {key: plain_words(value) for item in chain for key, value in self._document.setups[item].other.items()}
        if len(other) > MOST_OTHER:
            found = f"{len(other)} keys, those of the setups it is based on included"
            self._problems.add(f"setups.{name}.other", found, f"{MOST_OTHER} at most")
            other = {}
        return Setup(
            name=name,
            label=table.label or name,
            front=self._ends.resolve(layers["front"], "front"),
            rear=self._ends.resolve(layers["rear"], "rear"),
            bike=MappingProxyType(self._bike_settings(chain)),
            other=MappingProxyType(other),
            sensors=self._sensors_of(chain).sensors,
        )

    def _sensors_of(self, chain: list[str]) -> SensorSet:
        """Return the sensors of a chain's last setup; each setup's own changes are read once."""
        held = self._base
        for item in chain:
            if item not in self._sets:
                changes = self._document.setups[item].sensors
                self._sets[item] = self._sensors.replaced(held, changes, ("setups", item, "sensors"))
            held = self._sets[item]
        return held

    def _bike_settings(self, chain: list[str]) -> dict[str, Setting]:
        tables: list[tuple[tuple[str, ...], t.BikeTable | t.SetupBikeTable]] = [(("bike",), self._document.bike)]
        tables += [(("setups", item, "bike"), self._document.setups[item].bike) for item in chain]
        held: dict[str, Setting] = {}
        widths: dict[str, float] = {}
        for path, table in tables:
            widths |= widths_of(table)
            own = {key: value for key, value in stated(table).items() if key in SPECS}
            held |= {key: self._bike_setting(key, value, (*path, key)) for key, value in own.items()}
        values = {key: setting.value for key, setting in held.items()}
        self._widths.check([(path_of(path), widths_of(table)) for path, table in tables], values, self._problems)
        return {key: replace(setting, plus_minus=widths.get(key)) for key, setting in held.items()}

    def _bike_setting(self, key: str, value: Any, path: tuple[str, ...]) -> Setting:
        imperial = self._entered.get(path)
        return read_setting(key, value, imperial.words if imperial else None)
