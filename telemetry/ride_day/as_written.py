"""A setup's keys as the file holds them: which stand in its own table, and from where the others are inherited."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from telemetry.model.day import RideDay, SetupPlace
from telemetry.model.setting import Setting

from .file import parse_text, text_of
from .typed_values import spellings_of

PLACES: tuple[SetupPlace, ...] = ("rear", "front", "bike")


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenSetting:
    """One key in force at one place of a setup.

    Attributes
    ----------
    setting : Setting
    spelled : str
        The key as the file spells it.
    value : any
        As TOML reads it.
    inherited_from : str or None
        The setup whose table states it; empty for the bike's, None for the setup's own.
    """

    setting: Setting
    spelled: str
    value: Any
    inherited_from: str | None


def raw_of(day: RideDay) -> dict[str, Any]:
    """Return what the file of a day says, as TOML reads it."""
    return parse_text(text_of(day.source, day.path), day.path.name)


def written_settings(
    day: RideDay, setup: str, place: SetupPlace, raw: Mapping[str, Any] | None = None
) -> dict[str, WrittenSetting]:
    """Return every key in force at one place of a setup, by its metric spelling.

    Parameters
    ----------
    day : RideDay
    setup : str
    place : {"front", "rear", "bike"}
    raw : mapping, optional
        What `raw_of` gave, where that is known.
    """
    raw = raw_of(day) if raw is None else raw
    own = day.setups[setup]
    settings = own.bike if place == "bike" else own.at(place).settings
    layers = tuple(_layers(raw, setup, place))
    found = {}
    for key, setting in settings.items():
        for name, table in layers:
            spelling = next((way for way, _ in spellings_of(key) if way in table), None)
            if spelling is not None:
                source = None if name == setup else name
                found[key] = WrittenSetting(
                    setting=setting, spelled=spelling, value=table[spelling], inherited_from=source
                )
                break
    return found


def _layers(raw: Mapping[str, Any], setup: str, place: SetupPlace) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Yield the tables that state keys of a place, the setup's own first, the bike's last and without a name."""
    setups = raw.get("setups", {})
    name: str | None = setup
    while name is not None:
        yield name, setups[name].get(place, {})
        name = setups[name].get("based_on")
    bike = raw.get("bike", {})
    yield "", bike if place == "bike" else bike.get(place, {})
