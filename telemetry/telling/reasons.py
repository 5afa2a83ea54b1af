"""Why a row is undecided or gets no verdict, as the customer's page says it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from telemetry.languages import Language
from telemetry.model.comparison import SECTIONS_UNSEEN, Result
from telemetry.model.finding_codes import BY_CODE

FORMS: Mapping[str, re.Pattern[str]] = MappingProxyType(
    {
        name: re.compile(form)
        for name, form in {
            "too_small": "real but too small to matter",
            "may_be_less": "may be less than what matters",
            "no_more": "more runs will not settle this; a longer trail or a larger change may",
            "not_back": "no more runs can settle this: the baseline can't be put back",
            "order": "can't tell the change from the order ridden",
            "day": "can't tell the change from the day ridden",
            "one_run": "one run of each: this holds only for this pair of runs",
            "few_runs": "fewer than two runs of one setup",
            "few_events": r"(?P<events>\d+) events in all, at least (?P<needed>\d+) needed",
            "uneven": r"(?P<fewest>\d+) runs against (?P<most>\d+): ride more of it",
            "sections": r"fewer than \d+ trail sections in which every run has a value",
            "one_way": "ridden one way: the day's drift can't be told apart beyond the straight line taken out",
            "does_not_vary": "does not vary at this resolution",
            "so_far": r"so far: (?P<left>\d+) of (?P<planned>\d+) planned runs? of each still to ride",
            "more_than_planned": r"more than the (?P<planned>\d+) runs of each that were planned at most",
            "chosen_late": "the stretch was named after riding began: .*",
            "chosen_unknown": "named_at isn't stated: .*",
        }.items()
    }
)
"""`tests/telling/test_reasons.py` holds them to what the comparison says."""
FOR_THE_SHOP = (SECTIONS_UNSEEN, "the two runs of ")
"""How reasons begin that say which part of the spread wasn't looked at: the evidence tells them."""


def parts_of(reason: str) -> list[str]:
    """Return the single reasons of a result; one of them holds a semicolon itself."""
    whole = "a longer trail or a larger change may"
    parts: list[str] = []
    for part in filter(None, reason.split("; ")):
        if part == whole and parts:
            parts[-1] = f"{parts[-1]}; {part}"
        else:
            parts.append(part)
    return parts


def reason_in(reason: str, language: Language) -> str:
    """Return one reason in a language; what isn't known there, as the language says that the data can't tell."""
    for name, form in FORMS.items():
        found = form.fullmatch(reason)
        if found is not None:
            return language.say(f"reason.{name}", **found.groupdict())
    return language.say("reason.withheld" if reason.partition(": ")[0] in BY_CODE else "reason.other")


def verdict_to_the_rider(result: Result, step: str, language: Language) -> str:
    """Return the verdict, its reason and what next, without what only who measures asks about.

    Parameters
    ----------
    result : Result
    step : str
        What would settle it; empty where nothing is known.
    language : Language
    """
    verdict = language.say(f"verdict.{result.verdict or 'none'}")
    told = [part for part in parts_of(result.reason) if not part.startswith(FOR_THE_SHOP)]
    reasons = "; ".join(filter(None, [*(reason_in(part, language) for part in told), step]))
    if not reasons:
        return language.say("verdict.plain", verdict=verdict)
    return language.say("verdict.because", verdict=verdict, reasons=reasons)
