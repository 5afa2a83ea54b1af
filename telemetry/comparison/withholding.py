"""Verdicts withheld where the comparison is none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from telemetry.model.comparison import Result, Verdicts
from telemetry.model.finding import Place


def without_verdicts(verdicts: Verdicts, withheld: Mapping[str | tuple[str, Place], str]) -> Verdicts:
    """Return the same numbers with the verdicts of some candidates, or their ends, withheld, each with its reason."""

    def judged(result: Result) -> Result:
        why = withheld.get(result.candidate) or withheld.get((result.candidate, result.end))
        return replace(result, verdict=None, reason=why) if why else result

    return replace(verdicts, results=tuple(judged(result) for result in verdicts.results))
