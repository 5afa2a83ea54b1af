"""A value in a wrong form, shown in the right one: ``rebound = { clicks_from_closed = 9, of = 18 }`` for ``9``."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping

from telemetry.model.ranges import Range
from telemetry.model.setup_keys import SETUP_KEYS
from telemetry.toml_string import toml_string
from telemetry.units import IMPERIAL, MM_PER_INCH, STANDARD_GRAVITY_M_S2

from .imperial import Path
from .typed_values import spellings_of
from .value_kinds import LARGEST

LONGEST = 60
"""Letters of a text from which a form is made; own choice, as messages show no longer ones."""
USUAL_CLICKS = 18
"""Positions of an adjuster in the form shown where none are written; own choice, an example only."""
OTHER_UNITS: Mapping[str, tuple[tuple[str, float], ...]] = {
    "_n_mm": (("kgf/mm", STANDARD_GRAVITY_M_S2), ("N/m", 1e-3)),
    "_mm_s": (("m/s", 1000.0),),
    "wheel_diameter_mm": (("mm of radius", 2.0),),
    "_mm": (("cm", 10.0), ("m", 1000.0)),
    "_ml": (("l", 1000.0),),
    "_kg": (("g", 1e-3),),
    "_bar": (("kPa", 0.01),),
    "_m": (("ft", 12e-3 * MM_PER_INCH),),
    "_share": (("%", 0.01),),
}
"""In what else a key of such an ending may be written, and how many of its own unit one of them is."""

_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_WHOLE = re.compile(r"^\w+ = | brackets$")
"""What is a line of its own, not what stands behind the key."""
_DAY_FIRST = re.compile(r"(\d{1,2})[./](\d{1,2})[./](\d{4})")
_POSITIONS = frozenset(spec.key for spec in SETUP_KEYS if spec.holds == "position")
_TABLES = frozenset({"table", "dict_type", "model_type", "model_attributes_type"})
_LISTS_OF_TABLES = frozenset({"runs", "static", "marks", "stretches"})
_OF_KEY: Mapping[str, str] = {
    "time": '{ column = "t_ms", unit = "ms" }',
    "columns": '{ ax = "ax", ay = "ay", az = "az" }',
    "smallest_change": '{ dynamic_sag = "2 points" }',
    "plus_minus": "{ air_pressure_bar = 0.1 }",
    "spread": '{ "dynamic_sag:front" = 0.6 }',
}
_POINTS_OF_SCALE = 'points = ["main", "axle"]'
_REQUIRED: Mapping[str, str] = {
    "date": "2026-05-16",
    "log": '"run_1.csv"',
    "kind": '"displacement"',
    "column": '"A0"',
    "end": '"front"',
    "points": "[[212, 0.0], [3770, 170.0]], reading and mm; [[0, 0], [160, 160]] where the log holds mm",
}


def right_form(path: Path, value: object, kind: str) -> str:
    """Return how a key is written, made of what stands there; empty where nothing can be made of it.

    Parameters
    ----------
    path : path
        Of the key, as entered.
    value : object
        What stands there.
    kind : str
        What the validator found wrong.

    Examples
    --------
    >>> right_form(("setups", "a", "front", "rebound"), 9, "model_type")
    'rebound = { clicks_from_closed = 9, of = 18 }'
    >>> right_form(("comparison", "focus"), "dynamic_sag", "list_type")
    'focus = ["dynamic_sag"]'
    """
    key = next((part for part in reversed(path) if isinstance(part, str)), "")
    own = path[-1:] == (key,)
    if path[-2:] == ("scale", "points"):  # two names, where a sensor's are readings
        return _POINTS_OF_SCALE
    if kind == "missing":
        return f"{key} = {_REQUIRED[key]}" if key in _REQUIRED and path[:1] != ("static",) else ""
    if not own or (isinstance(value, str) and len(value) > LONGEST):
        return ""
    form = next((found for way in _WAYS if (found := way(key, value, kind))), "")
    return form if not form or _WHOLE.search(form) else f"{key} = {form}"


def unit_slip(key: str, value: object, bounds: Range) -> str:
    """Return in which other unit a number beyond its range would lie within: ``88 psi? air_pressure_psi = 88``.

    Parameters
    ----------
    key : str
        In its metric spelling.
    value : object
        What stands there.
    bounds : Range
        Of the key.
    """
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) <= LARGEST:
        return ""
    spelling = next((item for item in IMPERIAL if key.endswith(item.metric_suffix)), None)
    if spelling is not None and bounds.holds(spelling.to_metric(float(value))):
        other = key.removesuffix(spelling.metric_suffix) + spelling.suffix
        return f"{value:g} {spelling.unit}? Then {other} = {value:g}"
    others = next((units for ending, units in OTHER_UNITS.items() if key.endswith(ending)), ())
    for unit, factor in others:
        if bounds.holds(value * factor):
            return f"{value:g} {unit}? Then {key} = {value * factor:.5g}"
    return ""


def metric_slip(key: str, entered: float, bounds: Range) -> str:
    """Return that a number in an imperial spelling may have been meant in the metric one; empty where it can't.

    Parameters
    ----------
    key : str
        In its metric spelling.
    entered : float
        What stands in the imperial one.
    bounds : Range
        Of the metric key.

    Examples
    --------
    >>> metric_slip("wheel_diameter_mm", 740.0, Range(20, 3000, "mm"))
    '740 mm? Then wheel_diameter_mm = 740'
    """
    unit = spellings_of(key)[0][1]
    return f"{entered:g} {unit}? Then {key} = {entered:g}" if bounds.holds(entered) else ""


def _position(key: str, value: object, kind: str) -> str:
    if key not in _POSITIONS or kind not in _TABLES:
        return ""
    numbers = [text.replace(",", ".") for text in _NUMBER.findall(str(value))]
    at = numbers[0] if numbers else "9"
    most = numbers[1] if len(numbers) > 1 else f"{max(USUAL_CLICKS, float(at)):g}"
    return f"{{ clicks_from_closed = {at}, of = {most} }}"


def _table(key: str, value: object, kind: str) -> str:
    """Return a table's header in single brackets, its named keys, or what one key of it holds."""
    if kind not in _TABLES:
        return ""
    if key == "time" and isinstance(value, str):
        return f'{{ column = {toml_string(value)}, unit = "ms" }}'
    if key == "columns" and isinstance(value, list) and all(isinstance(item, str) for item in value):
        axes = zip(("ax", "ay", "az", "gx", "gy", "gz"), value, strict=False)
        return f"{{ {', '.join(f'{axis} = {toml_string(name)}' for axis, name in axes)} }}"
    if key in _OF_KEY:
        return _OF_KEY[key]
    many = isinstance(value, list) and value and all(isinstance(item, Mapping) for item in value)
    return f"[{key}] in single brackets" if many else ""


