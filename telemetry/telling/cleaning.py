"""How a day's signals were cleaned, in words: for all runs alike, each end's own, and step by step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from telemetry.model.analysis import Analysis
from telemetry.model.day import RideDay
from telemetry.model.finding import ENDS, Step

from .names import TITLES

APART = ("zero", "noise", "full travel")
"""Stages that differ from run to run or from end to end, and are told with every result."""


def cleaned_in_words(day: RideDay, cutoff_hz: float) -> str:
    """Return what was done to every run of a day alike, as far as it has the sensors."""
    travel = (
        "Readings calibrated to mm, spikes taken out, zero from the lifted recording where there is one, "
        f"low-pass at {cutoff_hz:.3g} Hz both ways; bottom-outs on unfiltered travel"
    )
    felt = "Acceleration held against gravity, turned to the bike's axes, gravity and bias taken out"
    parts = ([] if day.only_acceleration else [travel]) + ([felt] if day.inertial_ends else [])
    return f"{'. '.join(parts)}; alike for every run."


def ends_in_words(histories: Mapping[str, Sequence[Step]]) -> list[str]:
    """Return a line an end, or several where not all runs have the same zero, noise and full travel."""
    lines = []
    for end in ENDS:
        names: dict[str, list[str]] = {}
        for run, history in histories.items():
            steps = {step.stage: step.words for step in history if step.end == end}
            words = "; ".join(f"{stage} {steps[stage]}" for stage in APART if stage in steps)
            if words:
                names.setdefault(words, []).append(run)
        for words, alike in names.items():
            which = "" if len(names) == 1 else f", {', '.join(alike)}"
            lines.append(f"{TITLES[end]}{which}: {words}.")
    return lines


def bounds_in_words(histories: Mapping[str, Sequence[Step]]) -> list[str]:
    """Return a line that says of every run where it starts and ends, and what says so."""
    bounds = [
        f"{run} {step.words}"
        for run, history in histories.items()
        for step in history
        if step.stage == "bounds" and step.words
    ]
    return [f"Start and end: {'. '.join(bounds)}."] if bounds else []


def cleaning(conditioning: Mapping[str, object]) -> tuple[str, ...]:
    """Return how the signals were cleaned: for all runs alike, each end's own, where the runs start and end."""
    own = [conditioning[key] for key in ("ends", "bounds")]
    lines = (str(line) for lines in own if isinstance(lines, list) for line in lines)
    return (str(conditioning["words"]), *lines)


def cleaning_steps(analysis: Analysis) -> tuple[tuple[str, str], ...]:
    """Return how the first usable run's signal was cleaned, step by step."""
    run = next((run for run in analysis.runs if run.measures), analysis.runs[0])
    return tuple((f"{step.end}: {step.stage}" if step.end else step.stage, step.words) for step in run.history)
