"""Kinds of values that tables of ``ride_day.toml`` hold, beyond those of the model's data types."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, TypeAlias

from telemetry import toml_tables
from telemetry.model.ranges import Range
from telemetry.toml_tables import fitting, within

PLAIN = "text in quotes, a number, a date, true or false"
LARGEST = 1e300
"""Whole numbers in TOML know no bound, floats do."""


class Table(toml_tables.Table):
    """A table of a ride day."""


def _plain(value: object) -> bool:
    number = isinstance(value, int | float) and -LARGEST <= value <= LARGEST  # NaN is neither
    return isinstance(value, str | bool | dt.date | dt.time) or number


def _marks(value: object) -> bool:
    return isinstance(value, str | int | float) and not isinstance(value, bool)


Finite: TypeAlias = Annotated[float, within(Range(-1e12, 1e12, said="a plain number, neither nan nor inf"))]
Point: TypeAlias = Annotated[
    list[Finite], fitting(lambda value: isinstance(value, list) and len(value) == 2, "two numbers in brackets")
]
Pairs: TypeAlias = Annotated[
    list[Point],
    fitting(lambda value: isinstance(value, list) and all(isinstance(item, list) for item in value), "pairs in a list"),
]
Plain: TypeAlias = Annotated[Any, fitting(_plain, PLAIN)]
Equals: TypeAlias = Annotated[float | str, fitting(_plain, PLAIN), fitting(_marks, "the number or the text that marks")]
TyreInsert: TypeAlias = Annotated[
    bool | str, fitting(lambda value: isinstance(value, bool | str), "true, false, or text in quotes")
]
RunsEach: TypeAlias = Annotated[int, within(Range(2, 30, whole=True))]
Clicks: TypeAlias = Annotated[float, within(Range(0, 100, "from closed"))]
