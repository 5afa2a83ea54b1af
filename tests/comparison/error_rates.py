"""How often the product's verdicts are wrong, scenario by scenario, beside the contract's limits.

Every rate comes from the product's own functions, called as a ride day calls them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np
from scipy import stats

from telemetry import comparison, planning
from telemetry.statistics.earlier_days import Borrowed

from .made_days import (
    CONTINUOUS,
    EARLIER_DAYS,
    ONE_WAY,
    PAIR_BY_PAIR,
    ROUNDS,
    ROWS,
    THREE_SETUPS,
    Days,
    Row,
    Scenario,
    day_sigmas,
    made_days,
    margins,
    rows_of,
    run_sd,
)

SCENARIOS = (
    Scenario(name="quiet", run=0.5, noise=1.0),
    Scenario(name="run-dominated", noise=0.5),
    Scenario(name="section-dominated", run=0.2, noise=3.0, by_section=1.5),
    Scenario(name="heavy-tailed", tails=3),
    Scenario(name="one setup's spread doubled", times_b=2.0),
    Scenario(name="rare counts", events=(0.3, 4.0), phi=1.6),
    Scenario(name="drifting", drift=0.5),
    Scenario(name="U-shaped day", drift=0.5, u_shaped=True),
    Scenario(name="a run follows the one before", follows=0.5),
    Scenario(name="errors at each putting on", put_on=0.5),
    Scenario(name="earlier days, log sigma by 0.25", days_differ=0.25),
    Scenario(name="earlier days, log sigma by 0.5", days_differ=0.5),
)
FOCUSED = ("run-dominated", "heavy-tailed", "earlier days, log sigma by 0.5")
"""Judged with a focus row too where a few hundred days have to do; all are by `thorough`."""
NAMED = {scenario.name: scenario for scenario in SCENARIOS}
LOOKS, THIRD, POWER = "looks", "a third setup that differs", "power"
EVERY = (*NAMED, LOOKS, THIRD, POWER)
Q = 0.05
LUCK = 2.0
TRUE_CHANGE, FAR_CHANGE = 2.0, 4.0  # times the smallest change that matters
SAG: Row = ("dynamic_sag", "front")
WIDEST: Row = ("rebound_speed_ratio", "both")
"""The row that spreads most against what matters: a difference by luck is seldom too small to matter."""
SAG_AT = [(spec.name, end) for spec, end in CONTINUOUS].index(SAG)
FEWEST_EVENTS = 10
FEWEST_TO_TELL = 20
EARLIER_NU = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """One rate with its limit, in %, of so many `cases`.

    `limit` is None where nothing is asked; `at_least` where more is better; `of_rows` where it is the worst of so many.
    """

    scenario: str
    ridden: str
    name: str
    value: float
    cases: int
    limit: float | None = None
    at_least: bool = False
    of_rows: int = 1

    def within(self, deviations: float) -> bool:
        """Tell whether the limit is kept but for so many binomial standard deviations."""
        if self.limit is None:
            return True
        share = self.limit / 100
        luck = 100 * deviations * np.sqrt(share * (1 - share) / self.cases)
        return bool(self.value >= self.limit - luck if self.at_least else self.value <= self.limit + luck)

    @property
    def holds(self) -> bool:
        """Whether the limit is kept, two standard deviations allowed for luck."""
        return self.within(LUCK)

    @property
    def holds_as_the_worst(self) -> bool:
        """Whether it is kept where the worst of several rows may have the luck of so many: for a few hundred days."""
        return self.within(float(stats.norm.isf(stats.norm.sf(LUCK) / self.of_rows)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the product says of many days, arrays of shape (days, rows)."""

    changed: np.ndarray
    unchanged: np.ndarray
    p: np.ndarray


