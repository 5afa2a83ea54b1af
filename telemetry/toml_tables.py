"""Tables of a TOML file: checked key by key, and turned into the data types that state their fields.

A data type of the model states each field once: name, kind, range, default. `like` makes the table's keys of it, `made`
makes it of the table.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType, UnionType
from typing import Annotated, Any, Protocol, TypeAlias, TypeVar, Union, get_args, get_origin, get_type_hints

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, create_model
from pydantic_core import PydanticCustomError

from .model.ranges import Range

RANGE_ERROR, UNFIT = "range", "unfit"
M_PER_MM = 1e-3


class Table(BaseModel):
    """A TOML table: unknown keys are refused, types aren't bent."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)


_AnyTable = TypeVar("_AnyTable", bound=Table)
_Made = TypeVar("_Made")


class _Extending(Protocol):
    def __call__(self, table: type[_AnyTable]) -> type[_AnyTable]: ...


@dataclass(frozen=True, slots=True)
class Within:
    """The check that a value, where there is one, is a number within its range."""

    bounds: Range

    def __call__(self, value: Any) -> Any:
        """Return the value.

        Raises
        ------
        PydanticCustomError
        """
        if value is not None and not self.bounds.holds(value):
            words = {"words": self.bounds.words, "low": self.bounds.low, "high": self.bounds.high}
            raise PydanticCustomError(RANGE_ERROR, "{words}", words)
        return value


def within(bounds: Range) -> BeforeValidator:
    """Return the check of a number within its range, which tells of anything else in the same words."""
    return BeforeValidator(Within(bounds))


def fitting(fits: Callable[[Any], bool], words: str) -> BeforeValidator:
    """Return the check that a value fits, in words for what was expected."""

    def checked(value: Any) -> Any:
        if not fits(value):
            raise PydanticCustomError(UNFIT, "{words}", {"words": words})
        return value

    return BeforeValidator(checked)


def _names_column(value: object) -> bool:
    if isinstance(value, str):
        return bool(value.strip())
    return isinstance(value, int) and not isinstance(value, bool) and value >= 1


Column: TypeAlias = Annotated[
    str | int, fitting(_names_column, "a column's name in quotes, or its number counted from 1")
]


def read_as(kind: Any) -> Any:
    """Return what a field's kind is checked by: a range within its bounds, ``str | int`` as a log's column."""
    if kind == str | int:
        return Column
    if get_origin(kind) in (Union, UnionType):
        return Union[tuple(map(read_as, get_args(kind)))]  # noqa: UP007 - made of what is found
    if get_origin(kind) is Annotated:
        number, bounds = get_args(kind)
        return Annotated[number, within(bounds)]
    return kind


def bounds_of(kind: Any) -> Range | None:
    """Return the range of a key that holds one number; None of any other key's kind."""
    if get_origin(kind) in (Union, UnionType):
        return next(filter(None, map(bounds_of, get_args(kind))), None)
    if get_origin(kind) is not Annotated:
        return None
    number, *checks = get_args(kind)
    found = [check.func for check in checks if isinstance(check, BeforeValidator)]
    return next((check.bounds for check in found if number is float and isinstance(check, Within)), None)


def with_keys(keys: Mapping[str, Any]) -> _Extending:
    """Give a table further keys, each (kind, default or field)."""

    def extended(table: type[_AnyTable]) -> type[_AnyTable]:
        own = {key: value for key, value in keys.items() if key not in table.model_fields}
        return create_model(table.__name__, __base__=table, __doc__=table.__doc__, **own)

    return extended


def like(kind: type, *, without: tuple[str, ...] = (), only: tuple[str, ...] = ()) -> _Extending:
    """Give a table the fields of a data type that it doesn't have itself.

    Parameters
    ----------
    kind : dataclass
    without : tuple of str
        Fields that don't come from the table.
    only : tuple of str
        If given, the fields that do.
    """
    hints = get_type_hints(kind, include_extras=True)
    fields = [item for item in dataclasses.fields(kind) if item.name not in without and (not only or item.name in only)]
    return with_keys({item.name: (read_as(hints[item.name]), _default(item)) for item in fields})


def _default(item: dataclasses.Field[Any]) -> Any:
    if item.default is not dataclasses.MISSING:
        return item.default
    return ... if item.default_factory is dataclasses.MISSING else Field(default_factory=item.default_factory)


def made(kind: type[_Made], *tables: Table, **own: Any) -> _Made:
    """Return a data type out of tables: the fields that they hold, and those that are its `own`.

    A field in metres is made of a key in millimetres where no table has it itself.
    """
    names = {item.name for item in dataclasses.fields(kind)} - own.keys()  # type: ignore[arg-type]
    keys = {key: table for table in tables for key in type(table).model_fields}
    held = {name: _unchanging(getattr(keys[name], name)) for name in names & keys.keys()}
    in_mm = {name: f"{name}m" for name in names - keys.keys() if name.endswith("_m") and f"{name}m" in keys}
    return kind(**held | {name: getattr(keys[key], key) * M_PER_MM for name, key in in_mm.items()} | own)


def _unchanging(value: Any) -> Any:
    if isinstance(value, list):
        return tuple(map(_unchanging, value))
    if isinstance(value, dict):
        return MappingProxyType({key: _unchanging(item) for key, item in value.items()})
    return value


def tables_at(path: Sequence[str | int], root: type[Table]) -> list[type[Table]]:
    """Return the tables that may stand at a path; names of the file's own and places in lists are gone through."""
    tables = [root]
    named = False
    for part in path:
        if isinstance(part, int) or named:
            named = False
            continue
        kinds = [
            item.annotation
            for table in tables
            for name, item in table.model_fields.items()
            if part in (name, item.alias)
        ]
        tables = [table for kind in kinds for table in _tables_in(kind)]
        named = any(get_origin(kind) is dict for kind in kinds)
    return tables


def _tables_in(kind: Any) -> list[type[Table]]:
    if isinstance(kind, type) and issubclass(kind, Table):
        return [kind]
    return [table for part in get_args(kind) for table in _tables_in(part)]
