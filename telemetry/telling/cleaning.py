"""How a day's signals were cleaned, in words: for all runs alike, each end's own, and step by step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from telemetry.model.analysis import Analysis
from telemetry.model.day import RideDay
from telemetry.model.finding import ENDS, Step

from .names import TITLES

APART = ("full travel", "noise", "zero")
"""Stages that differ from run to run or from end to end, and are told with every result."""
AT_WORK = (
    "A(8) as if the run were all of the day's riding; 2.5 and 5 m/s² (hands), 0.5 and 1.15 m/s² (body) are action and "
    "limit values of Directive 2002/44/EC: occupational figures, no limits of riding"
)
"""[EU2002]."""


def cleaned_in_words(day: RideDay, low_pass: str) -> str:
    """Return what was done to every run of a day alike, as far as it has the sensors; `low_pass`: at how many Hz."""
    travel = (
        "Readings calibrated to mm, spikes taken out, zero from the lifted recording where there is one, "
        f"low-pass at {low_pass}, both ways; bottom-outs on unfiltered travel"
    )
    felt = "Acceleration held against gravity, turned to the bike's axes, gravity and bias taken out"
    parts = ([] if day.only_acceleration else [travel]) + ([felt] if day.inertial_ends else [])
    return f"{'. '.join(parts)}; alike for every run."


def ends_in_words(histories: Mapping[str, Sequence[Step]]) -> list[str]:
    """Return a line an end on full travel, noise and zero: once what all its runs share, else by the runs alike."""
    lines = []
    for end in ENDS:
        runs = {
            run: {step.stage: step.words for step in history if step.end == end} for run, history in histories.items()
        }
        runs = {run: steps for run, steps in runs.items() if any(stage in steps for stage in APART)}
        told = [f"{stage} {words}" for stage in APART if (words := _by_runs_alike(runs, stage))]
        lines += [f"{TITLES[end]}: {'; '.join(told)}."] if told else []
    return lines


def _by_runs_alike(runs: Mapping[str, Mapping[str, str]], stage: str) -> str:
    """Return what was done at a stage: once where it was the same in every run, else each with its runs' names."""
    names: dict[str, list[str]] = {}
    for run, steps in runs.items():
        if stage in steps:
            names.setdefault(steps[stage], []).append(run)
    if len(names) == 1 and len(next(iter(names.values()))) == len(runs):
        return next(iter(names))
    return ", ".join(f"{words} in {' and '.join(alike)}" for words, alike in names.items())


def _of_stage(histories: Mapping[str, Sequence[Step]], stage: str) -> list[str]:
    """Return what each run was told at a stage, the run's name first."""
    return [
        f"{run} {step.words}"
        for run, history in histories.items()
        for step in history
        if step.stage == stage and step.words
    ]


def bounds_in_words(histories: Mapping[str, Sequence[Step]]) -> list[str]:
    """Return a line that says of every run where it starts and ends, and what says so: once where that is alike."""
    steps = {run: step for run, history in histories.items() for step in history if step.stage == "bounds"}
    sources = {step.parameters[key] for step in steps.values() for key in ("start_from", "end_from")}
    if len(sources) != 1:
        bounds = _of_stage(histories, "bounds")
        return [f"Start and end: {'. '.join(bounds)}."] if bounds else []
    how = next(iter(steps.values())).words.rpartition(", ")[2]
    spans = [
        f"{run} {step.parameters['start_s']:.2f} to {step.parameters['end_s']:.2f} s" for run, step in steps.items()
    ]
    return [f"Start and end: {', '.join(spans)}; {how} for every run."]


def stretches_in_words(histories: Mapping[str, Sequence[Step]]) -> list[str]:
    """Return a line that says where each run rode the named stretches of trail, and how that is known."""
    found = _of_stage(histories, "stretches")
    return [f"Named stretches: {'. '.join(found)}."] if found else []


def load_in_words(bike_share: float, rider_hz: float, *, stated: bool) -> str:
    """Return what a wheel's load is taken to be made of: ``of a wheel's load 22 % is bike (by the stated masses)``."""
    source = "by the stated masses" if stated else "usual: mass_kg and rider_mass_kg aren't stated"
    return (
        f"of a wheel's load {100 * bike_share:.0f} % is bike ({source}), the rest a rider who moves with the frame up "
        f"to {rider_hz:g} Hz"
    )


def shaking_in_words(*, band_hz: tuple[float, float], load: str, hands_to_hz: str, body_to_hz: str) -> str:
    """Return what the figures of acceleration rest on, and whose the directive's figures are.

    Parameters
    ----------
    band_hz : (low, high)
    load : str
        What a wheel's load is taken to be made of.
    hands_to_hz, body_to_hz : str
        The highest band weighted; empty where the log is too slow for the weighting.
    """
    low, high = band_hz
    band = f"acceleration along the ground's vertical, {low:g} to {high:g} Hz, second order, both ways"
    told = [f"Shaking: {band}", load]
    weighted = [f"{who} up to {hertz} Hz" for who, hertz in (("hands", hands_to_hz), ("body", body_to_hz)) if hertz]
    if weighted:
        told.append(f"vibration weighted for {' and '.join(weighted)}")
        told.append(AT_WORK)
    return f"{'; '.join(told)}."


def cleaning(conditioning: Mapping[str, object]) -> tuple[str, ...]:
    """Return how the signals were cleaned: for all runs alike, each end's own, where the runs start and end."""
    own = [conditioning.get(key) for key in ("ends", "shaking", "bounds", "stretches")]
    lines = (str(line) for lines in own if isinstance(lines, list) for line in lines)
    return (str(conditioning["words"]), *lines)


def cleaning_steps(analysis: Analysis) -> tuple[tuple[str, str], ...]:
    """Return how the first usable run's signal was cleaned, step by step; without runs, the first recording's."""
    usable = [run.history for run in analysis.runs if run.measures]
    every = [*usable, *(run.history for run in analysis.runs), *(item.history for item in analysis.static)]
    steps = every[0] if every else ()
    return tuple((f"{step.end}: {step.stage}" if step.end else step.stage, step.words) for step in steps)