def told_of(days: Days, rules: Sequence[comparison.Rules], *, focus: Row | None = None, only: int = ROWS) -> Told:
    """Return the product's verdicts on ``b`` against ``a``, beside every other setup ridden.

    Parameters
    ----------
    days : Days
    rules : sequence of Rules
        One for each day.
    focus : (measure, end), optional
    only : int
        So many rows at most, from the first.
    """
    candidates = sorted(set(days.order) - {"a"})
    verdicts, p = [], []
    for number, own in enumerate(rules):
        rows = rows_of(days, number, focus)[:only]
        ridden = replace(own, can_be_undone=False)  # how many runs more would settle it isn't asked: half the time
        results = comparison.verdicts(rows, baseline="a", candidates=candidates, rules=ridden).results[: len(rows)]
        verdicts.append([result.verdict for result in results])
        p.append([np.nan if result.p is None else result.p for result in results])
    words = np.array(verdicts)
    return Told(changed=words == "changed", unchanged=words == "unchanged", p=np.array(p))


def lent_by_earlier_days(
    scenario: Scenario, days: int, rng: np.random.Generator
) -> list[MappingProxyType[Row, Borrowed]]:
    """Return what earlier days of three and three normal runs, whose variance is chi-square's, lend to each day."""
    sigma = day_sigmas(scenario, days, rng, EARLIER_DAYS)
    usual = scenario.total_sd * run_sd()[:, None] * sigma
    variances = usual**2 * rng.chisquare(EARLIER_NU, sigma.shape) / EARLIER_NU
    found = []
    for of_day in variances.tolist():
        spreads = [[planning.DaySpread(variance=one, nu=EARLIER_NU) for one in row] for row in of_day]
        lent = planning.borrowed(spreads)
        found.append(
            MappingProxyType({(spec.name, end): one for (spec, end), one in zip(CONTINUOUS, lent, strict=True)})
        )
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One scenario ridden in one order on so many days."""

    scenario: Scenario
    order: str
    ridden: str
    rng: np.random.Generator
    rules: list[comparison.Rules]
    thorough: bool = False

    def made(self, effects: np.ndarray | None = None, order: str = "") -> Days:
        days = len(self.rules)
        differ = None if self.scenario.days_differ is None else day_sigmas(self.scenario, days, self.rng)
        return made_days(self.scenario, order or self.order, days, self.rng, effects=effects, sigmas=differ)

    def rate(self, name: str, wrong: np.ndarray, limit: float | None = None, **more: Any) -> Rate:
        """Return how often an array says so, one entry a case."""
        return Rate(
            scenario=self.scenario.name,
            ridden=self.ridden,
            name=name,
            value=100 * float(np.mean(wrong)),
            cases=len(wrong),
            limit=limit,
            **more,
        )

    def worst(self, name: str, wrong: Sequence[np.ndarray], limit: float, *, at_least: bool = False) -> Rate:
        """Return the worst of several rows'."""
        row = (min if at_least else max)(wrong, key=np.mean)
        return self.rate(name, row, limit, at_least=at_least, of_rows=len(wrong))


def _coverage(trial: Trial, days: Days, told: Told) -> Iterator[Rate]:
    """Yield how often the interval at q holds the truth, which is none: exactly where p is over q."""
    covered = told.p[:, : len(CONTINUOUS)] > Q
    yield trial.worst("interval holds the truth, the worst measure", list(covered.T), 93, at_least=True)
    judged = days.counts.sum(axis=-1) >= FEWEST_EVENTS
    of_counts = [
        held[enough]
        for held, enough in zip((told.p[:, len(CONTINUOUS) :] > Q).T, judged.T, strict=True)
        if np.count_nonzero(enough) >= FEWEST_TO_TELL
    ]
    if of_counts and trial.order != ONE_WAY:  # where counts aren't judged
        yield trial.worst("counts: interval holds the truth, the worst", of_counts, 94, at_least=True)


def _without_changes(trial: Trial) -> Iterator[Rate]:
    """Yield coverage and false "changed" of days on which nothing was changed."""
    days = trial.made()
    told = told_of(days, trial.rules)
    yield from _coverage(trial, days, told)
    yield trial.rate('nothing changed, any "changed"', told.changed.any(axis=1), 5)
    if trial.scenario.is_plain and trial.thorough:
        bare = told_of(days.with_few_sections(), trial.rules, only=len(CONTINUOUS)).p > Q
        yield trial.rate("interval holds the truth without the section floor, mean", bare.mean(axis=1), 97)
    if trial.thorough or trial.scenario.name in FOCUSED:
        focused = told_of(days, trial.rules, focus=WIDEST).changed.any(axis=1)
        limit = 6 if trial.scenario.is_independent else None
        yield trial.rate('nothing changed, one focus row, any "changed"', focused, limit)


