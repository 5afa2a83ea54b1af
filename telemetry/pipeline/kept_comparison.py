"""What a day's comparison leaves with it when it is kept: by this, days are put together later."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import asdict

from telemetry.library import KeptChange, KeptComparison, KeptDifference, folded
from telemetry.model.analysis import Comparison
from telemetry.model.catalogue import SPECS
from telemetry.model.comparison import Result, SetupDifference
from telemetry.model.setting import AdjusterPosition
from telemetry.model.setup_keys import SPECS as KEYS
from telemetry.model.setup_keys import is_change, name_of

PLACES = {"both": "bike"}


def kept_comparison(comparison: Comparison | None, setup: str) -> KeptComparison | None:
    """Return what is kept of a setup's comparison with the baseline; None of one that wasn't compared."""
    if comparison is None or setup not in comparison.candidates:
        return None
    changes = (item for item in comparison.setup_differences if item.candidate == setup and is_change(item.key))
    return KeptComparison(
        against=comparison.baseline,
        changes=tuple(_change(comparison, item) for item in changes),
        open=tuple(dict.fromkeys(_open(comparison, setup))),
        differences=tuple(_differences(comparison, setup)),
    )


def _open(comparison: Comparison, setup: str) -> Iterator[str]:
    """Yield the codes of what speaks against a setup's comparison, or against the day's."""
    for finding in comparison.fairness_findings:
        if finding.severity != "note" and finding.candidate in (None, setup):
            yield finding.code


def _change(comparison: Comparison, item: SetupDifference) -> KeptChange:
    setups = [comparison.day.setups[name] for name in (comparison.baseline, item.candidate)]
    places = [setup.bike if item.end == "both" else setup.at(item.end).settings for setup in setups]
    stated = [place.get(item.key) for place in places]
    values = (item.baseline_value, item.candidate_value)
    entered = [
        own.entered if own is not None else "" if value is None else str(value)
        for own, value in zip(stated, values, strict=True)
    ]
    before, after = map(_number, values)
    positions = [own.value.unit for own in stated if own is not None and isinstance(own.value, AdjusterPosition)]
    unit = positions[0] if positions else KEYS[item.key].unit if item.key in KEYS else ""
    return KeptChange(
        end=PLACES.get(item.end, item.end) if item.key in KEYS else "other",
        key=item.key,
        words=name_of(item.key) if item.key in KEYS else item.key,
        before=folded(entered[0]),
        after=folded(entered[1]),
        before_number=before,
        after_number=after,
        unit=unit,
    )


def _number(value: object) -> float | None:
    if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value):
        return float(value)
    return None


def _differences(comparison: Comparison, setup: str) -> Iterator[KeptDifference]:
    for row in comparison.verdicts.results:
        if row.candidate == setup and row.estimate is not None and row.verdict is not None:
            yield KeptDifference(
                measure=row.measure,
                end=row.end,
                unit=row.unit,
                scale=row.scale,
                focus=row.focus,
                full_travel_mm=_full_travel_mm(comparison, row),
                **asdict(row.estimate),
            )


def _full_travel_mm(comparison: Comparison, row: Result) -> float | None:
    """Return the baseline's full travel for a row that is measured in travel."""
    if row.end == "both" or SPECS[row.measure].by != "travel" or row.scale != "raw":
        return None
    return comparison.day.setups[comparison.baseline].at(row.end).full_travel_mm
