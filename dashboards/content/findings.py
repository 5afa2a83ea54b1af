"""Each question's finding: what the compared measures say together, or one setup's own figures."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from telemetry.model.analysis import Comparison
from telemetry.model.catalogue import SPECS
from telemetry.model.comparison import Summary
from telemetry.model.day import RideDay
from telemetry.model.finding import Place
from telemetry.pipeline import Seen
from telemetry.telling import summary_of, value_in_words
from telemetry.words import quantity

TRAVEL = ("dynamic_sag", "travel_p95", "hit_depth_p95", "deep_hits_per_min", "bottom_outs_per_min", "top_outs_per_min")
SPEED = (
    "compression_speed_p95",
    "rebound_speed_p95",
    "compression_speed_10_per_min",
    "rebound_speed_10_per_min",
    "hits_per_min",
    "recovery_time",
    "packing",
)
TOGETHER = ("sag_difference", "compression_speed_ratio", "rebound_speed_ratio")
EXPLORED = "Explored after the fact: numbers without verdicts"


def compared(comparison: Comparison, measures: Collection[str]) -> dict[str, Summary]:
    """Return what some of the measures say of each candidate, in the summary's own form."""
    return {name: summary_of(comparison, name, measures) for name in comparison.candidates}


def value_rows(seen: Seen, day: RideDay, measures: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """Return some measures of each shown run over the chosen sections: name and place, then a cell a run."""
    rows = []
    for measure in measures:
        ends: tuple[Place, ...] = ("rear", "front") if SPECS[measure].ends != ("both",) else ("both",)
        for end in ends:
            cells = []
            for picture in seen.pictures:
                found = seen.values[picture.run][measure, end]
                cells.append("–" if found.value is None else told(day, picture.setup, measure, end, found.value))
            if any(cell != "–" for cell in cells):
                place = "" if end == "both" else f", {end}"
                rows.append((f"{SPECS[measure].label}{place}", *cells))
    return tuple(rows)


def told(day: RideDay, setup: str, measure: str, end: Place, value: float) -> str:
    """Return a value with its unit, once."""
    words = value_in_words(day, setup, measure, end, value)
    return words if "%" in words else quantity(value, SPECS[measure].unit)


def own_figures(seen: Seen, day: RideDay, measures: Sequence[str]) -> str:
    """Return the last shown run's figures of some measures in a sentence; empty where none is there."""
    last = seen.pictures[-1]
    parts = []
    for measure in measures:
        ends: tuple[Place, ...] = ("rear", "front") if SPECS[measure].ends != ("both",) else ("both",)
        values = [
            f"{'' if end == 'both' else end + ' '}{told(day, last.setup, measure, end, found.value)}"
            for end in ends
            if (found := seen.values[last.run][measure, end]).value is not None
        ]
        if values:
            parts.append(f"{SPECS[measure].label[0].lower()}{SPECS[measure].label[1:]}: {', '.join(values)}")
    return f"{last.run}: {'; '.join(parts)}" if parts else ""
