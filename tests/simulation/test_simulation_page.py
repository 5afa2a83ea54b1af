"""The page on simulated days describes every table and key of a scenario, with the range and default in force."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from telemetry.simulation import scenario_tables as t
from telemetry.toml_tables import Within

PAGE = (Path(__file__).parent.parent.parent / "docs" / "simulation.md").read_text(encoding="utf-8")
INERTIAL = "[logger.chassis_imu], [logger.wheel_imu], [logger.rear_chassis_imu] and [logger.rear_wheel_imu]"
SECTIONS = {
    "[day]": t.DayTable,
    "[trail]": t.TrailTable,
    "marks": t.MarkTable,
    "natural": t.NaturalTable,
    "[[trail.stretches]]": t.StretchTable,
    "obstacles": t.ObstacleTable,
    "[bike]": t.BikeTable,
    "[bike.front] and [bike.rear]": t.PartTable,
    "[rider]": t.RiderTable,
    "[logger]": t.LoggerTable,
    "[logger.fork] and [logger.shock]": t.SensorTable,
    "[logger.rear_clock]": t.RearClockTable,
    "gaps": t.GapTable,
    INERTIAL: t.ChassisImuTable,
    "[setups.NAME]": t.SetupTable,
    "[[recordings]]": t.RecordingTable,
    "[[remounts]]": t.RemountTable,
    "[comparison], [shop] and [customer]": t.ComparisonTable,
}
ROW = re.compile(r"^\| `(\w+)` \| (.*?) \| (.*?) \| (.*?) ?\|$", re.MULTILINE)
PARTS = re.split(r"^### (.+)$", PAGE, flags=re.MULTILINE)
TEXTS = {head.replace("`", ""): text for head, text in zip(PARTS[1::2], PARTS[2::2], strict=True)}
LARGEST_SEED = 2**63 - 1


def rows(section: str) -> dict[str, tuple[str, str]]:
    return {key: (values, default) for key, values, default, _ in ROW.findall(TEXTS[section])}


def numbers(text: str) -> list[float]:
    plain = text.replace("2⁶³ − 1", str(LARGEST_SEED)).replace("−", "-")
    return [float(word) for word in re.findall(r"-?\d+(?:\.\d+)?", plain.replace("1 000 000", "1000000"))]


def bounds(section: str, key: str) -> list[float]:
    rules = [getattr(rule, "func", None) for rule in SECTIONS[section].model_fields[key].metadata]
    return [float(bound) for rule in rules if isinstance(rule, Within) for bound in (rule.bounds.low, rule.bounds.high)]


def test_every_table_has_its_section() -> None:
    tables = {item for item in vars(t).values() if isinstance(item, type) and issubclass(item, t.Table)}
    others = {t.WheelImuTable, t.RearWheelImuTable, t.RearChassisImuTable}
    assert tables - {t.Table, t.Scenario} - others == set(SECTIONS.values())
    for other in others:
        assert set(other.model_fields) < set(t.ChassisImuTable.model_fields)
    assert set(TEXTS) == set(SECTIONS)


@pytest.mark.parametrize("section", SECTIONS)
def test_every_key_is_described_and_none_that_is_not_there(section: str) -> None:
    assert set(rows(section)) == set(SECTIONS[section].model_fields)


@pytest.mark.parametrize("section", SECTIONS)
def test_ranges_are_those_in_force(section: str) -> None:
    told = {key: numbers(rows(section)[key][0]) for key in rows(section) if bounds(section, key)}
    assert told == {key: bounds(section, key) for key in told}


@pytest.mark.parametrize("section", SECTIONS)
def test_defaults_are_those_in_force(section: str) -> None:
    for key, field in SECTIONS[section].model_fields.items():
        told = rows(section)[key][1]
        assert (told == "**required**") == field.is_required(), key
        if isinstance(field.default, (int, float)) and not isinstance(field.default, bool):
            assert numbers(told) == [float(field.default)], key
        elif isinstance(field.default, bool):
            assert told == str(field.default).lower(), key


def test_every_top_level_table_is_named() -> None:
    assert [name for name in t.Scenario.model_fields if f"[{name}" not in PAGE] == []
