"""Imperial spellings of keys, taken as entered and turned into the metric key."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from telemetry.toml_problems import path_of, shown
from telemetry.units import IMPERIAL, ImperialSpelling

from .problems import Problems
from .tables import known_keys
from .value_kinds import LARGEST
from .widths import KEY as WIDTHS

Path = tuple[str | int, ...]

_NAMED = frozenset({("setups",), ("sensors",), ("comparison", "smallest_change"), ("plan", "spread")})
_NAMED_IN_SETUPS_AND_RUNS = frozenset({"sensors", "other"})
_NAMED_IN_LINKAGES = frozenset({"fixed", "moving", "bodies"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Imperial:
    """A value given in an imperial spelling: the key as written, and the words it was entered in."""

    key: str
    value: float
    spelling: ImperialSpelling

    @property
    def words(self) -> str:
        """The value with its unit: ``88 psi``."""
        return f"{self.value:g} {self.spelling.unit}"

    def range_words(self, low: float, high: float) -> str:
        """Return a metric range in this spelling's unit."""
        factor, offset = self.spelling.factor, self.spelling.offset
        return f"a number from {low / factor + offset:.4g} to {high / factor + offset:.4g} {self.spelling.unit}"


Entered = dict[Path, Imperial]


def as_written(entered: Entered) -> dict[str, tuple[str, str]]:
    """Return by its metric path how each imperial key stands in the file: its path there, and the value in words."""
    return {path_of(path): (path_of((*path[:-1], own.key)), own.words) for path, own in entered.items()}


def spellings(keys: frozenset[str]) -> frozenset[str]:
    """Return metric keys together with their imperial spellings."""
    return keys | {
        key.removesuffix(item.metric_suffix) + item.suffix
        for item in IMPERIAL
        for key in keys
        if key.endswith(item.metric_suffix)
    }


def to_metric(raw: Mapping[str, Any], problems: Problems) -> tuple[dict[str, Any], Entered]:
    """Return the document with metric keys only, and the imperial values as they were entered.

    Parameters
    ----------
    raw : mapping
        The parsed TOML; not changed.
    problems : Problems
        Gains an entry where a key stands in both spellings or an imperial value isn't a number.

    Returns
    -------
    dict and dict of path to Imperial
    """
    entered: Entered = {}
    metric = _table(raw, (), problems, entered)
    return metric, entered


def _value(value: Any, path: Path, problems: Problems, entered: Entered) -> Any:
    if isinstance(value, Mapping):
        return _table(value, path, problems, entered)
    if isinstance(value, list):
        return [_value(item, (*path, place), problems, entered) for place, item in enumerate(value)]
    return value


def _holds_names(path: Path) -> bool:
    """Tell whether a table's keys are the tuner's own names, which no unit belongs to."""
    if path in _NAMED or (path[-2:-1] == ("linkage",) and path[-1] in _NAMED_IN_LINKAGES):
        return True
    return len(path) == 3 and path[0] in ("setups", "runs") and path[2] in _NAMED_IN_SETUPS_AND_RUNS


def _spelling(key: str) -> ImperialSpelling | None:
    if key in known_keys():
        return None
    fitting = (item for item in IMPERIAL if key.endswith(item.suffix))
    return next((item for item in fitting if key.removesuffix(item.suffix) + item.metric_suffix in known_keys()), None)


def _table(table: Mapping[str, Any], path: Path, problems: Problems, entered: Entered) -> dict[str, Any]:
    metric: dict[str, Any] = {}
    for key, value in table.items():
        spelling = None if _holds_names(path) else _spelling(key)
        if spelling is None:
            metric[key] = _value(value, (*path, key), problems, entered)
            continue
        name = key.removesuffix(spelling.suffix) + spelling.metric_suffix
        if name in table:
            problems.add(path_of((*path, key)), f"both {key!r} and {name!r}", "one of the two spellings")
        elif isinstance(value, bool) or not isinstance(value, int | float):
            problems.add(path_of((*path, key)), shown(value), f"a number in {spelling.unit}")
        else:
            number = float(value) if isinstance(value, float) or abs(value) <= LARGEST else math.inf
            if path and path[-1] == WIDTHS:
                spelling = replace(spelling, offset=0.0)  # 2 °F more or less are 1.1 K, wherever they are
            metric[name] = spelling.to_metric(number)
            entered[(*path, name)] = Imperial(key=key, value=number, spelling=spelling)
    return metric
