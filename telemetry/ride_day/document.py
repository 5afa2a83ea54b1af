"""The parsed file as tables: what is wrong is taken out, so that the rest is checked too."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any, TypeAlias

from pydantic import ValidationError

from . import tables as t
from .imperial import Entered
from .problems import Problems
from .validation import Wrong, add_validation, wrong_paths

Tree: TypeAlias = dict[str | int, Any]
MOST_PASSES = 6
"""A pass takes out what is wrong; what a table then lacks shows in the next, down to the deepest table."""
_TAKEN_OUT: Any = object()

_STAND_INS: Mapping[str, Any] = {
    "ride_day": {"date": dt.date.min},
    "date": dt.date.min,
    "kind": "still",
    "at_s": 0.0,
    "column": 1,
    "shock": [],
    "fixed": {},
    "moving": {},
    "bodies": {},
}
"""Required keys that are wrong hold these while the rest is checked; a day with one is never returned."""


def read_document(metric: Mapping[str, Any], entered: Entered, problems: Problems) -> t.Document | None:
    """Return the file's tables; where some are wrong, as if those keys had been left out.

    Parameters
    ----------
    metric : mapping
        The parsed TOML in metric keys; not changed.
    entered : mapping of path to Imperial
    problems : Problems
        Gains an entry for each key that is wrong.

    Returns
    -------
    Document or None
        None where too little is left to check the rest.
    """
    data: Any = metric
    for _ in range(MOST_PASSES):
        try:
            return t.Document.model_validate(data)
        except ValidationError as error:
            wrong = wrong_paths(error, data)
        add_validation(problems, wrong, data, entered)
        mended = _mended(data, _tree(wrong))
        if mended == data:  # no mending helps
            return None
        data = mended
    return None


def _tree(wrong: Wrong) -> Tree:
    """Return what is wrong as a tree of keys; at its ends stands whether the key is an unknown one."""
    tree: Tree = {}
    for path, item in wrong:
        if path:
            at = tree
            for part in path[:-1]:
                at = at.setdefault(part, {})
                if isinstance(at, bool):
                    break  # what holds it is wrong itself
            else:
                at[path[-1]] = item["type"] == "extra_forbidden"
    return tree


def _mended(data: Any, wrong: Tree) -> Any:
    """Return the data without the values that are wrong, or with stand-ins where they are required."""
    if not wrong:
        return data
    if isinstance(data, list):
        if any(item == {} and isinstance(wrong.get(place), bool) for place, item in enumerate(data)):
            return _TAKEN_OUT  # a list of no tables: an empty one in place of a wrong entry was no help
        kept_items = (
            {} if isinstance(wrong.get(place), bool) else _mended(item, wrong.get(place, {}))
            for place, item in enumerate(data)
        )
        return [item for item in kept_items if item is not _TAKEN_OUT]
    kept = {}
    for key, value in data.items():
        beneath = wrong.get(key)
        if not isinstance(beneath, bool):  # a required key shows as missing in the next pass
            kept[key] = _mended(value, beneath or {})
    kept = {key: value for key, value in kept.items() if value is not _TAKEN_OUT}
    lacking = [key for key, unknown in wrong.items() if key not in data and unknown is False]
    return kept | {key: _STAND_INS.get(str(key), "") for key in lacking}
