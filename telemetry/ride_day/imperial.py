"""Imperial spellings of keys, taken as entered and turned into the metric key."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from telemetry.units import IMPERIAL

from .problems import Problems, path_of, shown
from .tables import known_keys

Path = tuple[str | int, ...]
Entered = dict[Path, str]

FREE_TABLES = frozenset({"other", "smallest_change", "spread", "points"})
"""Tables whose keys are the tuner's own."""

_UNITS = (
    ("_mm_s", "mm/s"),
    ("_n_mm", "N/mm"),
    ("_bar", "bar"),
    ("_kg", "kg"),
    ("_ml", "ml"),
    ("_mm", "mm"),
    ("_deg", "°"),
    ("_cst_40c", "cSt at 40 °C"),
    ("_c", "°C"),
    ("_m", "m"),
    ("_teeth", "teeth"),
)


def unit_of(key: str) -> str:
    """Return the unit a metric key's suffix names, empty where it names none.

    Examples
    --------
    >>> unit_of("air_pressure_bar"), unit_of("knee_rebound_mm_s"), unit_of("ratio")
    ('bar', 'mm/s', '')
    """
    return next((unit for suffix, unit in _UNITS if key.endswith(suffix)), "")


def to_metric(raw: Mapping[str, Any], problems: Problems) -> tuple[dict[str, Any], Entered]:
    """Return the document with metric keys only, and the words in which imperial values were entered.

    Parameters
    ----------
    raw : mapping
        The parsed TOML; not changed.
    problems : Problems
        Gains an entry where a key stands in both spellings or an imperial value isn't a number.

    Returns
    -------
    dict and dict of path to str
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


def _table(table: Mapping[str, Any], path: Path, problems: Problems, entered: Entered) -> dict[str, Any]:
    if path and path[-1] in FREE_TABLES:
        return dict(table)
    metric: dict[str, Any] = {}
    for key, value in table.items():
        spelling = next(
            (
                item
                for item in IMPERIAL
                if key.endswith(item.suffix)
                and key.removesuffix(item.suffix) + item.metric_suffix in known_keys()
                and key not in known_keys()
            ),
            None,
        )
        if spelling is None:
            metric.setdefault(key, _value(value, (*path, key), problems, entered))
            continue
        name = key.removesuffix(spelling.suffix) + spelling.metric_suffix
        if name in table:
            problems.add(path_of((*path, key)), f"both {key!r} and {name!r}", "one of the two spellings")
        elif isinstance(value, bool) or not isinstance(value, int | float):
            problems.add(path_of((*path, key)), shown(value), f"a number in {spelling.unit}")
        else:
            metric[name] = spelling.to_metric(float(value))
            entered[(*path, name)] = f"{value:g} {spelling.unit}"
    return metric
