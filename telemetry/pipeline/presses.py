"""Presses of a run's markers as marks."""

from __future__ import annotations

from collections.abc import Mapping

from telemetry.model.arrays import Floats
from telemetry.model.day import Mark, RunEntry
from telemetry.model.finding import Finding, Step
from telemetry.model.sensor import columns_of


def presses_of(
    entry: RunEntry, presses: Mapping[str, Floats]
) -> tuple[tuple[Mark, ...], list[Finding], tuple[Step, ...]]:
    """Return a run's presses as marks, what to say where a marker has none, and the step that tells them."""
    marks: list[Mark] = []
    findings, words = [], []
    for name, times in presses.items():
        own = [Mark(run=entry.name, at_s=at, name=f"{name} {n}", marker=name) for n, at in enumerate(times.tolist(), 1)]
        marks.extend(own)
        if own:
            words.append(f"{name} pressed at {', '.join(f'{mark.at_s:.2f}' for mark in own)} s")
        else:
            sensor = entry.sensors[name]
            message = (
                f"{entry.name}: marker {name!r} (column {columns_of(sensor)[0]!r}) was never pressed, so it marks "
                "nothing in this run; check its column and `equals` in ride_day.toml"
            )
            findings.append(Finding(code="marker_not_pressed", message=message))
    steps = (Step(stage="marks", words="; ".join(words)),) if words else ()
    return tuple(marks), findings, steps
