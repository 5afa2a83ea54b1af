"""Runs in the order ridden, and recordings off the trail with the run they stand before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from telemetry.model.day import Mark, RunEntry, Setup, StaticEntry
from telemetry.model.sensor import DisplacementSensor, InertialSensor, Sensor
from telemetry.toml_problems import nearest, path_of
from telemetry.toml_tables import made

from . import tables as t
from .ends import stated
from .names import check_place_names, check_run_names
from .paths import WrongPathError, file_inside
from .problems import Problems
from .setups import SetupResolver

NO_LOG = "no log"
"""Stands for a log that isn't there while the rest is checked; a day with one is never returned."""


def stem(name: str) -> str:
    """Return a log's name without ``.gz`` and its last ending.

    Examples
    --------
    >>> stem("logs/run_1.csv.gz"), stem("lap.2.txt")
    ('run_1', 'lap.2')
    """
    file = Path(name.replace("\\", "/")).name.removesuffix(".gz")
    return Path(file).stem or file


def run_name(table: t.RunTable) -> str:
    """Return a run's own name, or its (front) log's."""
    return table.name or stem(table.log if isinstance(table.log, str) else table.log.front)


def named(run: Mapping[str, Any]) -> str:
    """Return the name of a run as `run_name` does, from what TOML reads in its table."""
    return str(run.get("name") or stem(run["log"] if isinstance(run["log"], str) else run["log"]["front"]))


def _at_end(sensor: Sensor, end: str) -> bool:
    return isinstance(sensor, DisplacementSensor | InertialSensor) and sensor.end == end


def _naive(stamp: dt.datetime | None) -> dt.datetime | None:
    return None if stamp is None else stamp.replace(tzinfo=None)


def ridden_order(tables: Sequence[t.RunTable], problems: Problems) -> list[int]:
    """Return the tables' places in the order ridden: by started_at, else order, else as they stand."""
    places = list(range(len(tables)))
    for key in ("started_at", "order"):
        stated = [getattr(table, key) for table in tables]
        lacking = [place for place, value in enumerate(stated) if value is None]
        if len(lacking) == len(tables):
            continue
        if lacking:
            problems.add(f"runs[{lacking[0] + 1}].{key}", "nothing", f"{key} in all runs or in none")
            return places
        if key == "started_at":
            zoned = {value.tzinfo is not None for value in stated}
            if len(zoned) > 1:
                problems.add("runs[1].started_at", "times with and without a zone", "all alike")
                return places
        first: dict[object, int] = {}
        twice = [place for place, value in enumerate(stated) if first.setdefault(value, place) < place]
        if twice:
            problems.add(f"runs[{twice[0] + 1}].{key}", f"{stated[twice[0]]} twice", f"a {key} of its own for each run")
            return places
        return sorted(places, key=lambda place: stated[place])
    return places


