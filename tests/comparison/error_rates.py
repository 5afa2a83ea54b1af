"""How often the verdicts are wrong, scenario by scenario, beside the contract's limits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from . import many_days
from .made_days import CONTINUOUS, COUNTED, ORDERS, SCENARIOS, SECTIONS, Days, Scenario, made_days, margins

ROWS = len(CONTINUOUS) + len(COUNTED)
SAG = next(k for k, (spec, end) in enumerate(CONTINUOUS) if (spec.name, end) == ("dynamic_sag", "front"))
NULL_FOCUS = next(
    k for k, (spec, end) in enumerate(CONTINUOUS) if (spec.name, end) == ("hit_depth_10_per_min", "front")
)
SAG_CHANGE = 100 * 4.0 / 170  # 4 mm of 170
TRUE_CHANGES = 2.0  # times the smallest change that matters


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """One rate with its limit; `at_least` where more is better. All in %, of `cases` days."""

    scenario: str
    runs: int
    name: str
    value: float
    limit: float
    at_least: bool
    cases: int

    @property
    def luck(self) -> float:
        """Two binomial standard deviations at the limit, %."""
        share = self.limit / 100
        return 200 * np.sqrt(share * (1 - share) / self.cases)

    @property
    def holds(self) -> bool:
        """Whether the limit is kept, luck allowed for."""
        if self.at_least:
            return self.value >= self.limit - self.luck
        return self.value <= self.limit + self.luck


def one(row: int) -> np.ndarray:
    """Return a mask of one row."""
    return np.arange(ROWS) == row


def mixed_effects() -> np.ndarray:
    """Return true changes of twice the smallest that matters in every third row, `NULL_FOCUS` left alone."""
    effects = np.where(np.arange(ROWS) % 3 == 1, TRUE_CHANGES * margins(), 0.0)
    effects[NULL_FOCUS] = 0.0
    return effects


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One scenario with so many runs of each, so many days, and its random numbers."""

    scenario: Scenario
    runs: int
    days: int
    rng: np.random.Generator

    def made(self, effects: np.ndarray | None = None, order: str | None = None) -> Days:
        return made_days(self.scenario, order or ORDERS[self.runs], self.days, self.rng, effects)

    def rate(self, name: str, wrong: np.ndarray, limit: float, *, at_least: bool = False) -> Rate:
        return Rate(
            scenario=self.scenario.name,
            runs=self.runs,
            name=name,
            value=100 * float(np.mean(wrong)),
            limit=limit,
            at_least=at_least,
            cases=self.days,
        )


def _without_changes(trial: Trial) -> Iterator[Rate]:
    """Yield coverage and false "changed" of days on which nothing was changed."""
    found = many_days.judge(trial.made())
    d = np.abs(found.d[:, : len(CONTINUOUS)])
    covered = (d <= found.half_width(many_days.Q)[:, : len(CONTINUOUS)]).mean(axis=0)
    yield trial.rate("coverage, the worst measure", covered.min(), 93, at_least=True)
    if trial.scenario.is_plain:
        bare = (d <= found.half_width(many_days.Q, floor=False)[:, : len(CONTINUOUS)]).mean(axis=0)
        yield trial.rate("coverage without the section floor, mean", bare.mean(), 97)
    told = many_days.tell(found, one(NULL_FOCUS))
    yield trial.rate('A/A days with any "changed"', told.changed.any(axis=1), 5)


def _with_changes(trial: Trial) -> Iterator[Rate]:
    """Yield false discovery and the null focus measure among true changes."""
    effects = mixed_effects()
    told = many_days.tell(many_days.judge(trial.made(effects)), one(NULL_FOCUS))
    false = (told.changed & (effects == 0)).sum(axis=1)
    yield trial.rate("false discovery", false / np.maximum(told.changed.sum(axis=1), 1), 5)
    yield trial.rate('focus measure that didn\'t change called "changed"', told.changed[:, NULL_FOCUS], 6)


def _at_the_margin(trial: Trial) -> Iterator[Rate]:
    """Yield false "unchanged" where every true difference is exactly the smallest that matters."""
    signs = np.where(np.arange(ROWS) % 2, 1.0, -1.0)
    found = many_days.judge(trial.made(signs * margins()))
    unchanged = many_days.tell(found).unchanged.mean(axis=0)
    yield trial.rate('false "unchanged" at the margin, mean', unchanged.mean(), 5)
    yield trial.rate('false "unchanged" at the margin, the worst measure', unchanged.max(), 7)


def _found(trial: Trial) -> Iterator[Rate]:
    """Yield how often a true change of sag by 4 mm in the focus is found.

    Three runs of each can't fit a drift: where there is one it stays in the spread and hides the change (nothing is
    asked there; the errors above hold).
    """
    told = many_days.tell(many_days.judge(trial.made(np.where(one(SAG), SAG_CHANGE, 0.0))), one(SAG))
    limit = 0.0 if trial.runs == 3 and trial.scenario.drift else {3: 50.0, 4: 75.0}[trial.runs]
    yield trial.rate('4 mm of sag in the focus called "changed"', told.changed[:, SAG], limit, at_least=True)


def _teeth(trial: Trial) -> Iterator[Rate]:
    """Yield how often rules that people use instead are wrong on the same days, a measure at 5 %."""
    if trial.scenario.name == "run-dominated":
        days = trial.made()
        d, _, _ = many_days.least_squares(days.values, days.order, with_order=False)
        se = many_days.section_floor(days.sections, days.order)
        wrong = np.abs(d) > many_days.t_upper(SECTIONS - 1, 0.05) * se
        yield trial.rate("teeth: sections as replicates, wrong", wrong, 30, at_least=True)
    if trial.scenario.name == "drifting" and trial.runs == 4:
        days = trial.made(order="aaaabbbb")
        d, se, nu = many_days.least_squares(days.values, days.order, with_order=False)
        wrong = np.abs(d) > many_days.t_upper(nu, 0.05) * se
        yield trial.rate("teeth: A A A A B B B B without the drift term, wrong", wrong, 20, at_least=True)


def rates(days: int, seed: int) -> Iterator[Rate]:
    """Yield every rate of every scenario.

    Parameters
    ----------
    days : int
        Of each kind, scenario and number of runs.
    seed : int
    """
    for number, scenario in enumerate(SCENARIOS):
        for runs in ORDERS:
            trial = Trial(scenario=scenario, runs=runs, days=days, rng=np.random.default_rng([seed, number, runs]))
            for part in (_without_changes, _with_changes, _at_the_margin, _found, _teeth):
                yield from part(trial)
