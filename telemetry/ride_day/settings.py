"""A setup's keys as every stage holds them: the value in its metric unit, and the words it was entered in."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

from telemetry.model.day import AdjusterPosition, Setting, SettingValue
from telemetry.model.setup_keys import SPECS
from telemetry.words import MINUS

from . import tables as t


def read_setting(key: str, value: Any, entered: str | None = None) -> Setting:
    """Return one key of a setup.

    Parameters
    ----------
    key : str
        In its metric spelling.
    value : any
        As its table holds it, in the metric key's unit.
    entered : str, optional
        The words it was entered in, where those weren't metric.
    """
    plain = _value(value)
    words = "as measured" if isinstance(value, t.LinkageTable) else entered or _words(key, plain)
    return Setting(key=key, value=plain, entered=words)


def _value(value: Any) -> SettingValue:
    if isinstance(value, t.AdjusterTable):
        turns = value.clicks_from_closed is None
        position = value.turns_from_closed if turns else value.clicks_from_closed
        return AdjusterPosition(from_closed=position or 0.0, of=value.of, unit="turns" if turns else "clicks")
    if isinstance(value, t.LinkageTable):
        return json.dumps(value.model_dump(mode="json"))
    if isinstance(value, bool | str | dt.date):
        return value
    return float(value)


def _words(key: str, value: SettingValue) -> str:
    if isinstance(value, AdjusterPosition):
        of = f" (of {value.of:g})" if value.of is not None else ""
        return f"{value.from_closed:g} {value.unit} from closed{of}"
    if isinstance(value, float):
        return f"{plain_words(value)} {SPECS[key].unit}".strip()
    return plain_words(value)


def plain_words(value: object) -> str:
    """Return a plain value as people read it.

    Examples
    --------
    >>> plain_words(-4.50), plain_words(True), plain_words("open")
    ('−4.5', 'yes', 'open')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, int | float):
        return f"{value:.10g}".replace("-", MINUS)
    return str(value)