class RunReader:
    """Reads runs and static recordings.

    Parameters
    ----------
    document : Document
    resolver : SetupResolver
    folder : Path
    problems : Problems
    """

    def __init__(self, document: t.Document, resolver: SetupResolver, folder: Path, problems: Problems) -> None:
        self._document = document
        self._resolver = resolver
        self._setups: Mapping[str, Setup] = resolver.setups
        self._folder = folder
        self._problems = problems
        self._names = {run_name(table): None for table in document.runs}

    def runs(self) -> tuple[RunEntry, ...]:
        """Return the runs in the order ridden."""
        tables = self._document.runs
        names = [run_name(table) for table in tables]
        check_run_names(names, self._problems)
        order = ridden_order(tables, self._problems)
        found = []
        for position, place in enumerate(order, 1):
            entry = self._run(tables[place], names[place], place, position)
            if entry is not None:
                found.append(entry)
        return tuple(found)

    def _path(self, text: str, key: str) -> Path | None:
        try:
            return file_inside(self._folder, text, "a log")
        except WrongPathError as error:
            self._problems.add(key, error.found, error.expected)
            return None

    def _logs(self, log: str | t.TwoLogsTable, key: str) -> tuple[Path | None, Path | None]:
        if isinstance(log, str):
            return self._path(log, key), None
        return self._path(log.front, f"{key}.front"), self._path(log.rear, f"{key}.rear")

    def _setup(self, name: str, key: str) -> Setup | None:
        if name not in self._document.setups:
            expected = nearest(name, self._document.setups, "a setup of [setups]")
            self._problems.add(key, f"unknown setup {name!r}", expected)
        return self._setups.get(name)

    def _run(self, table: t.RunTable, name: str, place: int, position: int) -> RunEntry | None:
        key = path_of(["runs", place])
        front, rear = self._logs(table.log, f"{key}.log")
        setup = self._setup(table.setup, f"{key}.setup")
        start_s, end_s = stated(table).get("start_s"), stated(table).get("end_s")
        if start_s is not None and end_s is not None and start_s >= end_s:
            self._problems.add(f"{key}.end_s", f"{end_s:g} s", f"later than start_s, {start_s:g} s")
        if table.same_clock is not None and isinstance(table.log, str):
            expected = 'two logs, log = { front = "...", rear = "..." }, of which to say so'
            self._problems.add(f"{key}.same_clock", "same_clock beside one log", expected)
        if setup is None:
            return None
        sensors: Mapping[str, Sensor] = setup.sensors
        if table.sensors:
            path = ("runs", place, "sensors")
            sensors = self._resolver.sensors_of(setup.name, table.sensors, path).sensors
        return made(
            RunEntry,
            table,
            name=name,
            log=front or self._folder / NO_LOG,
            rear_log=rear,
            setup=setup.name,
            order=position,
            sensors=sensors,
            started_at=_naive(table.started_at),
            same_clock=self._document.log.same_clock if table.same_clock is None else table.same_clock,
        )

    def static(self, runs: tuple[RunEntry, ...]) -> tuple[StaticEntry, ...]:
        """Return the recordings off the trail, in file order."""
        named = {run.name: run for run in reversed(runs)}
        first_of = {run.setup: run for run in reversed(runs)}
        found = []
        for place, table in enumerate(self._document.static):
            key = path_of(["static", place])
            path = self._path(table.log, f"{key}.log")
            setup = self._setup(table.setup, f"{key}.setup") if table.setup is not None else None
            if table.before_run is not None:
                self._require_run(table.before_run, f"{key}.before_run")
            run = first_of.get(table.setup or "") if table.before_run is None else named.get(table.before_run)
            run = run or next(iter(runs), None)
            if table.setup is not None and setup is None:
                continue
            sensors, order = self._sensors_with(table, setup, run), 1 if run is None else run.order
            if table.end is not None:
                sensors = {name: sensor for name, sensor in sensors.items() if _at_end(sensor, table.end)}
            found.append(
                made(StaticEntry, table, log=path or self._folder / NO_LOG, sensors=sensors, before_order=order)
            )
        return tuple(found)

    def _sensors_with(self, table: t.StaticTable, setup: Setup | None, run: RunEntry | None) -> Mapping[str, Sensor]:
        """Return the sensors a recording was made with: its setup's, or those of the run it belongs to."""
        if run is not None and (setup is None or (table.before_run is not None and run.setup == setup.name)):
            return run.sensors
        return setup.sensors if setup is not None else self._resolver.base_sensors.sensors

    def _require_run(self, name: str, key: str) -> None:
        if name not in self._names:
            self._problems.add(key, f"unknown run {name!r}", nearest(name, self._names, "the name of a run"))

    def marks(self) -> tuple[Mark, ...]:
        """Return the places marked on the trail."""
        marks = tuple(made(Mark, table) for table in self._document.marks)
        for place, mark in enumerate(marks, 1):
            self._require_run(mark.run, f"marks[{place}].run")
        check_place_names("marks", marks, self._problems)
        return marks
