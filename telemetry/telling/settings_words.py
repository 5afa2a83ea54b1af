"""Settings and what differs in them, in the words of a language: each value as it was entered."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping

from telemetry.languages import Language
from telemetry.model.analysis import Comparison
from telemetry.model.comparison import SetupDifference
from telemetry.model.day import Setup
from telemetry.model.setting import AdjusterPosition, ForcePoints, Setting
from telemetry.model.setup_keys import LEVERAGE_KEYS
from telemetry.model.setup_keys import SPECS as KEYS
from telemetry.words import MINUS

LEVERS = frozenset({"open", "middle", "firm"})
"""Positions of a lever that have a name in every language; words of one's own stand as they are."""
_QUANTITY = re.compile(r"([−-]?\d+(?:\.\d+)?(?:e[+-]?\d+)?)(?: (.+))?")


def key_in_words(key: str, place: str, language: Language, *, from_closed: bool = False) -> str:
    """Return a key with where it stands: ``lower-leg oil, front``; what is no key of ours by its own name."""
    name = language.say(f"key.{key}.name") if key in KEYS else key
    name = language.say("setting.from_closed", setting=name) if from_closed else name
    if place not in ("front", "rear"):
        return name
    return language.say("setting.at", setting=name, end=language.say(f"end.short_{place}"))


def setting_in_words(setting: Setting | None, language: Language) -> str:
    """Return a setting as it was entered: numbers, units and what isn't free text in the language's words."""
    if setting is None:
        return language.say("page.not_stated")
    value = setting.value
    if isinstance(value, AdjusterPosition):
        at, every = (language.number(f"{number:g}") for number in (value.from_closed, value.of or 0))
        return language.say(f"setting.{value.unit}{'' if value.of is None else '_of'}", at=at, all=every)
    if isinstance(value, tuple):
        return _points_in_words(value, language)
    if isinstance(value, bool):
        return language.say("setting.yes" if value else "setting.no")
    return language.date(value) if isinstance(value, dt.date) else _plain(setting, language)


def _plain(setting: Setting, language: Language) -> str:
    if isinstance(setting.value, float):
        return quantity_as_entered(setting.entered, language)
    if setting.key == "lever" and setting.entered in LEVERS:
        return language.say(f"setting.lever_{setting.entered}")
    return language.say("setting.linkage") if setting.key == "linkage" else setting.entered


def _points_in_words(points: ForcePoints, language: Language) -> str:
    (speed, force), (speed_last, force_last) = points[0], points[-1]
    ends = {"speed": speed, "force": force, "speed_last": speed_last, "force_last": force_last}
    told = {name: language.number(f"{number:.10g}".replace("-", MINUS)) for name, number in ends.items()}
    return language.say("setting.points", count=len(points), **told)


def quantity_as_entered(entered: str, language: Language) -> str:
    """Return a number with its unit, in whichever unit it was entered; any other text as it stands."""
    found = _QUANTITY.fullmatch(entered)
    if found is None:
        return entered
    return f"{language.number(found[1])} {language.unit(found[2] or '')}".strip()


def position_in_short(setting: Setting | None, language: Language) -> str:
    """Return a setting for a table that says beside its key what positions are counted from: ``6 of 14``."""
    value = None if setting is None else setting.value
    if not isinstance(value, AdjusterPosition):
        return setting_in_words(setting, language)
    at = language.number(f"{value.from_closed:g}")
    if value.of is None:
        return f"{at} {language.unit(value.unit)}"
    return language.say("setting.of", at=at, all=language.number(f"{value.of:g}"))


def _held(setup: Setup, difference: SetupDifference) -> Mapping[str, Setting]:
    return setup.bike if difference.end == "both" else setup.at(difference.end).settings


def change_in_words(comparison: Comparison, difference: SetupDifference, language: Language) -> str:
    """Return one setting that differs: ``lower-leg oil, front: 20 → 8 ml each``.

    Parameters
    ----------
    comparison : Comparison
    difference : SetupDifference
        One of the comparison's.
    language : Language
    """
    setups = comparison.day.setups
    setting = key_in_words(difference.key, difference.end, language)
    if difference.moved is not None:
        form = "change.moved" if difference.moved else "change.otherwise"
        return language.say(form, setting=setting, points=", ".join(difference.moved))
    before, after = (
        _side(_held(setups[name], difference), setups[name], difference, language)
        for name in (comparison.baseline, difference.candidate)
    )
    if difference.instead_of:
        at = language.say(f"end.short_{difference.end}")
        setting = language.say("setting.at", setting=language.say("change.leverage"), end=at)
    number, _, unit = before.partition(" ")
    if unit and unit == after.partition(" ")[2] and re.fullmatch(r"[−-]?[\d.,]+", number):
        before = number  # the unit is said once
    form = "change.each" if "_each_" in difference.key else "change.plain"
    told = language.say(form, setting=setting, before=before, after=after)
    if difference.full_travels_mm is None:
        return told
    old, new = (language.figure(travel, 1) for travel in difference.full_travels_mm)
    return language.say("change.travel", change=told, before=old, after=new)


def _side(held: Mapping[str, Setting], setup: Setup, difference: SetupDifference, language: Language) -> str:
    if difference.key not in KEYS:
        return setup.other.get(difference.key) or language.say("page.not_stated")
    key = next((key for key in LEVERAGE_KEYS if key in held), "") if difference.instead_of else difference.key
    told = setting_in_words(held.get(key), language)
    return f"{language.say(f'key.{key}.name')} {told}" if difference.instead_of and key else told
