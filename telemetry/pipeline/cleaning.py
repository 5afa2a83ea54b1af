"""How a day's signals were cleaned, in figures and in words."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from telemetry.model.finding import ENDS
from telemetry.telling.names import TITLES

from .study import RunStudy, Study

TOLD_STAGES = ("zero", "noise", "full travel")
"""What differs from run to run or from end to end, and is told with every result."""


def _end_words(run: RunStudy, end: str) -> str:
    steps = {step.stage: step.words for step in run.history if step.end == end}
    return "; ".join(f"{stage} {steps[stage]}" for stage in TOLD_STAGES if stage in steps)


def _ends_in_words(runs: tuple[RunStudy, ...]) -> list[str]:
    """Return a line an end, or several where not all runs have the same zero, noise and full travel."""
    lines = []
    for end in ENDS:
        names: dict[str, list[str]] = {}
        for run in runs:
            words = _end_words(run, end)
            if words:
                names.setdefault(words, []).append(run.entry.name)
        for words, alike in names.items():
            which = "" if len(names) == 1 else f", {', '.join(alike)}"
            lines.append(f"{TITLES[end]}{which}: {words}.")
    return lines


def _bounds_in_words(runs: tuple[RunStudy, ...]) -> list[str]:
    """Return a line that says of every run where it starts and ends, and what says so."""
    told = [
        f"{run.entry.name} {step.words}"
        for run in runs
        for step in run.history
        if step.stage == "bounds" and step.words
    ]
    return [f"Start and end: {'. '.join(told)}."] if told else []


def conditioning_of(done: Study) -> Mapping[str, object]:
    """Return how the day's signals were cleaned.

    Parameters
    ----------
    done : Study

    Returns
    -------
    mapping
        Figures that hold for all runs; `ends`, a line for each end's zero, noise and full travel; `bounds`, a line on
        where each run starts and ends; `runs`, every step each run went through.
    """
    cutoff = done.rides.cutoff_hz
    return MappingProxyType(
        {
            "cutoff_hz": cutoff,
            "filter": "Butterworth, order 4, forward and backward; −3 dB after both passes at cutoff_hz",
            "speed": "five-point derivative of filtered travel",
            "spikes": "1 to 3 samples further than 3 x 1.4826 MAD from the median of 7, stepping faster than 10 m/s",
            "rate_hz": {run.entry.name: run.rate_hz for run in done.runs},
            "words": (
                "Readings calibrated to mm, spikes taken out, zero from the lifted recording where there is one, "
                f"low-pass at {cutoff:.3g} Hz both ways; bottom-outs on unfiltered travel; alike for every run."
            ),
            "ends": _ends_in_words(done.runs),
            "bounds": _bounds_in_words(done.runs),
            "runs": {run.entry.name: [step.to_dict() for step in run.history] for run in done.runs},
        }
    )
