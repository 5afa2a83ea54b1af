"""The smallest change that matters, as it is written: an amount with its unit."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Literal, TypeAlias

from telemetry.model.day import SmallestChange
from telemetry.model.measure_spec import MeasureSpec

Form: TypeAlias = Literal["points", "mm", "unit", "percent", "factor"]

LARGEST: Mapping[Form, float] = {"points": 100, "mm": 1000, "unit": 100_000, "percent": 1000, "factor": 100}
"""Amounts past these are slips of the pen; common sense, no source."""

_AMOUNT = re.compile(r"\s*([0-9]+(?:\.[0-9]+)?|\.[0-9]+)\s*(\S(?:.*\S)?)\s*")
_LONGEST = 60
"""Letters of a longer text aren't looked at one by one."""
_FACTOR = re.compile(r"\s*[x×]\s*([0-9]+(?:\.[0-9]+)?)\s*")


def forms(spec: MeasureSpec, entered: object = None) -> str:
    """Return how a smallest change of a measure is written, with the number that was entered without its unit."""
    bare = isinstance(entered, int | float) and not isinstance(entered, bool) and 0 < entered <= LARGEST["points"]
    number = f"{entered:g}" if bare else ""
    if spec.scale == "count":
        return f"'x1.5' or '{number or 50} %'"
    if spec.scale == "log":
        return f"'{number or 8} %'" if spec.unit == "ratio" else f"'{number or 8} %' or '{number or 25} {spec.unit}'"
    return f"'{number or 1} mm'" if spec.unit.startswith("mm") else f"'{number or 2} points'"


def parse_smallest_change(text: object, spec: MeasureSpec) -> SmallestChange | None:
    """Return a smallest change, or None where it isn't written in one of the measure's forms.

    Parameters
    ----------
    text : object
        As it stands in the file.
    spec : MeasureSpec
        A measure that gets verdicts.

    Examples
    --------
    >>> from telemetry.model.catalogue import SPECS
    >>> parse_smallest_change("2 points", SPECS["dynamic_sag"]).amount
    2.0
    >>> parse_smallest_change("2", SPECS["dynamic_sag"]) is None
    True
    """
    if not isinstance(text, str) or len(text) > _LONGEST:
        return None
    factor = _FACTOR.fullmatch(text)
    found = factor or _AMOUNT.fullmatch(text)
    if found is None:
        return None
    form = _factor_form(spec) if factor else _form(found.group(2), spec)
    amount = float(found.group(1))
    if form is None or not (1 if form == "factor" else 0) < amount <= LARGEST[form]:
        return None
    return SmallestChange(amount=amount, form=form, entered=text.strip())


def _factor_form(spec: MeasureSpec) -> Form | None:
    return "factor" if spec.scale == "count" else None


def _form(unit: str, spec: MeasureSpec) -> Form | None:
    """Return how an amount in this unit is to be read, None where the measure doesn't take it."""
    if spec.scale == "raw":
        if spec.unit.startswith("%"):
            return "points" if unit in ("point", "points") else None
        return "mm" if unit in ("mm", spec.unit, "mm a hit") else None
    if unit == "%":
        return "percent"
    own = {spec.unit, "a minute" if spec.unit == "1/min" else spec.unit} - {"ratio"}
    return "unit" if spec.scale == "log" and unit in own else None
