"""A setup's keys as every stage holds them: the value in its metric unit, and the words it was entered in."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

from telemetry.model.setting import AdjusterPosition, ForcePoints, Setting, SettingValue
from telemetry.model.setup_keys import SPECS
from telemetry.words import MINUS

from . import tables as t


def read_setting(key: str, value: Any, entered: str | None = None, plus_minus: float | None = None) -> Setting:
    """Return one key of a setup.

    Parameters
    ----------
    key : str
        In its metric spelling.
    value : any
        As its table holds it, in the metric key's unit.
    entered : str, optional
        The words it was entered in, where those weren't metric.
    plus_minus : float, optional
        How well it is known, in the key's unit.
    """
    plain = _value(value)
    words = "as measured" if isinstance(value, t.LinkageTable) else entered or _words(key, plain)
    return Setting(key=key, value=plain, entered=words, plus_minus=plus_minus)


def _value(value: Any) -> SettingValue:
    if isinstance(value, t.AdjusterTable):
        turns = value.clicks_from_closed is None
        position = value.turns_from_closed if turns else value.clicks_from_closed
        return AdjusterPosition(from_closed=position or 0.0, of=value.of, unit="turns" if turns else "clicks")
    if isinstance(value, t.LinkageTable):
        return json.dumps(value.model_dump(mode="json"))
    if isinstance(value, bool | str | dt.date):
        return value
    if isinstance(value, list):
        return tuple(sorted((float(speed), float(force)) for speed, force in value))
    return float(value)


def _words(key: str, value: SettingValue) -> str:
    if isinstance(value, AdjusterPosition):
        of = f" (of {value.of:g})" if value.of is not None else ""
        return f"{value.from_closed:g} {value.unit} from closed{of}"
    if isinstance(value, float):
        return f"{plain_words(value)} {SPECS[key].unit}".strip()
    return force_words(value) if isinstance(value, tuple) else plain_words(value)


def force_words(points: ForcePoints) -> str:
    """Return a damper's points as people read them: how many, and the first and the last.

    Examples
    --------
    >>> force_words(((-1000.0, -800.0), (0.0, 0.0), (1000.0, 300.0)))
    '3 points, −800 N at −1000 mm/s to 300 N at 1000 mm/s'
    """
    ends = (f"{plain_words(force)} N at {plain_words(speed)} mm/s" for speed, force in (points[0], points[-1]))
    return f"{len(points)} points, {' to '.join(ends)}"


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
