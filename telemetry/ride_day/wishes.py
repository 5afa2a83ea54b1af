"""What the tuner wants compared and planned: baseline, focus, smallest changes, spread."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Literal

from telemetry.model.catalogue import FAMILY, SPECS, MeasureSpec
from telemetry.model.day import ComparisonWish, PlanWish, SmallestChange

from . import tables as t
from .problems import Problems, nearest, shown

MOST_FOCUS = 3
Row = tuple[str, str | None]
_AMOUNT = re.compile(r"^\s*([0-9]+(?:\.[0-9]+)?|\.[0-9]+)\s*(.+?)\s*$")
_FACTOR = re.compile(r"^\s*[x×]\s*([0-9]+(?:\.[0-9]+)?)\s*$")


def forms(spec: MeasureSpec) -> str:
    """Return how a smallest change of a measure is written."""
    if spec.scale == "count":
        return "'x1.5' or '50 %'"
    if spec.scale == "log":
        return "'8 %'" if spec.unit == "ratio" else f"'8 %' or '25 {spec.unit}'"
    return "'1 mm'" if spec.unit.startswith("mm") else "'2 points'"


def parse_smallest_change(text: object, spec: MeasureSpec) -> SmallestChange | None:
    """Return a smallest change, or None where it isn't written in one of the measure's forms.

    Examples
    --------
    >>> parse_smallest_change("2 points", SPECS["dynamic_sag"]).amount
    2.0
    >>> parse_smallest_change("2", SPECS["dynamic_sag"]) is None
    True
    """
    if not isinstance(text, str):
        return None
    factor = _FACTOR.match(text)
    if factor and spec.scale == "count":
        amount = float(factor.group(1))
        return SmallestChange(amount=amount, form="factor", entered=text) if amount > 1 else None
    found = _AMOUNT.match(text)
    form = _form_of(found.group(2), spec) if found else None
    if found is None or form is None or float(found.group(1)) <= 0:
        return None
    return SmallestChange(amount=float(found.group(1)), form=form, entered=text)


def _form_of(unit: str, spec: MeasureSpec) -> Literal["points", "mm", "unit", "percent"] | None:
    """Return how an amount in this unit is to be read, None where the measure doesn't take it."""
    if spec.scale == "raw":
        if spec.unit.startswith("%"):
            return "points" if unit in ("point", "points") else None
        return "mm" if unit in ("mm", spec.unit, "mm a hit") else None
    if unit == "%":
        return "percent"
    own = {spec.unit, "a minute" if spec.unit == "1/min" else spec.unit} - {"ratio"}
    return "unit" if spec.scale == "log" and unit in own else None


def measure_row(text: str, key: str, problems: Problems, *, family: bool) -> Row | None:
    """Return a measure and end from ``dynamic_sag`` or ``dynamic_sag:front``; None with a problem."""
    name, _, end = text.partition(":")
    known = {spec.name for spec in FAMILY} if family else set(SPECS)
    what = "a measure that gets verdicts" if family else "a measure"
    if name not in known:
        found = f"{name!r}, which is measured but never compared" if name in SPECS else f"unknown measure {name!r}"
        problems.add(key, found, nearest(name, known, what))
        return None
    if end and end not in SPECS[name].ends:
        problems.add(key, f"end {end!r} of {name}", " or ".join(SPECS[name].ends))
        return None
    return name, end or None


def _setup_name(name: str, key: str, setups: Mapping[str, object], problems: Problems) -> None:
    if name not in setups:
        problems.add(key, f"unknown setup {name!r}", nearest(name, setups, "a setup of [setups]"))


def _smallest_changes(table: Mapping[str, object], problems: Problems) -> dict[Row, SmallestChange]:
    changes: dict[Row, SmallestChange] = {}
    for text, amount in table.items():
        key = f"comparison.smallest_change.{text}"
        row = measure_row(text, key, problems, family=True)
        if row is None:
            continue
        change = parse_smallest_change(amount, SPECS[row[0]])
        if change is None:
            problems.add(key, shown(amount), f"an amount with its unit: {forms(SPECS[row[0]])}")
        else:
            changes[row] = change
    return changes


def read_comparison(table: t.ComparisonTable, setups: Mapping[str, object], problems: Problems) -> ComparisonWish:
    """Return the ``[comparison]`` table, checked."""
    candidates = table.candidates or ([table.candidate] if table.candidate is not None else [])
    if table.candidate is not None and table.candidates is not None:
        problems.add("comparison.candidate", "candidate and candidates", "one of the two")
    if table.baseline is not None:
        _setup_name(table.baseline, "comparison.baseline", setups, problems)
    for name in candidates:
        _setup_name(name, "comparison.candidates", setups, problems)
        if name == table.baseline:
            problems.add("comparison.candidates", f"{name!r}, the baseline itself", "another setup")
    if len(table.focus) > MOST_FOCUS:
        problems.add("comparison.focus", f"{len(table.focus)} measures", f"at most {MOST_FOCUS}")
    focus = [measure_row(text, "comparison.focus", problems, family=True) for text in table.focus]
    named = table.named_at
    return ComparisonWish(
        baseline=table.baseline,
        candidates=tuple(candidates),
        focus=tuple(row for row in focus if row is not None),
        smallest_change=MappingProxyType(_smallest_changes(table.smallest_change, problems)),
        named_at=None if named is None else named.replace(tzinfo=None),
        planned_looks=table.planned_looks,
    )


def read_plan(table: t.PlanTable, folder: Path, problems: Problems) -> PlanWish:
    """Return the ``[plan]`` table, checked. `spread_from` alone may lead out of the folder."""
    spread: dict[Row, float] = {}
    for text, value in table.spread.items():
        key = f"plan.spread.{text}"
        row = measure_row(text, key, problems, family=True)
        if value <= 0:
            problems.add(key, f"{value:g}", "a standard deviation above 0, in the measure's unit")
        elif row is not None:
            spread[row] = value
    source = None if table.spread_from is None else (folder / table.spread_from)
    if source is not None and not source.exists():
        problems.add("plan.spread_from", f"no file {table.spread_from!r}", "another day's ride_day.toml")
    return PlanWish(
        spread=MappingProxyType(spread),
        spread_from=source,
        run_min=table.run_min,
        return_min=table.return_min,
        change_over_min=table.change_over_min,
    )
