"""From a judged row to its answer: barred, one run of each, changed, unchanged, undecided."""

from __future__ import annotations

from dataclasses import dataclass

from telemetry.model.comparison import Verdict
from telemetry.statistics.runs_needed import more_runs, upper_spread

from .estimate import Estimate
from .judging import ONE_RUN_LEVEL, Judged

INNER_LEVEL = 0.10
NO_FLOOR_NOTE = "spread between trail sections not looked at: fewer than 5 of them have a value in every run"
TOO_SMALL_NOTE = "real but too small to matter"
MAY_BE_LESS_NOTE = "may be less than what matters"
ONE_WAY_NOTE = "ridden one way: the day's drift can't be told apart beyond the straight line taken out"
NO_MORE_NOTE = "more runs will not settle this; a longer trail or a larger change may"


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What the family is judged by: false discovery rate, number of rows, planned looks."""

    q: float
    m: int
    looks: int

    @property
    def barred_level(self) -> float:
        """Level at which rows outside the family are shown."""
        return self.q / max(self.m, 1)

    @property
    def inner_level(self) -> float:
        """Level of the two one-sided tests' interval."""
        return INNER_LEVEL / self.looks


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Verdict of one row with its intervals on the scale of comparison."""

    d: float | None
    outer: float | None
    inner: float | None
    level: float | None
    p: float | None
    verdict: Verdict
    reason: str
    more: int | None
    more_upper: int | None
    selected: bool


def _runs_to_settle(judged: Judged, level: float) -> tuple[int | None, int | None]:
    """Return more runs and their upper figure; from two runs of a setup only the upper figure is said."""
    found = judged.found
    if found is None or judged.d_margin is None or found.s == 0 or found.nu <= 0:
        return None, None
    have = min(len(judged.baseline_runs), len(judged.candidate_runs))
    upper = more_runs(upper_spread(found.s, found.nu), judged.d_margin, level, have)
    return more_runs(found.s, judged.d_margin, level, have), upper


def barred_answer(judged: Judged, terms: Terms) -> Answer:
    """Return the answer of a row outside the family: undecided, with what can be shown."""
    found = judged.found
    d, outer, inner, level = None, None, None, terms.barred_level
    if found is not None:
        d, outer, inner = found.d, found.half_width(level), found.half_width(terms.inner_level)
    elif judged.pair is not None:
        (d, outer), level = judged.pair, ONE_RUN_LEVEL
    more, more_upper = _runs_to_settle(judged, terms.barred_level)
    return Answer(
        d=d,
        outer=outer,
        inner=inner,
        level=level if outer is not None else None,
        p=found.p if found is not None else None,
        verdict="undecided",
        reason=judged.barred,
        more=more,
        more_upper=more_upper,
        selected=False,
    )


def _decided(judged: Judged, found: Estimate, widths: tuple[float, float], *, selected: bool) -> tuple[Verdict, str]:
    """Return the verdict of a row of the family, and what is to be said beside it."""
    outer, inner = widths
    if judged.d_margin is not None and abs(found.d) + inner < judged.d_margin:
        return "unchanged", TOO_SMALL_NOTE if selected else ""
    if not selected:
        return "undecided", ""
    less = judged.d_margin is not None and abs(found.d) - outer < judged.d_margin
    return "changed", MAY_BE_LESS_NOTE if less else ""


def family_answer(judged: Judged, *, selected: bool, level: float, weight: float, terms: Terms) -> Answer:
    """Return the answer of a row of the family."""
    found = judged.found
    outer = None if found is None else found.half_width(level)
    inner = None if found is None else found.half_width(terms.inner_level)
    if found is None or outer is None or inner is None:
        raise ValueError("a row of the family has a difference with a spread")
    verdict, note = _decided(judged, found, (outer, inner), selected=selected)
    more, more_upper = None, None
    notes = [note, NO_FLOOR_NOTE if found.lacks_floor else "", ONE_WAY_NOTE if found.one_way else ""]
    if verdict == "undecided":
        more, more_upper = _runs_to_settle(judged, min(weight * terms.q / terms.m, terms.q))
        notes.append(NO_MORE_NOTE if more is None else "")
    return Answer(
        d=found.d,
        outer=outer,
        inner=inner,
        level=level,
        p=found.p,
        verdict=verdict,
        reason="; ".join(filter(None, notes)),
        more=more,
        more_upper=more_upper,
        selected=selected,
    )
