"""What stands beside a comparison: what differs on paper, what it was compared over, what speaks against it."""

from __future__ import annotations

from collections import Counter

from telemetry.languages import ENGLISH, Language
from telemetry.model.analysis import Comparison
from telemetry.model.comparison import LeftOut
from telemetry.model.finding import Finding
from telemetry.words import counted


def on_paper(comparison: Comparison, candidate: str) -> str:
    """Return what differs between the baseline and a candidate on paper."""
    setups = comparison.day.setups
    differing = [item.words for item in comparison.setup_differences if item.candidate == candidate]
    pair = f"from {setups[comparison.baseline].label} to {setups[candidate].label}"
    return f"On paper, {pair}: {'; '.join(differing) or 'nothing differs'}"


def left_out_in_words(comparison: Comparison, candidate: str) -> str:
    """Return what of two setups takes no part, each with its reason: ``Left out: run_4 (a puncture)``; empty if all."""
    setups = {comparison.baseline, candidate}
    alike: dict[tuple[str | None, str], list[LeftOut]] = {}
    for item in comparison.left_out:
        if item.setup in setups:
            alike.setdefault((item.end, item.reason), []).append(item)
    told = [
        f"{', '.join([first.what, *(item.run for item in further)])} ({first.reason})"
        for first, *further in alike.values()
    ]
    return f"Left out: {'; '.join(told)}" if told else ""


def compared_over(comparison: Comparison) -> str:
    """Return the trail sections compared, how many times each setup was put on, and whose spread was borrowed."""
    left_out = f", {comparison.sections_dropped} of them left out" if comparison.sections_dropped else ""
    setups = comparison.day.setups
    times = ", ".join(f"{setups[name].label} {_times(count)}" for name, count in comparison.put_on.items())
    spread = f". {comparison.conditioning['spread']}" if "spread" in comparison.conditioning else ""
    return f"Trail sections: {comparison.shared_by}{left_out}. Put on: {times}{spread}"


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, counted(count, "time"))


def fair_to_the_rider(comparison: Comparison, language: Language) -> str:
    """Return in one sentence whether it is a fair comparison, in a language."""
    counts = Counter(item.severity for item in comparison.fairness_findings)
    if counts["error"]:
        return language.say("fair.unfair")
    return language.say("fair.care", count=counts["warning"]) if counts["warning"] else language.say("fair.good")


def explained(finding: Finding, language: Language) -> str:
    """Return what else could explain a difference, in short: a sheet is read by those who weren't there."""
    things = [
        language.say(f"unknown.{thing}") if language.has(f"unknown.{thing}") else thing for thing in finding.things
    ]
    message = f"explains.{finding.code}"
    return language.say(message if language.has(message) else "explains.other", things=", ".join(things))


def fair_in_words(comparison: Comparison) -> str:
    """Return in one sentence whether it is a fair comparison."""
    return fair_to_the_rider(comparison, ENGLISH).removesuffix(".")