def _list(key: str, value: object, kind: str) -> str:
    if kind != "list_type":
        return ""
    if isinstance(value, Mapping) and key in _LISTS_OF_TABLES:
        return f"[[{key}]] in double brackets"
    return f"[{toml_string(value)}]" if isinstance(value, str) else ""


def _points(key: str, value: object, _kind: str) -> str:
    if key != "points":
        return ""
    flat: list[object] = list(value) if isinstance(value, list) else []
    if isinstance(value, Mapping):
        flat = [item for reading, mm in value.items() if _NUMBER.fullmatch(str(reading)) for item in (reading, mm)]
    if not flat or len(flat) > 8 or len(flat) % 2 or any(isinstance(item, list | Mapping) for item in flat):
        return "[[212, 0.0], [3770, 170.0]], reading and mm"
    pairs = [f"[{flat[place]}, {flat[place + 1]}]" for place in range(0, len(flat), 2)]
    return f"[{', '.join(pairs if len(pairs) > 1 else [*pairs, '[another reading, its mm]'])}]"


def _leverage(key: str, value: object, _kind: str) -> str:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if key == "leverage" and number:
        return f"ratio = {value}"
    if key == "leverage" and isinstance(value, list):
        return '"leverage.csv", a file beside this one with columns stroke_mm and travel_mm'
    if key == "ratio" and isinstance(value, str) and not _NUMBER.match(value.strip()):
        return f"leverage = {toml_string(value)}"
    return ""


def _number(_key: str, value: object, kind: str) -> str:
    """Return a number without its quotes and its unit."""
    found = _NUMBER.match(value.strip()) if isinstance(value, str) else None
    numeric = kind in ("range", "float_type", "int_type")
    return found.group().replace(",", ".") if found is not None and numeric else ""


def _truth(_key: str, value: object, kind: str) -> str:
    if kind != "bool_type":
        return ""
    said = str(value).strip().lower()
    return {"true": "true", "yes": "true", "1": "true", "false": "false", "no": "false", "0": "false"}.get(said, "")


def _text(key: str, value: object, kind: str) -> str:
    if kind != "string_type":
        return ""
    if isinstance(value, list):
        texts = [toml_string(item) for item in value if isinstance(item, str) and len(item) <= LONGEST]
        if key == "log" and len(texts) == 2:
            return f"{{ front = {texts[0]}, rear = {texts[1]} }}"
        return texts[0] if len(texts) == len(value) == 1 else ""
    plain = isinstance(value, int | float | dt.date) and not isinstance(value, bool)
    return f'"{value}"' if plain else ""


def _date(_key: str, value: object, kind: str) -> str:
    """Return a date or time without its quotes; one written day first is turned round where it can be only that."""
    if kind not in ("date_type", "date_from_datetime_inexact", "datetime_type"):
        return ""
    day_only = kind != "datetime_type"
    if isinstance(value, dt.datetime):
        return value.date().isoformat() if day_only else ""
    if isinstance(value, dt.date):
        return "" if day_only else f"{value.isoformat()}T09:12:00"
    if isinstance(value, dt.time):
        return "" if day_only else f"2026-05-16T{value.isoformat()}"
    return _written_date(value, day_only=day_only) if isinstance(value, str) else ""


def _written_date(text: str, *, day_only: bool) -> str:
    turned = _DAY_FIRST.fullmatch(text.strip())
    if turned is not None and int(turned.group(1)) > 12:
        text = f"{turned.group(3)}-{int(turned.group(2)):02d}-{int(turned.group(1)):02d}"
    try:
        stamp = dt.datetime.fromisoformat(text.strip())
    except ValueError:
        return ("2026-05-16" if day_only else "2026-05-16T09:12:00") + " without quotes"
    return stamp.date().isoformat() if day_only else stamp.isoformat()


def _pair(key: str, value: object, _kind: str) -> str:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return f"[0, {value}]" if key == "counts_range" and number else ""


_WAYS: tuple[Callable[[str, object, str], str], ...] = (
    _position,
    _table,
    _points,
    _leverage,
    _number,
    _pair,
    _list,
    _truth,
    _text,
    _date,
)
"""Each gives the form that a key's value is to have, or nothing; the first that gives one is shown."""
