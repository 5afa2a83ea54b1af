"""A day in words: its circumstances, what was named before riding, what is set."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

from telemetry.languages import ENGLISH, Language
from telemetry.model.analysis import Analysis
from telemetry.model.day import RideDay, Setup, SetupPlace
from telemetry.model.setting import Setting
from telemetry.model.setup_keys import name_of
from telemetry.sheet import Table, table
from telemetry.words import MINUS, NOT_STATED

from .names import PLACE_TITLES, label

MINUTE_S = 60.0
NO_RUN = "no run yet"


def date_in_words(date: dt.date) -> str:
    """Return a date: ``16 May 2026``."""
    return ENGLISH.date(date)


def circumstances(analysis: Analysis, *, dated: bool = True, language: Language = ENGLISH) -> str:
    """Return the one line of circumstances: bike, trail, date, runs, riding time."""
    day = analysis.day
    riding = sum(run.value("riding_time", "both") or 0.0 for run in analysis.runs) / MINUTE_S
    runs = language.say("page.no_run")
    if analysis.runs:
        runs = language.say("circumstances.runs", count=len(analysis.runs), minutes=language.figure(riding, 0))
    air = day.air_temperature_c
    weather = f"{language.number(f'{air:g}'.replace('-', MINUS))} °C" if air is not None else ""
    parts = [day.bike.name, day.trail, day.trail_state, language.date(day.date) if dated else "", runs, weather]
    return " · ".join(part for part in parts if part)


def naming(day: RideDay) -> str:
    """Return what the tuner named as focus and smallest change, and when; empty where nothing was named."""
    settings = day.comparison
    focus = "; ".join(label(*row) for row in settings.focus)
    changes = "; ".join(f"{label(*row)} {change.entered}" for row, change in settings.smallest_change.items())
    named = [f"{what}: {which}" for what, which in (("Focus", focus), ("Smallest change", changes)) if which]
    when = f"{settings.named_at:%Y-%m-%d %H:%M}" if settings.named_at is not None else "a time that isn't stated"
    return ". ".join([f"Named at {when}", *named]) if named else ""


def unplaced(day: RideDay) -> str:
    """Return the stretches of trail that no run places yet, and what to do; empty where there is none."""
    placed = {stretch.name for stretch in day.stretches if stretch.run is not None}
    names = [name for name in day.stretch_names if name not in placed]
    if not names:
        return ""
    return (
        f"Not placed yet: {', '.join(names)}. Once a run is ridden, mark there from when to when it lasts: by dragging "
        "on the run's trace, or with run, start_s and end_s under [[stretches]]"
    )


def settings_by_place(setups: Sequence[Setup]) -> Mapping[SetupPlace, Sequence[Mapping[str, Setting]]]:
    """Return the settings of setups by place, in the order places stand in."""
    return {
        "rear": [setup.rear.settings for setup in setups],
        "front": [setup.front.settings for setup in setups],
        "bike": [setup.bike for setup in setups],
    }


def stated_keys(settings: Sequence[Mapping[str, Setting]]) -> Mapping[str, bool]:
    """Return every key that one setup or another states at a place, and whether they differ in it."""
    keys = dict.fromkeys(key for own in settings for key in own)
    return {key: len({repr(own[key].value) if key in own else None for own in settings}) > 1 for key in keys}


def setting_tables(setups: Sequence[Setup]) -> tuple[Table, ...]:
    """Return settings, a column a setup and an end a table, the bike as a whole last; marked where they differ."""
    columns = ["setting", *(setup.label for setup in setups)]
    tables = []
    for place, settings in settings_by_place(setups).items():
        stated = stated_keys(settings)
        rows = [[name_of(key), *(own[key].entered if key in own else NOT_STATED for own in settings)] for key in stated]
        marked = [row for row, differs in enumerate(stated.values()) if differs]
        tables.extend([table(columns, rows, title=PLACE_TITLES[place], marked=marked)] if rows else [])
    return tuple(tables)
