"""Verdicts withheld where the comparison is none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from telemetry.model.comparison import Verdicts

from .result import with_sentence


def without_verdicts(verdicts: Verdicts, withheld: Mapping[str, str]) -> Verdicts:
    """Return the same numbers with the verdicts of some candidates withheld, each with its reason."""
    results = tuple(
        with_sentence(replace(result, verdict=None, reason=withheld[result.candidate]))
        if result.candidate in withheld
        else result
        for result in verdicts.results
    )
    return replace(verdicts, results=results)
