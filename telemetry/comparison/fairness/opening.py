"""Whether parts were opened for one setup and never for the other."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

from telemetry.model.conditions import RiddenRun
from telemetry.model.day import EndSetup
from telemetry.model.finding import ENDS, End, Finding
from telemetry.model.setup_keys import OF_ENDS, changed_words, name_of

from .pair import Pair, listed

LATELY_DAYS = 7
"""How long before its first run parts that were opened count as freshly opened. Common practice, no source."""


def _opened_between(old: EndSetup, new: EndSetup) -> list[str]:
    """Return what can't be changed between two setups without opening the end."""
    return changed_words(old, new, tuple(spec.key for spec in OF_ENDS if old.end in spec.opens))


def _opened_for(name: str, end: End, ridden: tuple[RiddenRun, ...]) -> bool:
    """Tell whether an end was opened for a setup: before one of its runs of the day, or shortly before its first."""
    own = [run for run in ridden if run.setup.name == name]
    if not own:
        return False
    between = any(
        later.setup.name == name and _opened_between(earlier.setup.at(end), later.setup.at(end))
        for earlier, later in pairwise(ridden)
    )
    stated = own[0].setup.at(end).value("parts_opened_on")
    return between or (isinstance(stated, date) and stated >= own[0].date - timedelta(days=LATELY_DAYS))


def opened_only_once(pair: Pair) -> tuple[Finding, ...]:
    """Find ends that were opened for one of two setups and not for the other.

    Notes
    -----
    An end counts as opened for a setup where a run of it follows a run of a setup that can't be turned into it without
    opening, or where its `parts_opened_on` lies no more than 7 days before its first run. Ridden A B B A, a change
    of oil has opened both.
    """
    if not {run.setup.name for run in pair.ridden}.issuperset(pair.names):
        return ()
    found = []
    for end in ENDS:
        opened = [_opened_for(name, end, pair.ridden) for name in pair.names]
        if opened[0] != opened[1]:
            found.append(pair.finds("opened_only_once", _message(pair, end, candidate_was=opened[1])))
    return tuple(found)


def _message(pair: Pair, end: End, *, candidate_was: bool) -> str:
    baseline, candidate = pair.labels
    opened, other = (candidate, baseline) if candidate_was else (baseline, candidate)
    moved = _opened_between(pair.baseline.setup.at(end), pair.candidate.setup.at(end))
    why = listed(moved) if moved else name_of("parts_opened_on")
    return (
        f"the {end} was opened for {opened} ({why}) and not for {other} (1 of 2, limit both or neither): fresh grease, "
        f"oil and bleeding alone free an end; open {other}'s too, drain, grease, refill and bleed it the same way, "
        "then state parts_opened_on for both"
    )
