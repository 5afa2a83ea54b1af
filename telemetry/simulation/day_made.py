"""A whole ride day out of a scenario: logs, `ride_day.toml`, and the truth beside them."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np

from telemetry.errors import CallError
from telemetry.files import write_text

from . import scenario_tables as t
from .clock_made import Clock
from .faults import Faults
from .logger import MadeLogger, write_log
from .runs_made import DivergedError, MadeRun, made_recording, made_run
from .scenario import ReadScenario, SimulatedSetup
from .sensors_made import MadeDisplacement, MadeSpeed
from .toml_text import toml_text

COPIED_KEYS = (
    "air_pressure_bar",
    "volume_spacers_ml",
    "spring_rate_n_mm",
    "preload_mm",
    "lower_leg_volume_each_ml",
    "lower_leg_oil_each_ml",
)
WORKERS = 2
SPIKE_COUNTS = 900.0


def _logger(scenario: ReadScenario) -> MadeLogger:
    table = scenario.tables.logger

    def sensor(own: t.SensorTable, end: str) -> MadeDisplacement:
        (reading_a, mm_a), (reading_b, mm_b) = own.points
        return MadeDisplacement(
            column=own.column,
            end="front" if end == "front" else "rear",
            points=((reading_a, mm_a), (reading_b, mm_b)),
            noise_mm=own.noise_mm,
            hysteresis_mm=own.hysteresis_mm,
            offset_mm=own.offset_mm,
            bits=table.bits,
        )

    return MadeLogger(
        clock=Clock(
            rate_hz=table.rate_hz,
            jitter_share=table.jitter_percent / 100,
            drift_ppm=table.drift_ppm,
            unit=table.time_unit,
            column=table.time_column,
        ),
        displacement=(sensor(table.fork, "front"), sensor(table.shock, "rear")),
        speed=MadeSpeed(column="speed_m_s", noise_m_s=0.05) if table.ground_speed else None,
        faults=Faults(spikes_per_min=table.spikes_per_min, spike_counts=SPIKE_COUNTS if table.spikes_per_min else 0.0),
    )


def _sensors(scenario: ReadScenario) -> dict[str, object]:
    table = scenario.tables.logger
    counts = [0, 2**table.bits - 1]
    found: dict[str, object] = {}
    for name, own, end in (("fork", table.fork, "front"), ("shock", table.shock, "rear")):
        keys: dict[str, object] = {"kind": "displacement", "end": end}
        if end == "rear":
            keys["measures"] = "stroke"
        found[f"sensors.{name}"] = {**keys, "column": own.column, "points": own.points, "counts_range": counts}
    if table.ground_speed:
        found["sensors.wheel"] = {"kind": "ground_speed", "column": "speed_m_s", "unit": "m/s"}
    return found


def _end_keys(part: t.PartTable, *, rear: bool) -> dict[str, object]:
    keys: dict[str, object] = {}
    if rear:
        keys["stroke_mm"] = part.stroke_mm
    else:
        keys |= {"travel_mm": part.travel_mm, "measured_travel_mm": part.travel_mm}
    return keys


def _setup_end(part: t.PartTable) -> dict[str, object]:
    keys = {name: getattr(part, name) for name in COPIED_KEYS if name != "volume_spacers_ml"}
    if part.lower_leg_volume_each_ml is None:
        keys.pop("lower_leg_oil_each_ml")
    if part.spring_rate_n_mm is None:
        keys.pop("preload_mm")
    return {key: value for key, value in keys.items() if value is not None} | dict(part.written)


def _leverage_name(name: str) -> str:
    return f"leverage_{name}.csv"


def _day_tables(scenario: ReadScenario, logs: list[tuple[str, str]], static: list[dict[str, object]]) -> str:
    tables, day = scenario.tables, scenario.tables.day
    first = scenario.setups[day.order[0]]
    whole: dict[str, object] = {
        "ride_day": {
            "title": day.title,
            "date": day.date,
            "trail": day.trail or None,
            "trail_state": day.trail_state or None,
            "rider": day.rider or None,
            "air_temperature_c": day.air_temperature_c,
            "altitude_m": day.altitude_m,
        },
        "bike": {
            "name": tables.bike.name,
            "wheelbase_mm": tables.bike.front_ahead_mm + tables.bike.rear_behind_mm,
            "head_angle_deg": tables.bike.head_angle_deg,
        },
        "bike.front": _end_keys(first.front, rear=False),
        "bike.rear": {**_end_keys(first.rear, rear=True), "leverage": _leverage_name(first.name)},
        "log": {"time": {"column": tables.logger.time_column, "unit": tables.logger.time_unit}},
        **_sensors(scenario),
    }
    for name, setup in scenario.setups.items():
        whole[f"setups.{name}"] = {"label": setup.label}
        front = _setup_end(setup.front)
        rear = _setup_end(setup.rear)
        if setup.front.travel_mm != first.front.travel_mm:
            front = {**_end_keys(setup.front, rear=False), **front}
        if setup.rear.leverage != first.rear.leverage or setup.rear.stroke_mm != first.rear.stroke_mm:
            rear = {**_end_keys(setup.rear, rear=True), "leverage": _leverage_name(name), **rear}
        whole[f"setups.{name}.front"] = front
        whole[f"setups.{name}.rear"] = rear
        if tables.setups[name].bike:
            whole[f"setups.{name}.bike"] = tables.setups[name].bike
    start = dt.datetime.combine(day.date, day.first_start)
    whole["runs"] = [
        {
            "log": log,
            "setup": setup,
            "started_at": start + dt.timedelta(minutes=number * day.minutes_between),
        }
        for number, (log, setup) in enumerate(logs)
    ]
    if static:
        whole["static"] = static
    if tables.comparison is not None:
        whole["comparison"] = {
            key: value for key, value in tables.comparison.model_dump().items() if value not in (None, [], {})
        }
    if tables.shop:
        whole["shop"] = dict(tables.shop)
    head = "# A simulated day: invented bike, trail, rider and shop. The truth is in truth.json beside this file.\n\n"
    return head + toml_text(whole)


def _write_leverage(folder: Path, setup: SimulatedSetup) -> None:
    rows = "\n".join(f"{stroke:g},{travel:g}" for stroke, travel in setup.rear.leverage or [])
    write_text(folder / _leverage_name(setup.name), f"stroke_mm,travel_mm\n{rows}\n")


def _truth(scenario: ReadScenario, runs: list[tuple[str, str, MadeRun]]) -> str:
    day = scenario.tables.day
    rows = [
        {"run": name, "setup": setup, "start_s": run.starts_s, "end_s": run.ends_s, **run.truth.to_dict()}
        for name, setup, run in runs
    ]
    whole = {"title": day.title, "simulated": True, "rate_hz": 4000, "seed": day.seed, "runs": rows}
    return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"


def make_day(scenario: ReadScenario, folder: Path, progress: Callable[[str], None] | None = None) -> None:
    """Simulate a scenario's day and write it into a folder.

    Parameters
    ----------
    scenario : ReadScenario
    folder : Path
        Made where it isn't there; refused where it holds a ride day already.
    progress : callable, optional
        Told each log's name before it is made.

    Raises
    ------
    CallError
        If the folder can't be used, or a run's motion grows without bound: which run, and when.
    """
    if (folder / "ride_day.toml").exists():
        raise CallError(str(folder), "a ride_day.toml already", "a folder without one", "name another folder")
    if not folder.parent.is_dir():
        raise CallError(str(folder), f"no folder {str(folder.parent)!r}", "a folder that exists", "make it first")
    folder.mkdir(exist_ok=True)
    tables = scenario.tables
    ending = ".csv.gz" if tables.logger.gzip else ".csv"
    logger = _logger(scenario)
    seeds = np.random.SeedSequence(tables.day.seed).spawn(len(tables.day.order) + len(tables.recordings))
    for setup in scenario.setups.values():
        _write_leverage(folder, setup)

    def one_run(number: int) -> MadeRun:
        name = f"run_{number + 1}{ending}"
        if progress is not None:
            progress(name)
        motion_rng, log_rng = np.random.default_rng(seeds[number]).spawn(2)
        try:
            run = made_run(scenario, scenario.setups[tables.day.order[number]], motion_rng)
        except DivergedError as error:
            raise CallError(
                f"{scenario.path.name}, run {number + 1} ({tables.day.order[number]})",
                str(error),
                "parts that hold together",
                "look at springs, dampers and masses of that setup",
            ) from None
        write_log(folder / name, logger, run.signals, log_rng)
        return run

    with ThreadPoolExecutor(WORKERS) as workers:
        runs = list(workers.map(one_run, range(len(tables.day.order))))
    static = _write_recordings(scenario, folder, logger, seeds[len(tables.day.order) :])
    names = [(f"run_{number + 1}{ending}", setup) for number, setup in enumerate(tables.day.order)]
    told = [(name.removesuffix(ending), setup, run) for (name, setup), run in zip(names, runs, strict=True)]
    write_text(folder / "truth.json", _truth(scenario, told))
    write_text(folder / "ride_day.toml", _day_tables(scenario, names, static))


def _write_recordings(
    scenario: ReadScenario, folder: Path, logger: MadeLogger, seeds: list[np.random.SeedSequence]
) -> list[dict[str, object]]:
    tables = scenario.tables
    ending = ".csv.gz" if tables.logger.gzip else ".csv"
    found: list[dict[str, object]] = []
    for number, (item, seed) in enumerate(zip(tables.recordings, seeds, strict=True), 1):
        name = f"{item.kind}_{number}{ending}"
        setup = tables.day.order[item.before_run - 1]
        signal_rng, log_rng = np.random.default_rng(seed).spawn(2)
        signals = made_recording(scenario.setups[setup], item.kind, item.settled_from, signal_rng)
        plain = MadeLogger(clock=logger.clock, displacement=logger.displacement)
        write_log(folder / name, plain, signals, log_rng)
        entry: dict[str, object] = {
            "log": name,
            "kind": item.kind,
            "setup": setup,
            "before_run": f"run_{item.before_run}",
        }
        found.append(entry | {"load": item.load, "from": item.settled_from})
    return found
