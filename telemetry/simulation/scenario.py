"""A scenario file, read and checked: the trail, and a simulated bike for every setup."""

from __future__ import annotations

import math
import stat
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from telemetry import toml_bounds
from telemetry.dynamics.car import Frame, RiderBody
from telemetry.dynamics.given import Heights
from telemetry.dynamics.suspension import SLOW_EXPONENT, Suspension
from telemetry.errors import Problem, RideDayError, clean_text
from telemetry.model.finding import ENDS, End
from telemetry.model.setup_keys import SPECS
from telemetry.toml_bounds import TomlError
from telemetry.toml_tables import made

from . import scenario_tables as t
from .bike import SimulatedBike
from .scenario_parts import BUILT, MM, UnfitPartError, require_slow_enough, suspension_of, wheel_of
from .scenario_problems import MEND_FIRST, table_error, unfit_tables
from .scenario_trail import trail_of
from .trail import Trail

DEEPEST_SAG = 0.65
"""Own choice: the three pushes go 30 % of full travel deeper."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedSetup:
    """One setup: the bike it makes, and its ends as they are written down."""

    name: str
    label: str
    bike: SimulatedBike
    front: t.PartTable
    rear: t.PartTable


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadScenario:
    """A scenario with everything resolved."""

    path: Path
    tables: t.Scenario
    trail: Trail
    setups: Mapping[str, SimulatedSetup]


def _fail(path: Path, problems: list[Problem]) -> RideDayError:
    return RideDayError(path.name, problems, MEND_FIRST)


def _parsed(path: Path) -> dict[str, object]:
    """Return the file as TOML reads it; only an ordinary file of a sensible size is opened."""
    expected = "a scenario in TOML"
    try:
        mode = path.stat().st_mode
        if not stat.S_ISREG(mode):
            found = "a folder" if stat.S_ISDIR(mode) else "no ordinary file"
            raise _fail(path, [Problem(key="file", found=found, expected=expected)])
        return toml_bounds.parse(toml_bounds.read_bytes(path).decode("utf-8-sig"))
    except FileNotFoundError:
        raise _fail(path, [Problem(key="file", found="no such file", expected=expected)]) from None
    except TomlError as error:
        raise _fail(path, [Problem(key="file", found=error.found, expected=error.expected)]) from None
    except (OSError, ValueError) as error:
        raise _fail(path, [Problem(key="file", found=clean_text(str(error)), expected="readable TOML")]) from None


def _replaced(own: Mapping[str, object]) -> set[str]:
    """Return the bike's keys that fall away because a setup says the same in other keys."""
    replaced = {other for key in own if key in SPECS for other in SPECS[key].instead_of}
    return replaced & set(t.PartTable.model_fields)


def _part(path: Path, tables: t.Scenario, name: str, end: End) -> t.PartTable:
    base, own = getattr(tables.bike, end), getattr(tables.setups[name], end)
    merged = {**{key: value for key, value in base.items() if key not in _replaced(own)}, **own}
    written = [table.get("written", {}) for table in (base, own)]
    if all(isinstance(table, dict) for table in written):
        merged["written"] = {**written[0], **written[1]}
    try:
        return t.PartTable.model_validate(merged)
    except ValidationError as error:
        first = str(error.errors()[0]["loc"][0])
        raise table_error(path.name, error, t.PartTable, part_path(tables, name, end, first)) from None


def part_path(tables: t.Scenario, name: str, end: End, key: str) -> str:
    """Return the table that states an end's key in force under a setup: the setup's own, or the bike's."""
    return f"setups.{name}.{end}" if key in getattr(tables.setups[name], end) else f"bike.{end}"


def _suspension(path: Path, tables: t.Scenario, name: str, end: End, part: t.PartTable) -> Suspension:
    """Return an end under a setup, refusing what can't be built by the key that is at fault."""
    try:
        found = suspension_of(part, end, tables.bike.head_angle_deg)
        require_slow_enough(part, float(found.tables(SLOW_EXPONENT).ratio.min()))
    except UnfitPartError as error:
        at = part_path(tables, name, end, error.key.partition("[")[0])
        raise _fail(path, [Problem(key=f"{at}.{error.key}", found=error.found, expected=error.expected)]) from None
    except ValueError as error:
        raise _fail(path, [Problem(key=f"setups.{name}.{end}", found=str(error), expected=BUILT)]) from None
    return found


