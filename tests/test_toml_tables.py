"""A table's keys come from the data type that states them, and the data type is made of the table again."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Annotated, Any, get_args

import pytest
from pydantic import Field, ValidationError

from telemetry.model.ranges import Range
from telemetry.ride_day import tables as ride_day
from telemetry.simulation import scenario_tables as scenario
from telemetry.toml_tables import Table, like, made

Bar = Annotated[float, Range(0, 10, "bar")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pump:
    name: str
    column: str | int
    pressure_bar: Bar | None = None
    strokes: Annotated[int, Range(1, 9, whole=True)] = 3
    points: tuple[tuple[float, float], ...] = ()
    words: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))


@like(Pump, without=("name",))
class PumpTable(Table):
    """A pump."""

    points: list[list[float]] = Field(default_factory=list)
    words: dict[str, list[str]] = Field(default_factory=dict)


@like(Pump, only=("strokes",))
class StrokesTable(Table):
    """How often."""


def test_a_table_has_the_fields_and_defaults_of_its_data_type() -> None:
    assert set(PumpTable.model_fields) == {"points", "words", "column", "pressure_bar", "strokes"}
    assert PumpTable.model_validate({"column": 2}).model_dump() == {
        "points": [],
        "words": {},
        "column": 2,
        "pressure_bar": None,
        "strokes": 3,
    }
    assert (PumpTable.__name__, PumpTable.__doc__, set(StrokesTable.model_fields)) == (
        "PumpTable",
        "A pump.",
        {"strokes"},
    )


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ({}, "column"),
        ({"column": 0}, "a column's name in quotes, or its number counted from 1"),
        ({"column": "A", "pressure_bar": 10.01}, "a number from 0 to 10 bar"),
        ({"column": "A", "pressure_bar": "2"}, "a number from 0 to 10 bar"),
        ({"column": "A", "strokes": 2.0}, "a whole number from 1 to 9"),
        ({"column": "A", "name": "p"}, "Extra inputs"),
    ],
)
def test_what_the_data_type_states_is_checked(table: dict[str, Any], words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        PumpTable.model_validate(table)


def test_a_data_type_is_made_of_its_tables_and_cannot_be_changed() -> None:
    table = PumpTable.model_validate({"column": "A", "points": [[1.0, 2.0]], "words": {"a": ["b"]}, "pressure_bar": 10})
    pump = made(Pump, table, StrokesTable(strokes=5), name="p")
    assert pump == Pump(
        name="p",
        column="A",
        pressure_bar=10.0,
        strokes=5,
        points=((1.0, 2.0),),
        words=MappingProxyType({"a": ("b",)}),
    )
    with pytest.raises(TypeError, match="does not support item assignment"):
        pump.words["c"] = ()  # type: ignore[index]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hose:
    length_m: float
    bore_m: float


class HoseTable(Table):
    """A hose."""

    length_m: float
    length_mm: float
    bore_mm: float


def test_a_field_in_metres_is_made_of_millimetres_where_the_table_lacks_it() -> None:
    table = HoseTable(length_m=2.0, length_mm=5.0, bore_mm=8.0)
    assert made(Hose, table) == Hose(length_m=2.0, bore_m=0.008)
    assert made(Hose, table, bore_m=1.0) == Hose(length_m=2.0, bore_m=1.0)


def tables(of: type[Table] = Table) -> Iterator[type[Table]]:
    yield of
    for each in of.__subclasses__():
        yield from tables(each)


def parts(kind: Any) -> Iterator[Any]:
    yield kind
    for part in get_args(kind):
        yield from parts(part)


def test_no_table_states_a_range_that_nothing_checks() -> None:
    """A range beside a kind is checked where `like` or `within` make a check of it, and ignored anywhere else."""
    assert {ride_day.Document, scenario.Scenario} < set(tables())
    unchecked = [
        f"{table.__name__}.{key}"
        for table in tables()
        for key, held in table.model_fields.items()
        if any(isinstance(part, Range) for part in (*held.metadata, *parts(held.annotation)))
    ]
    assert unchecked == []
