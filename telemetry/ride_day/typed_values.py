"""What a person types for a key, as the file is to hold it; whether it may is for the file's own reader to say."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from typing import Any

from telemetry.errors import clean_text
from telemetry.model.setup_keys import SPECS
from telemetry.units import IMPERIAL

LONGEST_TEXT = 2000
"""Letters of a text that is typed; own choice."""
METRIC_UNITS: Mapping[str, str] = {"_bar": "bar", "_n_mm": "N/mm", "_kg": "kg", "_c": "°C", "_mm": "mm"}
_NUMBER = re.compile(r"\s*([+\-−]?[0-9]{1,30}(?:[.,][0-9]{1,30})?|[+\-−]?[.,][0-9]{1,30})\s*(.*?)\s*")


def spellings_of(key: str) -> tuple[tuple[str, str], ...]:
    """Return how a key may be spelled, each with its unit: the metric spelling first.

    Examples
    --------
    >>> spellings_of("air_pressure_bar"), spellings_of("lower_leg_oil_each_ml")
    ((('air_pressure_bar', 'bar'), ('air_pressure_psi', 'psi')), (('lower_leg_oil_each_ml', 'ml'),))
    """
    for item in IMPERIAL:
        if key.endswith(item.metric_suffix):
            other = key.removesuffix(item.metric_suffix) + item.suffix
            return (key, METRIC_UNITS[item.metric_suffix]), (other, item.unit)
    return ((key, SPECS[key].unit if key in SPECS else ""),)


def spelled(key: str, raw: Mapping[str, Any]) -> str:
    """Return how a key stands in a table, or would: as the file spells its unit elsewhere.

    Parameters
    ----------
    key : str
        In its metric spelling.
    raw : mapping
        The file's tables, as TOML reads them.
    """
    metric, *imperial = (way for way, _ in spellings_of(key))
    suffix = next((item.suffix for item in IMPERIAL if imperial and imperial[0].endswith(item.suffix)), None)
    if suffix is None:
        return metric
    names = set(_keys(raw))
    return imperial[0] if any(name.endswith(suffix) for name in names) and metric not in names else metric


def _keys(raw: object) -> Iterator[str]:
    if isinstance(raw, Mapping):
        for key, value in raw.items():
            yield key
            yield from _keys(value)
    elif isinstance(raw, list):
        for item in raw:
            yield from _keys(item)


def number_typed(key: str, text: str) -> tuple[str, object]:
    """Return the key, spelled in the unit that was typed, and the number; the text itself where it is none.

    Parameters
    ----------
    key : str
        As it is spelled where no unit is typed.
    text : str
        Such as ``"82 psi"``, ``"5,7"``.

    Examples
    --------
    >>> number_typed("air_pressure_bar", "82 psi"), number_typed("air_pressure_psi", "82")
    (('air_pressure_psi', 82), ('air_pressure_psi', 82))
    >>> number_typed("air_temperature_c", "57,5 °F"), number_typed("preload_mm", "two")
    (('air_temperature_f', 57.5), ('preload_mm', 'two'))
    """
    found = _NUMBER.fullmatch(text)
    whole = clean_text(text, longest=LONGEST_TEXT)
    if found is None:
        return key, whole
    digits = found[1].replace(",", ".").replace("−", "-")
    unit = _plain(found[2])
    ways = spellings_of(_metric(key))
    spelling = key if not unit else next((way for way, words in ways if _plain(words) == unit), None)
    return (key, whole) if spelling is None else (spelling, float(digits) if "." in digits else int(digits))


def _plain(unit: str) -> str:
    return unit.lower().replace(" ", "").removeprefix("°")


def _metric(key: str) -> str:
    item = next((item for item in IMPERIAL if key.endswith(item.suffix)), None)
    return key if item is None else key.removesuffix(item.suffix) + item.metric_suffix


def metric_value(key: str, value: float) -> float:
    """Return the value of a key, as it is spelled, in the unit of its metric spelling.

    Examples
    --------
    >>> metric_value("air_temperature_f", 212), metric_value("preload_mm", 2)
    (100.0, 2)
    """
    item = next((item for item in IMPERIAL if key.endswith(item.suffix)), None)
    return value if item is None else item.to_metric(value)


def typed(key: str, texts: Sequence[str]) -> tuple[str, object]:
    """Return a setup's key and the value that was typed for it.

    Parameters
    ----------
    key : str
        As it is spelled where no unit is typed.
    texts : sequence of str
        One; for an adjuster its position, how many there are in all (or nothing) and ``"clicks"`` or ``"turns"``.

    Examples
    --------
    >>> typed("rebound", ("9", "18", "clicks"))
    ('rebound', {'clicks_from_closed': 9, 'of': 18})
    """
    holds = SPECS[_metric(key)].holds
    if holds == "position":
        position, of, unit = texts
        held = {f"{unit}_from_closed": number_typed("", position)[1]}
        return key, held | ({"of": number_typed("", of)[1]} if of.strip() else {})
    text = clean_text(texts[0], longest=LONGEST_TEXT)
    if holds in ("true or false", "true, false or text") and text.lower() in ("yes", "no", "true", "false"):
        return key, text.lower() in ("yes", "true")
    if holds == "date":
        with suppress(ValueError):
            return key, dt.date.fromisoformat(text)
    return (key, text) if isinstance(holds, str) else number_typed(key, texts[0])