def _require_carried(bike: SimulatedBike) -> None:
    """Refuse a bike that sinks so far under its rider that it can't be pushed or ridden.

    Raises
    ------
    ValueError
    """
    for end, suspension, sag_m in zip(ENDS, (bike.front, bike.rear), bike.sag_m(), strict=True):
        share = sag_m / suspension.full_travel_m
        if share > DEEPEST_SAG:
            raise ValueError(f"the {end} at {100 * share:.0f} % of its travel at rest, {100 * DEEPEST_SAG:g} at most")


def _heights(tables: t.Scenario, parts: Mapping[End, t.PartTable]) -> Heights | None:
    """Return where forces along the ground act; None where the bike doesn't say how high its mass lies."""
    bike = tables.bike
    if bike.centre_height_mm is None:
        return None
    return Heights(
        centre_m=bike.centre_height_mm * MM,
        rider_m=tables.rider.height_mm * MM,
        front_axle_m=parts["front"].wheel_radius_mm * MM,
        rear_axle_m=parts["rear"].wheel_radius_mm * MM,
        anti_squat=bike.anti_squat_percent / 100,
        anti_rise=bike.anti_rise_percent / 100,
        front_brake=bike.front_brake_percent / 100,
        grip=bike.grip,
        holding_rad_s=2 * math.pi * tables.rider.holding_hz,
    )


def _setup(path: Path, tables: t.Scenario, name: str) -> SimulatedSetup:
    own, bike, rider = tables.setups[name], tables.bike, tables.rider
    parts: dict[End, t.PartTable] = {end: _part(path, tables, name, end) for end in ENDS}
    front, rear = (_suspension(path, tables, name, end, parts[end]) for end in ENDS)
    simulated = SimulatedBike(
        frame=made(Frame, bike, mass_kg=bike.frame_kg),
        rider=made(RiderBody, rider, mass_kg=rider.moving_kg),
        front_wheel=wheel_of(parts["front"]),
        rear_wheel=wheel_of(parts["rear"]),
        front=front,
        rear=rear,
        ride_exponent=bike.ride_exponent,
        wheel_radius_m=(parts["front"].wheel_radius_mm * MM, parts["rear"].wheel_radius_mm * MM),
        heights=_heights(tables, parts),
        swingarm_m=bike.swingarm_mm * MM,
    )
    try:
        _require_carried(simulated)
        simulated.riding()
    except ValueError as error:
        problem = Problem(key=f"setups.{name}", found=str(error), expected="a bike that carries its rider")
        raise _fail(path, [problem]) from None
    return SimulatedSetup(name=name, label=own.label or name, bike=simulated, front=parts["front"], rear=parts["rear"])


def read_scenario(path: Path) -> ReadScenario:
    """Read a scenario file.

    Parameters
    ----------
    path : Path

    Returns
    -------
    ReadScenario

    Raises
    ------
    RideDayError
        With everything found wrong: an unknown key, a wrong type, a number out of its range, a part that can't be
        built, a trail on which an obstacle finds no room.
    """
    return scenario_of(_parsed(path), path)


def scenario_of(data: Mapping[str, object], path: Path) -> ReadScenario:
    """Return a scenario out of its tables, read already; errors name `path`. Raises as `read_scenario` does."""
    try:
        tables = t.Scenario.model_validate(data)
    except ValidationError as error:
        raise table_error(path.name, error) from None
    unfit = unfit_tables(tables)
    if unfit:
        raise _fail(path, unfit)
    trail, unfit = trail_of(tables.trail)
    if unfit:
        raise _fail(path, unfit)
    setups = {name: _setup(path, tables, name) for name in tables.setups}
    return ReadScenario(path=path, tables=tables, trail=trail, setups=setups)
