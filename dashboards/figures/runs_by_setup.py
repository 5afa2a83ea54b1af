"""Runs' pictures grouped by setup, in the order the setups are drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dashboards.theme import SetupStyle
from telemetry.model.curves import EndCurves, RunPicture
from telemetry.model.finding import End
from telemetry.telling.names import ENDS

Grouped = dict[str, list[RunPicture]]


def grouped(pictures: Sequence[RunPicture], styles: Mapping[str, SetupStyle]) -> Grouped:
    """Return each drawn setup's runs."""
    return {name: [picture for picture in pictures if picture.setup == name] for name in styles}


def curves_at(runs: Sequence[RunPicture], end: End) -> list[tuple[EndCurves, float]]:
    """Return each run's curves at one end, with its riding minutes."""
    return [(run.ends[end], run.riding_s / 60) for run in runs if end in run.ends]


def measured_ends(pictures: Sequence[RunPicture]) -> tuple[End, ...]:
    """Return the measured ends, rear first: the bike faces right."""
    return tuple(end for end in ENDS if any(end in picture.ends for picture in pictures))
