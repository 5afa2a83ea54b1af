"""Values that tables hold, each with its check and the words for what was expected; and the table itself."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, TypeAlias

from pydantic import BeforeValidator
from pydantic_core import PydanticCustomError

from telemetry import toml_tables
from telemetry.model.ranges import Range
from telemetry.toml_tables import within

LARGEST = 1e300
"""Whole numbers in TOML know no bound, floats do."""


def _pair(value: object) -> object:
    if isinstance(value, list) and len(value) == 2:
        return value
    raise PydanticCustomError("pair", "two numbers in brackets")


def _plain(value: object) -> object:
    if isinstance(value, str | bool | dt.date | dt.time):
        return value
    if isinstance(value, int | float) and -LARGEST <= value <= LARGEST:  # NaN is neither
        return value
    raise PydanticCustomError("plain", "text in quotes, a number, a date, true or false")


def _equals(value: object) -> object:
    if isinstance(value, str) or (not isinstance(value, bool) and isinstance(value, int | float)):
        return _plain(value)
    raise PydanticCustomError("equals", "the number or the text that marks")


def _insert(value: object) -> object:
    if isinstance(value, bool | str):
        return value
    raise PydanticCustomError("insert", "true, false, or text in quotes")


Finite: TypeAlias = Annotated[float, within(Range(-1e12, 1e12, said="a plain number, neither nan nor inf"))]
Point: TypeAlias = Annotated[list[Finite], BeforeValidator(_pair)]
Plain: TypeAlias = Annotated[Any, BeforeValidator(_plain)]
Equals: TypeAlias = Annotated[float | str, BeforeValidator(_equals)]
TyreInsert: TypeAlias = Annotated[bool | str | None, BeforeValidator(_insert)]


class Table(toml_tables.Table):
    """A table of a ride day."""
