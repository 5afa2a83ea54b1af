"""Keys set in a ride day's text, and runs added to it; every other line stays as it is."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Array

from .parts import Part, parts_of
from .runs import named

Keys: TypeAlias = Mapping[str, object]
"""Values by key; None takes a key out."""
RUNS, COMPARISON = "runs", "comparison"
LONGEST_CHANGED = 100_000
"""Letters of a part that is changed: the library takes quadratic time over blank lines. Own choice, 0.25 s."""


class UnchangeableError(ValueError):
    """The text says it in a form that can't be changed here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What is to be said: keys of the run of that name, of a new run where it is None, or of ``[comparison]``."""

    table: str
    keys: Keys
    run: str | None = None


def said(raw: Mapping[str, Any], change: Change) -> dict[str, Any]:
    """Return what a day says with a change: plain values, by which the changed text is checked.

    Parameters
    ----------
    raw : mapping
        As TOML reads it; not changed.
    """
    if change.table == COMPARISON:
        return {**raw, COMPARISON: _with(raw.get(COMPARISON, {}), change.keys)}
    runs: Sequence[Mapping[str, Any]] = raw.get(RUNS, [])
    if change.run is None:
        return {**raw, RUNS: [*runs, _with({}, change.keys)]}
    return {**raw, RUNS: [_with(run, change.keys) if named(run) == change.run else run for run in runs]}


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
    if change.table == COMPARISON:
        return _with_comparison(text, parts, change.keys)
    if change.run is None:
        return _with_run(text, parts, change.keys)
    for part in parts:
        for place, run in enumerate(part.says[RUNS] if isinstance(part.says.get(RUNS), list) else ()):
            if named(run) == change.run:
                return _with_keys(text, part, (RUNS, place), change.keys)
    raise UnchangeableError


def _with_comparison(text: str, parts: Sequence[Part], keys: Keys) -> str:
    for part in parts:
        if part.header == {COMPARISON: {}} or (not part.header and COMPARISON in part.says):
            return _with_keys(text, part, (COMPARISON,), keys)
    return f"{text}\n[{COMPARISON}]\n{_lines(keys)}"


def _with_run(text: str, parts: Sequence[Part], keys: Keys) -> str:
    if RUNS in parts[0].says:
        return _changed(text, parts[0], lambda document: _add_to_list(document[RUNS], keys))
    block = f"\n[[{RUNS}]]\n{_lines(keys)}"
    last = next((part for part in reversed(parts) if RUNS in part.header), None)
    place = len(text) if last is None else _behind(text, last)
    return text[:place] + block + text[place:]


def _behind(text: str, part: Part) -> int:
    """Return where something may follow a part: comments that stand right above the next header belong to that."""
    end = part.filled
    for line in text[part.filled : part.end].split("\n")[:-1]:
        if not line.strip():
            return end
        end += len(line) + 1
    return end if part.end == len(text) else part.filled


def _lines(keys: Keys) -> str:
    return "".join(f"{key} = {tomlkit.item(value).as_string()}\n" for key, value in keys.items() if value is not None)


def _add_to_list(runs: Any, keys: Keys) -> None:
    table = tomlkit.inline_table()
    table.update({key: value for key, value in keys.items() if value is not None})
    if isinstance(runs, Array) and "\n" in runs.as_string():
        runs.add_line(table)
    else:
        runs.append(table)


def _with_keys(text: str, part: Part, way: tuple[str | int, ...], keys: Keys) -> str:
    def change(document: Any) -> None:
        table = document
        for step in way:
            table = table[step]
        for key, value in keys.items():
            if value is None:
                table.pop(key, None)
            else:
                table[key] = value

    return _changed(text, part, change)


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
