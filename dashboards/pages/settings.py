"""What is set? Every setup's settings, what each inherits and where they differ; and a form that changes them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal
from urllib.parse import urlencode

from telemetry.errors import CallError, clean_text
from telemetry.model.day import RideDay, SetupPlace
from telemetry.model.setting import AdjusterPosition
from telemetry.model.setup_keys import OF_BIKE, OF_ENDS, SPECS, SettingSpec
from telemetry.pipeline import last_ridden
from telemetry.ride_day import (
    PLACES,
    ChangeSetup,
    WrittenSetting,
    raw_of,
    spelled,
    spellings_of,
    typed,
    written_settings,
)
from telemetry.telling.names import PLACE_TITLES
from telemetry.words import NOT_STATED

from .entering import PAGE as ENTER
from .entries import fresh_name
from .fields import TYPED, Field, FieldError, Fields, Mistakes, Option, options

PAGE = "set"
LONGEST_LABEL = 80
OF_LOG = ("name", "kind", "rear_log")
"""What was answered of a new log before its setup is asked for, where a setup is added for it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One setting of one setup: its words, whether another states it, whether it differs from the first setup's."""

    words: str
    inherited: str
    differs: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceTable:
    """One place of the bike: a row a setting, a cell a setup."""

    title: str
    rows: tuple[tuple[str, tuple[Cell, ...]], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupRow:
    """One setup; `by_hand` names those of its tables that no form changes."""

    name: str
    label: str
    based_on: str
    by_hand: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupForm:
    """The form of one place of a setup.

    Attributes
    ----------
    title : str
    fields : tuple of Field
        The setup's own keys, those it inherits, those that were just added.
    more : tuple of Option
        Keys that may be added.
    keeps : tuple of (name, value)
    mistake : str
        What is wrong and of no field.
    """

    title: str
    fields: tuple[Field, ...]
    more: tuple[Option, ...]
    keeps: Fields
    mistake: str


def of_log(fields: Fields) -> Fields:
    """Return what was answered of the new log that a setup is added for; nothing where there is none."""
    return tuple(pair for pair in fields if pair[0] in OF_LOG)


def back_from(fields: Fields) -> tuple[str, str]:
    """Return the page that a setup leads back to, and what its link says beside it.

    A setup that was added in the middle of entering a log leads back to that log's question.
    """
    log = of_log(fields)
    return (ENTER, f"&{urlencode([('step', 'setup'), *log])}") if log else (PAGE, "")


def specs_of(place: SetupPlace) -> tuple[SettingSpec, ...]:
    """Return the keys that may be set at a place, but for a mechanism and a damper's points, which take more."""
    if place == "bike":
        return OF_BIKE
    return tuple(spec for spec in OF_ENDS if place in spec.at and spec.holds not in ("linkage", "points"))


def tables(day: RideDay) -> tuple[PlaceTable, ...]:
    """Return what is set, place by place."""
    raw = raw_of(day)
    made = []
    for place in PLACES:
        written = [written_settings(day, name, place, raw) for name in day.setups]
        keys = [key for key in SPECS if any(key in own for own in written)]
        rows = tuple((SPECS[key].words, tuple(_cells(day, key, written))) for key in keys)
        made.append(PlaceTable(title=PLACE_TITLES[place], rows=rows))
    other = [setup.other for setup in day.setups.values()]
    keys = list(dict.fromkeys(key for own in other for key in own))
    if keys:
        rows = tuple((key, tuple(_plain_cells([own.get(key) for own in other]))) for key in keys)
        made.append(PlaceTable(title="Anything else", rows=rows))
    return tuple(made)


def _cells(day: RideDay, key: str, written: list[dict[str, WrittenSetting]]) -> list[Cell]:
    first = written[0].get(key)
    cells = []
    for own in (table.get(key) for table in written):
        same = own is first or (own is not None and first is not None and own.setting.value == first.setting.value)
        inherited = "" if own is None or own.inherited_from is None else _from(day, own.inherited_from)
        words = NOT_STATED if own is None else own.setting.entered
        cells.append(Cell(words=words, inherited=inherited, differs=not same))
    return cells


def _plain_cells(values: list[str | None]) -> list[Cell]:
    return [Cell(words=value or NOT_STATED, inherited="", differs=value != values[0]) for value in values]


def _from(day: RideDay, name: str) -> str:
    return f"from {day.setups[name].label}" if name else "from the bike"


def rows(day: RideDay) -> tuple[SetupRow, ...]:
    """Return the setups, each with what it is based on and which of its tables are changed by hand."""
    raw = raw_of(day).get("setups", {})
    found = []
    for name, setup in day.setups.items():
        base = raw[name].get("based_on")
        by_hand = [key for key in ("sensors", "other") if raw[name].get(key)]
        found.append(
            SetupRow(
                name=name,
                label=setup.label,
                based_on="" if base is None else day.setups[base].label,
                by_hand=" and ".join(by_hand),
            )
        )
    return tuple(found)


def new_setup(day: RideDay) -> tuple[Field, Field]:
    """Return what is asked of a setup that is added: what it is called, and on what it is based."""
    answers = (*((name, setup.label) for name, setup in day.setups.items()), ("", "none: everything is stated anew"))
    base = options(answers, last_ridden(day) or "")
    return (
        Field(name="label", words="What do you call it?", hint="such as: 8 ml per leg"),
        Field(name="based_on", words="What is it based on?", kind="choice", options=base),
    )


def _place(one: Mapping[str, str]) -> SetupPlace:
    place = one.get("place", "front")
    if place not in PLACES:
        raise CallError("this link", f"a place {clean_text(place, longest=40)!r}", f"one of {', '.join(PLACES)}")
    return place


def _held(day: RideDay, one: Mapping[str, str], raw: Mapping[str, Any]) -> tuple[str, dict[str, WrittenSetting]]:
    """Return the name of the setup that is changed or added, and what stands at the place before."""
    name, base, place = one.get("setup_of", ""), one.get("based_on", ""), _place(one)
    for known in filter(None, (name, base)):
        if known not in day.setups:
            raise CallError("this link", f"no setup {clean_text(known, longest=80)!r}", "one of the day's setups")
    if name:
        return name, written_settings(day, name, place, raw)
    if not base:
        return "", {}
    inherited = written_settings(day, base, place, raw)
    return "", {key: _as_inherited(item, base) for key, item in inherited.items()}


def _as_inherited(item: WrittenSetting, base: str) -> WrittenSetting:
    source = base if item.inherited_from is None else item.inherited_from
    return WrittenSetting(setting=item.setting, spelled=item.spelled, value=item.value, inherited_from=source)


def setup_form(day: RideDay, fields: Fields, mistakes: Mistakes | None = None, added: str = "") -> SetupForm:
    """Return the form of one place of a setup, filled with what stands there and what was typed.

    Parameters
    ----------
    day : RideDay
    fields : sequence of (name, value)
    mistakes : mapping, optional
    added : str
        A key that is to be added.
    """
    one, wrong, raw = dict(fields), dict(mistakes or {}), raw_of(day)
    name, held = _held(day, one, raw)
    place = _place(one)
    label = one.get("label", day.setups[name].label if name else "")
    shown = [Field(name="label", words="Called", value=label, mistake=wrong.get("label", ""))]
    more = []
    for spec in specs_of(place):
        if spec.key in held or f"{TYPED}{spec.key}" in one or added == spec.key:
            shown.append(_field(day, spec, held.get(spec.key), one, raw))
        else:
            more.append(Option(value=spec.key, words=spec.words))
    shown = [_with_mistake(item, wrong) for item in shown]
    title = clean_text(label, longest=LONGEST_LABEL) or "A new setup"
    keeps = tuple(pair for pair in fields if pair[0] in ("setup_of", "based_on", "place", *OF_LOG))
    return SetupForm(
        title=f"{title}: {PLACE_TITLES[place].lower()}",
        fields=tuple(shown),
        more=tuple(sorted(more, key=lambda item: item.words)),
        keeps=keeps,
        mistake=wrong.get("", ""),
    )


def _with_mistake(item: Field, wrong: Mapping[str, str]) -> Field:
    return replace(item, mistake=wrong[item.name]) if item.name in wrong else item


def _field(
    day: RideDay, spec: SettingSpec, held: WrittenSetting | None, one: Mapping[str, str], raw: Mapping[str, Any]
) -> Field:
    name = f"{TYPED}{spec.key}"
    own = held if held is not None and held.inherited_from is None else None
    unit = dict(spellings_of(spec.key))[held.spelled if held else spelled(spec.key, raw)]
    said = [f"in {unit}" if unit else ""]
    if held is not None and own is None:
        said.append(f"left empty: {held.setting.entered}, {_from(day, held.inherited_from or '')}")
    hint = "; ".join(filter(None, said))
    if spec.holds == "position":
        position = own.setting.value if own is not None else None
        at = position if isinstance(position, AdjusterPosition) else None
        counted = at.unit if at else "clicks"
        return Field(
            name=name,
            words=spec.words.capitalize(),
            kind="position",
            value=one.get(name, f"{at.from_closed:g}" if at else ""),
            of=one.get(f"{name}_of", f"{at.of:g}" if at and at.of is not None else ""),
            counted=one.get(f"{name}_unit", counted),
            hint=hint,
        )
    value = one.get(name, _as_typed(own))
    if spec.holds == "true or false":
        unsaid = "as it is inherited" if held is not None and own is None else NOT_STATED
        answers = options((("", unsaid), ("yes", "yes"), ("no", "no")), value)
        return Field(name=name, words=spec.words.capitalize(), kind="choice", options=answers, hint=hint)
    kind: Literal["date", "text"] = "date" if spec.holds == "date" else "text"
    return Field(name=name, words=spec.words.capitalize(), kind=kind, value=value, hint=hint)


def _as_typed(own: WrittenSetting | None) -> str:
    """Return what a person would have typed for a value."""
    if own is None:
        return ""
    return {True: "yes", False: "no"}[own.value] if isinstance(own.value, bool) else str(own.value)


def setup_edit(day: RideDay, fields: Fields) -> tuple[ChangeSetup, str]:
    """Return what a setup's form changes in the file, and its title.

    Raises
    ------
    CallError
        If there is no such setup; of a field where a new setup has no name, or a name that is too long.
    """
    one, raw = dict(fields), raw_of(day)
    name, held = _held(day, one, raw)
    place = _place(one)
    keys: dict[str, object] = {}
    for spec in specs_of(place):
        if f"{TYPED}{spec.key}" in one:
            keys |= _changed(spec, held.get(spec.key), one, raw)
    label = clean_text(one.get("label", ""), longest=LONGEST_LABEL)
    if name:
        own: dict[str, object] = {"label": label} if label and label != day.setups[name].label else {}
        return ChangeSetup(setup=name, own=own, at={place: keys}), f"Change {day.setups[name].label}"
    if not label:
        raise FieldError("label", "nothing", "what the setup is called")
    own = {"based_on": one.get("based_on") or None, "label": label}
    new = ChangeSetup(setup=fresh_name(day, label), own=own, at={place: keys}, is_new=True)
    return new, f"Add the setup {label}"


def _changed(
    spec: SettingSpec, held: WrittenSetting | None, one: Mapping[str, str], raw: Mapping[str, Any]
) -> dict[str, object]:
    """Return what was typed for one key, as the file spells it; nothing where it says that already."""
    name = f"{TYPED}{spec.key}"
    own = held if held is not None and held.inherited_from is None else None
    if not one[name].strip() and not one.get(f"{name}_of", "").strip():
        return {} if own is None else {own.spelled: None}
    texts = [one[name]]
    if spec.holds == "position":
        texts += [one.get(f"{name}_of", ""), "turns" if one.get(f"{name}_unit") == "turns" else "clicks"]
    spelling, value = typed(held.spelled if held else spelled(spec.key, raw), texts)
    if own is None:
        return {spelling: value}
    if spelling == own.spelled and value == own.value:
        return {}
    return {spelling: value} if spelling == own.spelled else {own.spelled: None, spelling: value}


def fields_by_path(fields: Fields, edit: ChangeSetup) -> dict[str, str]:
    """Return which key of the file, as it would be, each field of a setup's form is of."""
    place = _place(dict(fields))
    path = f"setups.{edit.setup}"
    found = {f"{path}.label": "label", f"{path}.based_on": "based_on"}
    for spec in specs_of(place):
        found |= {f"{path}.{place}.{way}": f"{TYPED}{spec.key}" for way, _ in spellings_of(spec.key)}
    return {way: field for way, field in found.items() if field in ("label", "based_on") or field in dict(fields)}
