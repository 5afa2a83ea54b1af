"""Keys set in a ride day's text, and runs, recordings and setups added to it; every other line stays as it is."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Array, Item, Table

from telemetry.errors import unsteered
from telemetry.toml_string import toml_key, toml_string

from .parts import Part, parts_of

Keys: TypeAlias = Mapping[str, object]
"""Values by key; None takes a key out."""
Way: TypeAlias = tuple[str, ...]
RUNS, STATIC, COMPARISON, SETUPS = "runs", "static", "comparison", "setups"
MARKS, STRETCHES = "marks", "stretches"
LONGEST_CHANGED = 100_000
"""Letters of a part that is changed: the library takes quadratic time over blank lines. Own choice, 0.25 s."""


class UnchangeableError(ValueError):
    """The text says it in a form that can't be changed here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What is to be said.

    Attributes
    ----------
    way : tuple of str
        To a table: ``("setups", "oil_8", "front")``; to a list of tables: ``("runs",)``.
    keys : mapping
    entry : int or None
        Of a list, the entry at that place, from 0; None for a new one at its end.
    asked : str
        What is still to be asked of a new entry: a comment beneath its header, where it has one of its own.
    """

    way: Way
    keys: Keys
    entry: int | None = None
    asked: str = ""

    @property
    def of_list(self) -> bool:
        """Whether it is of an entry of a list."""
        return self.way in ((RUNS,), (STATIC,), (MARKS,), (STRETCHES,))


def said(raw: Mapping[str, Any], change: Change) -> dict[str, Any]:
    """Return what a day says with a change: plain values, by which the changed text is checked.

    Parameters
    ----------
    raw : mapping
        As TOML reads it; not changed.
    """
    if not change.of_list:
        return _said_at(raw, change.way, change.keys)
    (name,) = change.way
    entries: Sequence[Mapping[str, Any]] = raw.get(name, [])
    if change.entry is None:
        return {**raw, name: [*entries, _with({}, change.keys)]}
    return {**raw, name: [_with(one, change.keys) if n == change.entry else one for n, one in enumerate(entries)]}


def _said_at(table: Mapping[str, Any], way: Way, keys: Keys) -> dict[str, Any]:
    if not way:
        return _with(table, keys)
    return {**table, way[0]: _said_at(table.get(way[0], {}), way[1:], keys)}


def _with(table: Mapping[str, Any], keys: Keys) -> dict[str, Any]:
    return {key: value for key, value in {**table, **keys}.items() if value is not None}


def edited(text: str, change: Change) -> str:
    r"""Return a day's text with a change.

    Parameters
    ----------
    text : str
        Valid, lines ending in ``\n``.
    change : Change

    Raises
    ------
    UnchangeableError
        If it can't be done in the form that the text has.
    """
    text = text if text.endswith("\n") else f"{text}\n"
    parts = parts_of(text)
    if not change.of_list:
        return _with_table(text, parts, change.way, change.keys)
    (name,) = change.way
    if change.entry is None:
        return _with_entry(text, parts, change)
    before = 0
    for part in parts:
        held = len(part.says[name]) if isinstance(part.says.get(name), list) else 0
        if change.entry < before + held:
            return _with_keys(text, part, (name, change.entry - before), change.keys)
        before += held
    raise UnchangeableError


def _with_table(text: str, parts: Sequence[Part], way: Way, keys: Keys) -> str:
    """Change a table where it stands; one that isn't there yet comes behind its kin, under a header of its own."""
    for part in parts:
        headed = _at(part.header, way)
        if headed == {} or (headed is None and _at(part.says, way) is not None):
            return _with_keys(text, part, way, keys)
    for length in range(len(way) - 1, 0, -1):
        above, beneath = way[:length], way[length:]
        for part in parts:
            if _at(part.header, above) is None and _at(part.says, above) is not None:  # it stands within a line
                return _with_keys(text, part, above, {beneath[0]: _nested(beneath[1:], keys)})
        kin = [part for part in parts if _at(part.header, above) is not None]
        if kin:
            place, gap = _behind(text, kin[-1]), "\n" if length == 1 else ""
            return text[:place] + gap + _block(f"[{_header(way)}]", keys) + text[place:]
    return text + f"\n{_block(f'[{_header(way)}]', keys)}"


