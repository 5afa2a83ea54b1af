"""A kept day as the pattern of the bike's next one: bike, sensors and the setup it was left with, and nobody's name."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from telemetry.errors import CallError, RideDayError
from telemetry.model.day import RideDay
from telemetry.toml_string import toml_string

from . import draft_words as words
from .as_written import raw_of
from .edited import COMPARISON, MARKS, RUNS, SETUPS, STATIC, STRETCHES, Change, UnchangeableError, edited
from .file import text_of
from .nameless import CUSTOMER, without_customer
from .parts import Part, parts_of
from .read import day_of

OF_THAT_DAY = (RUNS, STATIC, MARKS, STRETCHES, COMPARISON, CUSTOMER, "wish", "plan")
"""Tables of what was ridden, where, for whom, and what was asked of it."""
OF_ITS_PLACE = ("trail", "altitude", "air_temperature", "rider")
"""How keys of ``[ride_day]`` begin that are of that day's trail, weather and rider."""


def left_with(day: RideDay) -> str:
    """Return the setup on the bike at the end: of the last run, else of all recordings; empty where none is told."""
    if day.runs:
        return day.runs[-1].setup
    resting = {item.setup for item in day.static if item.setup is not None} or {*day.setups}
    return next(iter(resting)) if len(resting) == 1 else ""


def as_left(day: RideDay, unnamed: Callable[[str], str] = str) -> tuple[RideDay, str]:
    """Return a day as a pattern, and the name of the setup it was left with; the first where nothing tells.

    Parameters
    ----------
    day : RideDay
    unnamed : callable, optional
        Takes names out of a text.

    Returns
    -------
    RideDay
        The same bike, sensors and last setup, with those that it is based on; no runs, trail, rider or customer, and
        no question of what was compared.
    str

    Raises
    ------
    CallError
        If its file has a form that can't be taken over.
    """
    left = left_with(day) or next(iter(day.setups))
    raw = raw_of(day)
    held = _chain(raw.get(SETUPS, {}), left)
    text = without_customer(text_of(day.source, day.path))
    try:
        text = _without(text, held)
        gone = {key: None for key in raw["ride_day"] if key.startswith(OF_ITS_PLACE)}
        text = edited(text, Change(way=("ride_day",), keys=gone))
        text = unnamed(text)
        pattern = day_of(day.path, f"{text.rstrip()}\n{words.WHAT_CHANGES.format(left=toml_string(left))}".encode())
    except (UnchangeableError, TOMLKitError, RideDayError):
        pattern = None
    if pattern is None or not _is_like(pattern, day, left):
        expected = "tables as the handbook shows them"
        raise CallError(str(day.path), "a form that can't be taken over", expected, "copy it by hand")
    return pattern, left


def _is_like(pattern: RideDay, day: RideDay, left: str) -> bool:
    """Tell whether bike, sensors and the setup that was left are as they were."""
    own = pattern.setups.get(left)
    as_it_was = replace(day.setups[left], label="")
    return pattern.sensors == day.sensors and own is not None and replace(own, label="") == as_it_was


def _chain(setups: Any, left: str) -> list[str]:
    """Return a setup and those that it is based on."""
    chain = [left]
    while (parent := setups[chain[-1]].get("based_on")) is not None:
        chain.append(parent)
    return chain


def _without(text: str, held: Sequence[str]) -> str:
    """Return a text without what is of that day, and without setups that aren't among those held."""
    parts = parts_of(text)
    kept = []
    for place, part in enumerate(parts):
        if _goes(part, held):
            continue
        following = parts[place + 1] if place + 1 < len(parts) else None
        tail = "\n" if following is not None and _goes(following, held) else text[part.filled : part.end]
        kept.append(_body(text[part.start : part.filled], part, held) + tail)
    return "".join(kept)


def _goes(part: Part, held: Sequence[str]) -> bool:
    setups = part.header.get(SETUPS)
    return any(name in part.header for name in OF_THAT_DAY) or bool(setups and not set(setups) & set(held))


def _body(text: str, part: Part, held: Sequence[str]) -> str:
    """Return a part without what it says, under no header of their own, of tables that go."""
    within = [name for name in OF_THAT_DAY if name not in part.header and name in part.says]
    others = [name for name in part.says.get(SETUPS, {}) if name not in held]
    if not within and not others:
        return text
    document = tomlkit.parse(text)
    for name in within:
        document.remove(name)
    for name in others:
        document[SETUPS].remove(name)
    return document.as_string()
