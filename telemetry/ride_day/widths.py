"""``plus_minus = { key = value }``: how well the numbers of a table are known, each in its key's unit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Annotated, Any, TypeVar

from telemetry.model.ranges import Range
from telemetry.model.setup_keys import SPECS
from telemetry.toml_tables import Table, bounds_of, with_keys, within

from .problems import Problems

KEY = "plus_minus"
OF_POINTS = Range(0, 10_000, "N")
"""How well the forces of a damper's points may be known."""

_AnyTable = TypeVar("_AnyTable", bound=Table)


class PlusMinusTable(Table):
    """``plus_minus = { air_pressure_bar = 0.1 }``."""


def with_widths(table: type[_AnyTable]) -> type[_AnyTable]:
    """Give a table ``plus_minus``, which knows those of its keys that hold a number, and a damper's points."""
    held = {key: bounds_of(item.annotation) for key, item in table.model_fields.items()}
    held |= {key: _of_field(item) for key, item in table.model_fields.items() if held[key] is None}
    widths = {key: Range(0, bounds.high - bounds.low, bounds.unit) for key, bounds in held.items() if bounds}
    widths |= {key: OF_POINTS for key in table.model_fields if key in SPECS and SPECS[key].holds == "points"}
    known = {key: (Annotated[float, within(bounds)] | None, None) for key, bounds in widths.items()}
    own: type[PlusMinusTable] = with_keys(known)(PlusMinusTable)
    return with_keys({KEY: (own, own())})(table)


def _of_field(item: Any) -> Range | None:
    """Return the range of a required key: its checks stand with the field, not with its kind."""
    return bounds_of(Annotated[item.annotation, *item.metadata]) if item.metadata else None


MAY_BE_NEAR_NONE = frozenset({"preload_mm", "altitude_m", "air_temperature_c"})
"""Figures that are often next to 0, and are measured no better for that."""


class WidthsStated:
    """What is stated of how well figures are known, and whether any setup states the figures themselves."""

    def __init__(self) -> None:
        self._idle: dict[str, tuple[str, float]] = {}
        self._of_figures: set[str] = set()

    def check(
        self, tables: Iterable[tuple[str, Mapping[str, float]]], values: Mapping[str, Any], problems: Problems
    ) -> None:
        """Find figures that are stated to be off by more than themselves, of those that are more than next to nothing.

        Parameters
        ----------
        tables : iterable of (path, widths by key)
            Those that state widths, the one that is inherited from first.
        values : mapping of key to value
            In force: what the widths are of. What is 0, or next to none as preload, may be off by more than itself.
        problems : Problems
        """
        in_force = {}
        for path, widths in tables:
            for key, width in widths.items():
                in_force[key] = (path, width)
                self._note(f"{path}.{KEY}.{key}", key, width, stated=values.get(key) is not None)
        for key, (path, width) in in_force.items():
            value, spec = values.get(key), SPECS.get(key)
            if key in MAY_BE_NEAR_NONE or (spec is not None and isinstance(spec.holds, Range) and spec.holds.low < 0):
                continue
            if isinstance(value, list):
                value = max(abs(force) for _, force in value)
            if isinstance(value, int | float) and 0 < value < width:
                problems.add(f"{path}.{KEY}.{key}", f"{width:g}", f"no more than the figure itself, {value:g}")

    def _note(self, path: str, key: str, width: float, *, stated: bool) -> None:
        if stated:
            self._of_figures.add(path)
        else:
            self._idle[path] = (key, width)

    def check_idle(self, problems: Problems) -> None:
        """Find widths of figures that nothing states which they could be of: they would do nothing."""
        for path, (key, width) in self._idle.items():
            if path not in self._of_figures:
                problems.add(path, f"{width:g}, of a figure that isn't stated", f"{key} itself, or no width of it")


def widths_of(table: Table) -> Mapping[str, float]:
    """Return how well a table's keys are known, by key; empty where nothing is stated."""
    stated = getattr(table, KEY)
    return dict(stated.model_dump(exclude_none=True))
