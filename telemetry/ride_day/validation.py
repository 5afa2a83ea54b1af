"""What the schema finds wrong, in the words and with the keys of the file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import SequenceMatcher
from functools import partial
from typing import Any

from pydantic import ValidationError

from telemetry.model.finding import ENDS
from telemetry.model.ranges import Range
from telemetry.model.setup_keys import SPECS
from telemetry.toml_problems import near_words, path_of, shown
from telemetry.toml_string import toml_key
from telemetry.toml_tables import RANGE_ERROR, UNFIT, Table, tables_at

from . import tables as t
from .imperial import Entered, Path, spellings
from .problems import Problems
from .right_form import metric_slip, right_form, unit_slip

_EXPECTED = {
    "string_type": "text in quotes",
    "bool_type": "true or false",
    "date_type": "a date, 2026-05-16",
    "date_from_datetime_inexact": "a date without a time, 2026-05-16",
    "datetime_type": "a date and time, 2026-05-16T09:12:00",
    "list_type": "a list in brackets",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "missing": "a value: the key is required",
}


MOST_UNKNOWN, LONGEST_KEY = 20, 60
"""So many unknown keys, and letters of one, are held against those that are missing: the time it takes."""
MISSPELLED = 0.5
"""Share of letters from which on an unknown key is taken for the missing one; own choice: cm for mm."""

Wrong = Sequence[tuple[Path, Mapping[str, Any]]]
"""Where each thing is wrong, as a path into what was validated, with the validator's own entry."""


def wrong_paths(error: ValidationError, data: Mapping[str, Any]) -> Wrong:
    """Return what a validation of `data` found wrong, and where."""
    return [(_path_in(data, item["loc"], item["type"]), item) for item in error.errors(include_url=False)]


def _path_in(data: Any, loc: Path, kind: str) -> Path:
    """Drop from a validator's path the marks of a union's branches, which aren't keys of the file."""
    path: list[str | int] = []
    at = data
    for place, part in enumerate(loc):
        here = isinstance(at, dict) and part in at
        if here or (isinstance(at, list) and isinstance(part, int) and part < len(at)):
            at = at[part]
            path.append(part)
        elif kind == "missing" and place == len(loc) - 1:
            path.append(part)
    return tuple(path)


def add_validation(
    problems: Problems,
    wrong: Wrong,
    data: Mapping[str, Any],
    entered: Entered,
    prefix: Path = (),
) -> None:
    """Add everything a validation found.

    Parameters
    ----------
    problems : Problems
    wrong : sequence of (path, entry)
    data : mapping
        What was validated, in metric keys.
    entered : mapping of path to Imperial
        Keys that stand in the file in another spelling.
    prefix : path
        Where `data` stands in the file.
    """
    unknown = [path for path, item in wrong if item["type"] == "extra_forbidden"][:MOST_UNKNOWN]
    for inner, item in wrong:
        path = (*prefix, *inner)
        imperial = entered.get(path)
        name = path_of(path if imperial is None else (*path[:-1], imperial.key))
        if item["type"] == UNFIT and problems.any_beneath(name):
            continue  # what is wrong in it was told, and left out of what was looked at
        if item["type"] == "extra_forbidden":
            problems.add(
                name,
                f"unknown key {str(path[-1] if imperial is None else imperial.key)!r}",
                partial(_known_there, path, data),
            )
        elif item["type"] == "missing":
            spelled = next((str(own[-1]) for own in unknown if _misspelled(own, inner)), None)
            found = "nothing" if spelled is None else f"{shown(spelled)} in its place"
            problems.add(name, found, _written_so(_EXPECTED["missing"], right_form(path, None, "missing")))
        elif item["type"] == "too_long":
            problems.add(name, f"{len(item['input'])} of them", f"{item['ctx']['max_length']} at most")
        elif imperial is not None and item["type"] == RANGE_ERROR:
            bounds = Range(item["ctx"]["low"], item["ctx"]["high"])
            slip = metric_slip(str(path[-1]), imperial.value, bounds)
            expected = imperial.range_words(bounds.low, bounds.high)
            problems.add(name, f"{imperial.value:g}", f"{expected}; {slip}" if slip else expected)
        else:
            expected = _written_so(_expectation(item), right_form(path, item["input"], item["type"]))
            problems.add(name, shown(item["input"]), _with_unit(expected, str(path[-1]), item))


def _misspelled(unknown: Path, missing: Path) -> bool:
    """Tell whether an unknown key may be the one that is missing in its table, misspelled or in another unit."""
    spelled, meant = str(unknown[-1])[:LONGEST_KEY], str(missing[-1])
    return unknown[:-1] == missing[:-1] and SequenceMatcher(None, spelled, meant).ratio() >= MISSPELLED


def _written_so(words: str, form: str) -> str:
    return f"{words}, written so: {form}" if form else words


def _with_unit(words: str, key: str, item: Mapping[str, Any]) -> str:
    """Return what was expected, with the unit that the number may have been meant in."""
    bounds = item.get("ctx", {})
    slip = unit_slip(key, item["input"], Range(bounds["low"], bounds["high"])) if item["type"] == RANGE_ERROR else ""
    return f"{words}; {slip}" if slip else words


def _expectation(item: Mapping[str, Any]) -> str:
    kind = item["type"]
    if kind == RANGE_ERROR:
        return str(item["ctx"]["words"])
    if kind == UNFIT:
        return str(item["msg"])
    if kind == "literal_error":
        return "one of " + str(item["ctx"]["expected"]).replace(" or ", ", ")
    return _EXPECTED.get(kind, str(item["msg"]).removeprefix("Input should be ").lower())


def _known_there(path: Path, data: Mapping[str, Any]) -> str:
    """Return what may stand in the table of an unknown key, the nearest key first."""
    keys: frozenset[str] = frozenset()
    for table in _tables_at(path[:-1], data):
        keys |= spellings(t.keys_of(table))
    elsewhere = _elsewhere(path)
    return f"it in {elsewhere}" if elsewhere else near_words(str(path[-1]), keys, "a key this table knows")


def _elsewhere(path: Path) -> str:
    """Return in which tables about this one a key stands that this one doesn't know: "[bike.rear]"; empty of none."""
    key = str(path[-1])
    if "plus_minus" in path[-2:] or not all(isinstance(part, str) for part in path):
        return ""
    own, parent = path[:-1], path[:-2]
    beneath, beside = _tables_in(own), _tables_in(parent)
    deeper = [] if own else [deep for place in beneath for deep in _tables_in(place)]  # of a key above every table
    places = [place for place in (parent, *beneath, *beside, *deeper) if place and place != own]
    found = dict.fromkeys(place for place in places if place[-1] != "plus_minus" and _knows(place, key))
    return " or ".join(f"[{'.'.join(toml_key(str(part)) for part in place)}]" for place in list(found)[:2])


def _tables_in(place: Path) -> list[Path]:
    return [(*place, name) for table in tables_at(place, t.Document) for name in table.model_fields]


def _knows(place: Path, key: str) -> bool:
    spec = SPECS.get(key)
    if spec is not None and place[-1] in ENDS and place[-1] not in spec.at:
        return False
    return any(key in spellings(t.keys_of(table)) for table in tables_at(place, t.Document))


def _tables_at(path: Path, data: Mapping[str, Any]) -> Sequence[type[Table]]:
    if "sensors" in path[:-1] and (path[0] != "setups" or path[2] == "sensors"):
        return [t.SENSORS.get(str(data.get("kind")), t.SENSORS["displacement"])[0]]
    return tables_at(path, t.Document)
