"""What tells one place of the trail in several runs: marks by their names, and distance where runs agree in it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeAlias

from telemetry import measures
from telemetry.model.day import RideDay

Motions: TypeAlias = Mapping[str, measures.RunMotion]
"""Runs by name."""

DISTANCE_LIMIT_PCT = 20.0
"""By how much more the longest run may have ridden than the shortest; common practice, no source."""


def marks_of(day: RideDay, run: str) -> dict[str, float]:
    """Return a run's marks by name in the order passed; a name that stands twice tells no place and is left out."""
    own = sorted((mark.at_s, mark.name) for mark in day.marks if mark.run == run)
    names = [name for _, name in own]
    return {name: at_s for at_s, name in own if names.count(name) == 1}