def mixed_effects(days: int) -> np.ndarray:
    """Return true changes: exactly the smallest that matters in half of the rows, twice it and none in a quarter each.

    Which rows have which goes round from day to day; signs alternate. Shape (days, rows, 1).
    """
    kind = (np.arange(ROWS) + np.arange(days)[:, None]) % 4
    signs = np.where((np.arange(ROWS) + np.arange(days)[:, None] // 4) % 2, 1.0, -1.0)
    return (signs * np.choose(kind, (0.0, 1.0, TRUE_CHANGE, 1.0)) * margins())[..., None]


def _with_changes(trial: Trial) -> Iterator[Rate]:
    """Yield false discovery, and false "unchanged" where the difference is exactly the smallest that matters."""
    effects = mixed_effects(len(trial.rules))
    told = told_of(trial.made(effects), trial.rules)
    false = (told.changed & (effects[..., 0] == 0)).sum(axis=1)
    yield trial.rate("false among changes found", false / np.maximum(told.changed.sum(axis=1), 1), 5)
    at_margin = np.abs(np.abs(effects[..., 0]) - margins()) < 1e-12
    each = [told.unchanged[at, row] for row, at in enumerate(at_margin.T)]
    by_day = (told.unchanged & at_margin).sum(axis=1) / at_margin.sum(axis=1)
    yield trial.rate('false "unchanged" at the smallest change, mean', by_day, 5)
    yield trial.worst('false "unchanged" at the smallest change, the worst measure', each, 7)


def _teeth(trial: Trial) -> Iterator[Rate]:
    """Yield how often rules that people use instead are wrong on the same days, a measure at 5 %, by the library."""
    if trial.scenario.name == "run-dominated" and trial.order == ROUNDS[3]:
        days = trial.made()
        is_b = np.array([setup == "b" for setup in days.order])
        differences = days.sections[:, :, is_b].mean(axis=2) - days.sections[:, :, ~is_b].mean(axis=2)
        wrong = stats.ttest_1samp(differences, 0.0, axis=-1).pvalue < Q
        yield trial.rate("teeth: sections as replicates, wrong", wrong.mean(axis=1), 30, at_least=True)
    if trial.order == ONE_WAY:
        values = trial.made().values
        wrong = stats.ttest_ind(values[..., 4:], values[..., :4], axis=-1).pvalue < Q
        yield trial.rate("teeth: A A A A B B B B without the drift term, wrong", wrong.mean(axis=1), 20, at_least=True)


def trial_of(scenario: Scenario, order: str, days: int, seed: Sequence[int], *, thorough: bool = False) -> Trial:
    """Return a trial with its own random numbers."""
    rng = np.random.default_rng(seed)
    lent = [{}] * days if scenario.days_differ is None else lent_by_earlier_days(scenario, days, rng)
    return Trial(
        scenario=scenario,
        order=order,
        ridden="one way, 4 + 4" if order == ONE_WAY else f"{order.count('a')} + {order.count('b')}",
        rng=rng,
        rules=[comparison.Rules(borrowed=one) for one in lent],
        thorough=thorough,
    )


def orders_of(scenario: Scenario, *, thorough: bool) -> tuple[str, ...]:
    """Return the orders a scenario is ridden in; the drift is fitted from four of each on."""
    if scenario.days_differ is not None:
        return (ROUNDS[2], ROUNDS[3])[: 2 if thorough else 1]
    rounds = (ROUNDS[3], ROUNDS[4])
    if scenario.name == "drifting":
        return (*rounds, ONE_WAY) if thorough else (ROUNDS[4], ONE_WAY)
    return rounds if thorough else rounds[:1]


def _looks(days: int, seed: int, *, thorough: bool) -> Iterator[Rate]:
    """Yield false "changed" of days compared at every number that may decide, riding on until something changed."""
    trial = trial_of(Scenario(name=LOOKS), PAIR_BY_PAIR, days, [seed, 101])
    made = trial.made()

    def any_changed(planned: tuple[int, ...], *looks: int, focus: Row | None = None) -> np.ndarray:
        rules = [comparison.Rules(planned_runs=planned)] * days
        found = [told_of(made.first(2 * each), rules, focus=focus).changed.any(axis=1) for each in looks]
        return np.any(found, axis=0)

    first = any_changed((3,), 3)  # with 3 and 6 planned it spends as much
    yield trial.rate("3 planned, then pair by pair to 6", first | any_changed((3,), 4, 5, 6), 5)
    yield trial.rate("3 and 6 planned", first | any_changed((3, 6), 6), 5)
    if thorough:
        focused = any_changed((3,), 3, 4, 5, 6, focus=WIDEST)
        yield trial.rate("3 planned, then pair by pair to 6, one focus row", focused, 6)
        unplanned = any_changed((), 2, 3, 4, 5, 6, focus=WIDEST)
        yield trial.rate("teeth: no number planned, compared from 2 to 6, one focus row", unplanned)


def _third_setup(days: int, seed: int) -> Iterator[Rate]:
    """Yield false "changed" of a setup that is the baseline's twin, beside one that differs in everything."""
    trial = trial_of(Scenario(name=THIRD), THREE_SETUPS, days, [seed, 102])
    far = np.array([setup == "c" for setup in THREE_SETUPS]) * (FAR_CHANGE * margins())[:, None]
    told = told_of(trial.made(far[None]), trial.rules)
    yield trial.rate('b is a, any "changed" of b', told.changed.any(axis=1), 5)


NEEDED = {(3, False): 4, (3, True): 3, (5, False): 3, (5, True): 2}
"""Runs of each by smallest change over spread, and whether there are three earlier days."""
FOR_UNCHANGED = (3, True)


def _power(days: int, seed: int, *, thorough: bool) -> Iterator[Rate]:
    """Yield how often a true change of the one focus row is found, and no change called the same at two of each.

    Only that row is ridden: it is a family by itself.
    """
    size = margins()[SAG_AT]
    for (ratio, earlier), needed in NEEDED.items():
        for runs in (2, 3, 4) if thorough else {needed, 2} if (ratio, earlier) == FOR_UNCHANGED else {needed}:
            run = np.sqrt((size / ratio / run_sd()[SAG_AT]) ** 2 - 0.1**2 / 20)
            scenario = Scenario(name=POWER, run=run, noise=0.1, days_differ=0.25 if earlier else None)
            trial = trial_of(scenario, ROUNDS[runs], days, [seed, 103, ratio, earlier, runs])
            beside = ", three earlier days" if earlier else ""
            for effect, what in ((size, "changed"), (0.0, "unchanged")):
                effects = np.full((1, ROWS, 1), effect)
                told = told_of(trial.made(effects), trial.rules, focus=SAG, only=1)
                limits = {"changed": 80.0 if runs == needed else None}
                limits["unchanged"] = 65.0 if (ratio, earlier, runs) == (*FOR_UNCHANGED, 2) else None
                found = getattr(told, what)[:, 0]
                yield trial.rate(f'D/s {ratio}{beside}: "{what}"', found, limits[what], at_least=True)


def rates(days: int, seed: int, *, thorough: bool = False, scenarios: Collection[str] = EVERY) -> Iterator[Rate]:
    """Yield every rate of the scenarios.

    Parameters
    ----------
    days : int
        Of each kind, scenario and number of runs.
    seed : int
    thorough : bool
        Every scenario with four of each too, with a focus row, and without the section floor.
    scenarios : collection of str
        By name.
    """
    for number, scenario in enumerate(SCENARIOS):
        for order in orders_of(scenario, thorough=thorough) if scenario.name in scenarios else ():
            seeds = [seed, number, len(order), order == ONE_WAY]
            trial = trial_of(scenario, order, days, seeds, thorough=thorough)
            for part in (_without_changes, _with_changes, _teeth):
                yield from part(trial)
    if LOOKS in scenarios:
        yield from _looks(days, seed, thorough=thorough)
    if THIRD in scenarios:
        yield from _third_setup(days, seed)
    if POWER in scenarios:
        yield from _power(days, seed, thorough=thorough)
