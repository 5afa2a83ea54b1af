"""The parsed file as tables: what is wrong is taken out, so that the rest is checked too."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from . import tables as t
from .imperial import Entered, Path
from .problems import Problems
from .validation import add_validation, wrong_paths

MOST_PASSES = 5
"""A pass takes out what is wrong; what a table then lacks shows in the next, down to the deepest table."""

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
            add_validation(problems, error, data, entered)
            for path, item in wrong_paths(error, data):
                data = _mended(data, path, unknown=item["type"] == "extra_forbidden")
    return None


def _mended(data: Any, path: Path, *, unknown: bool) -> Any:
    """Return the data without the value at a path, or with a stand-in where it is required."""
    if not path or not isinstance(data, Mapping | list):
        return data
    first, rest = path[0], path[1:]
    if isinstance(data, list):
        place = int(first)
        entry = _mended(data[place], rest, unknown=unknown) if rest else {}
        return [entry if number == place else item for number, item in enumerate(data)]
    if rest and first in data:
        return {**data, first: _mended(data[first], rest, unknown=unknown)}
    others = {key: value for key, value in data.items() if key != first}
    if unknown or first in data:  # a required key shows as missing in the next pass
        return others
    return {**others, first: _STAND_INS.get(str(first), "")}