def _at(table: Any, way: Way) -> Mapping[str, Any] | None:
    """Return the table that stands at a way; None where none does."""
    for step in way:
        if not isinstance(table, Mapping) or step not in table:
            return None
        table = table[step]
    return table if isinstance(table, Mapping) else None


def _nested(way: Way, keys: Keys) -> Keys:
    return {way[0]: _nested(way[1:], keys)} if way else _with({}, keys)


def _header(way: Way) -> str:
    return ".".join(map(toml_key, way))


def _block(header: str, keys: Keys) -> str:
    return f"{header}\n{_lines(keys)}"


def _with_entry(text: str, parts: Sequence[Part], change: Change) -> str:
    (name,), keys = change.way, change.keys
    if name in parts[0].says:
        return _changed(text, parts[0], lambda document: _add_to_list(document[name], keys))
    last = next((part for part in reversed(parts) if name in part.header), None)
    place = len(text) if last is None else _behind(text, last)
    header = f"[[{name}]]" + (f"\n# TO DO {unsteered(change.asked)}" if change.asked else "")
    return text[:place] + "\n" + _block(header, keys) + text[place:]


def _behind(text: str, part: Part) -> int:
    """Return where something may follow a part: comments that stand right above the next header belong to that."""
    end = part.filled
    for line in text[part.filled : part.end].split("\n")[:-1]:
        if not line.strip():
            return end
        end += len(line) + 1
    return end if part.end == len(text) else part.filled


def _lines(keys: Keys) -> str:
    return "".join(f"{key} = {_item(value).as_string()}\n" for key, value in keys.items() if value is not None)


def _item(value: object) -> Item:
    """Return a value as it is written: a table within one line, a text with what can't be seen as its code."""
    if isinstance(value, Mapping):
        return tomlkit.value(f"{{ {', '.join(f'{key} = {_item(held).as_string()}' for key, held in value.items())} }}")
    return tomlkit.value(toml_string(value)) if isinstance(value, str) else tomlkit.item(value)


def _add_to_list(entries: Any, keys: Keys) -> None:
    table = tomlkit.inline_table()
    table.update({key: _item(value) for key, value in keys.items() if value is not None})
    if isinstance(entries, Array) and "\n" in entries.as_string():
        entries.add_line(table)
    else:
        entries.append(table)


def _with_keys(text: str, part: Part, way: tuple[str | int, ...], keys: Keys) -> str:
    def change(document: Any) -> None:
        table = document
        for step in way:
            table = table[step]
        for key, value in keys.items():
            if value is not None:
                table[key] = _item(value)
            elif key in table:
                _take_out(table, key)

    return _changed(text, part, change)


def _take_out(table: Any, key: str) -> None:
    """Take a key out; what a comment beside it says stays, on a line of its own."""
    comment = table[key].trivia.comment if hasattr(table[key], "trivia") else ""
    place = next((n for n, (held, _) in enumerate(table.value.body) if held is not None and held.key == key), None)
    table.pop(key)
    if comment and place is not None and isinstance(table, Table):
        table.value.body[place] = (None, tomlkit.comment(comment.lstrip("#").lstrip()))


def _changed(text: str, part: Part, change: Callable[[Any], None]) -> str:
    """Return the text with one part changed; comments that end it may tell of the next, and stay behind what is new."""
    before = text[part.start : part.filled]
    if len(before) > LONGEST_CHANGED:
        raise UnchangeableError
    try:
        document = tomlkit.parse(before)
        kept = document.as_string() == before
        change(document)
        after = document.as_string()
    except (TOMLKitError, LookupError, TypeError, ValueError, RecursionError) as error:
        raise UnchangeableError from error
    if not kept:
        raise UnchangeableError
    return text[: part.start] + after + text[part.filled :]
