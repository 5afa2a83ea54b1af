"""Simulated test days with a known truth, many at once: the generator behind the error rates.

Every day has the rows that get verdicts. On a row's scale of comparison (points and mm as they are, the rest by
their logarithm) the value of run r in trail section s is

    level + trail(s) + effect * [r is of b] + day(place of r) + run(r) + put on(r) + setup by section(s) + noise(r, s)

and a run's value is the mean of its sections. `run` has a standard deviation of one *run sd*: 0.9 mm of 170 for shares
of travel, 0.3 mm a hit for packing, 3 to 8 % for the rest, evenly over the rows; half of its variance is common to
all rows of a run, as a rider's good and bad runs are, and half of the variance of what else is random is common too.
Counts are Poisson about a mean that varies from run to run by a gamma distribution. No source: own choices, in the
range of what runs of one setup spread by.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise
from types import MappingProxyType
from typing import TypeAlias

import numpy as np

from telemetry.model.catalogue import compared_rows
from telemetry.model.comparison import FamilyRow, RunValue, UsedRun
from telemetry.model.finding import Place
from telemetry.model.measure_spec import MeasureSpec
from telemetry.statistics.scale import margin

Row: TypeAlias = tuple[str, Place]
SECTIONS = 20
RUN_MIN = 3.0
ROUNDS = {2: "abba", 3: "abbaab", 4: "abbabaab"}
ONE_WAY = "aaaabbbb"
THREE_SETUPS = "abccbaabc"
PAIR_BY_PAIR = "abbaabbaabba"
CONTINUOUS: tuple[tuple[MeasureSpec, Place], ...] = tuple(
    (spec, end) for spec, end in compared_rows(()) if spec.scale != "count"
)
COUNTED: tuple[tuple[MeasureSpec, Place], ...] = tuple(
    (spec, end) for spec, end in compared_rows(()) if spec.scale == "count"
)
ROWS = len(CONTINUOUS) + len(COUNTED)
LEVEL = {"raw": 30.0, "log": np.log(1000.0)}
SHARED = 0.5
EARLIER_DAYS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """What spreads; standard deviations and the day's course are in run sd.

    Attributes
    ----------
    name : str
    run, noise, by_section : float
        From run to run, between sections of a run, between sections of a setup's difference.
    drift : float
        A run. `u_shaped`: the day turns at its middle, and its ends lie as far from there as a drift of this takes it.
    tails : int or None
        Degrees of freedom of t-distributed runs, None for normal ones.
    follows : float
        Correlation of a run with the one before.
    put_on : float
        Error of each putting on of a setup, common to its runs until the next.
    times_b : float
        Run sd of `b` in times that of `a`.
    days_differ : float or None
        Standard deviation of a day's log sigma, where the spread is borrowed from `EARLIER_DAYS`.
    events : (float, float)
        Mean count of a run by row, from the first to the last; `phi` its variance over the mean.
    """

    name: str
    run: float = 1.0
    noise: float = 1.0
    by_section: float = 0.0
    drift: float = 0.0
    u_shaped: bool = False
    tails: int | None = None
    follows: float = 0.0
    put_on: float = 0.0
    times_b: float = 1.0
    days_differ: float | None = None
    events: tuple[float, float] = (3.0, 30.0)
    phi: float = 1.3

    @property
    def is_plain(self) -> bool:
        """Whether runs are normal, alike for both setups, and nothing but them spreads."""
        return self.is_independent and self.tails is None and self.times_b == 1 and self.days_differ is None

    @property
    def is_independent(self) -> bool:
        """Whether no run says anything of another."""
        return not (self.drift or self.follows or self.put_on)

    @property
    def total_sd(self) -> float:
        """Standard deviation of a run's value with that of its sections."""
        return float(np.hypot(self.run, self.noise / np.sqrt(SECTIONS)))


def run_sd() -> np.ndarray:
    """Return each continuous row's run sd on its scale of comparison."""
    logs = iter(np.linspace(0.03, 0.08, sum(spec.scale == "log" for spec, _ in CONTINUOUS)))
    shares = 100 * 0.9 / 170
    return np.array(
        [next(logs) if spec.scale == "log" else 0.3 if spec.unit == "mm per hit" else shares for spec, _ in CONTINUOUS]
    )


def margins() -> np.ndarray:
    """Return each row's smallest change that matters on its scale, continuous rows first."""
    every = (*CONTINUOUS, *COUNTED)
    return np.array([margin(spec.smallest_change, spec.scale, 1.0) for spec, _ in every])


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """Many days of one order.

    Attributes
    ----------
    order : str
        A letter a run, ``a`` the baseline.
    sections : float array, shape (days, continuous rows, runs, sections)
    counts : int array, shape (days, counted rows, runs)
    """

    order: str
    sections: np.ndarray
    counts: np.ndarray

    def __len__(self) -> int:
        return len(self.counts)

    @property
    def values(self) -> np.ndarray:
        """Run values, shape (days, rows, runs)."""
        return self.sections.mean(axis=-1)

    def first(self, runs: int) -> Days:
        """Return the days as they stood after so many runs."""
        return Days(order=self.order[:runs], sections=self.sections[:, :, :runs], counts=self.counts[:, :, :runs])

    def with_few_sections(self) -> Days:
        """Return the same runs without enough sections for a floor under their spread."""
        few = np.broadcast_to(self.values[..., None], (*self.values.shape, 2))
        return replace(self, sections=few)


def _shared(draw: Callable[[tuple[int, ...]], np.ndarray], days: int, last: int) -> np.ndarray:
    """Return draws of unit variance, shape (days, rows, last), half of it common to all rows."""
    common, own = draw((days, 1, last)), draw((days, len(CONTINUOUS), last))
    return np.sqrt(SHARED) * common + np.sqrt(1 - SHARED) * own


def _followed(steps: np.ndarray, correlation: float) -> np.ndarray:
    """Return a stationary course along the last axis in which each follows the one before."""
    course = np.empty_like(steps)
    course[..., 0] = steps[..., 0]
    for place in range(1, steps.shape[-1]):
        course[..., place] = correlation * course[..., place - 1] + np.sqrt(1 - correlation**2) * steps[..., place]
    return course


def put_on_numbers(order: str) -> list[int]:
    """Return which putting on each run belongs to, from 0: a setup stays on until another is ridden."""
    return list(accumulate((one != other for one, other in pairwise(order)), initial=0))


def _course_of_the_day(scenario: Scenario, runs: int) -> np.ndarray:
    """Return what the day adds to each run, in run sd."""
    place = np.arange(runs) - (runs - 1) / 2
    return scenario.drift * (place**2 / place[-1] if scenario.u_shaped else place)


def day_sigmas(scenario: Scenario, days: int, rng: np.random.Generator, number: int = 1) -> np.ndarray:
    """Return in what times the usual each row spreads on each of so many dates, shape (days, rows, number)."""
    return np.exp((scenario.days_differ or 0.0) * _shared(lambda shape: rng.normal(size=shape), days, number))


def made_days(
    scenario: Scenario,
    order: str,
    days: int,
    rng: np.random.Generator,
    *,
    effects: np.ndarray | None = None,
    sigmas: np.ndarray | None = None,
) -> Days:
    """Return days of a scenario.

    Parameters
    ----------
    scenario : Scenario
    order : str
    days : int
    rng : numpy Generator
    effects : float array, shape (days or 1, rows, runs or 1), optional
        True difference of each run from the baseline on each row's scale, continuous rows first; of runs of ``a`` it
        is left out. None by default.
    sigmas : float array, shape (days, continuous rows, 1), optional
        In what times the usual each row spreads.
    """
    effects = np.zeros((1, ROWS, 1)) if effects is None else effects
    effects = effects * np.array([setup != "a" for setup in order])
    shape = (days, len(CONTINUOUS), len(order))
    tails = scenario.tails

    def spread(size):
        if tails is None:
            return rng.normal(size=size)
        return rng.standard_t(tails, size=size) / np.sqrt(tails / (tails - 2))

    times = np.where([setup == "b" for setup in order], scenario.times_b, 1.0)
    runs = scenario.run * times * _followed(_shared(spread, days, len(order)), scenario.follows)
    if scenario.put_on:
        numbers = put_on_numbers(order)
        errors = _shared(lambda size: rng.normal(size=size), days, numbers[-1] + 1)
        runs = runs + scenario.put_on * errors[..., numbers]
    if sigmas is not None:
        runs = runs * sigmas
    sd = run_sd()[:, None]
    level = np.array([LEVEL[spec.scale] for spec, _ in CONTINUOUS])[:, None]
    values = level + effects[:, : len(CONTINUOUS)] + sd * (runs + _course_of_the_day(scenario, len(order)))
    trail = 3.0 * rng.normal(size=(days, len(CONTINUOUS), 1, SECTIONS))
    own = scenario.by_section * rng.normal(size=trail.shape) * np.array([setup == "b" for setup in order])[:, None]
    noise = scenario.noise * rng.normal(size=(*shape, SECTIONS))
    sections = values[..., None] + sd[..., None] * (trail - trail.mean(axis=-1, keepdims=True) + own + noise)
    means = np.geomspace(*scenario.events, len(COUNTED))[:, None] * np.exp(effects[:, len(CONTINUOUS) :])
    means = np.broadcast_to(means, (days, len(COUNTED), len(order)))
    gamma = means / (scenario.phi - 1)
    return Days(order=order, sections=sections, counts=rng.poisson(means * rng.gamma(gamma, 1 / gamma)))


def rows_of(days: Days, number: int, focus: Row | None = None) -> list[FamilyRow]:
    """Return one day as the rows that the product judges."""
    used = [UsedRun(run=f"run_{k}", setup=setup, order=k) for k, setup in enumerate(days.order, 1)]
    nothing = np.full(SECTIONS, np.nan)
    sections, values = days.sections[number], days.sections[number].mean(axis=-1)
    is_log = np.array([spec.scale == "log" for spec, _ in CONTINUOUS])
    sections = np.where(is_log[:, None, None], np.exp(np.where(is_log[:, None, None], sections, 0.0)), sections)
    values = np.where(is_log[:, None], np.exp(np.where(is_log[:, None], values, 0.0)), values)
    runs = [
        [RunValue(run=run, value=value, sections=each) for run, value, each in zip(used, *row, strict=True)]
        for row in zip(values.tolist(), sections, strict=True)
    ] + [
        [
            RunValue(run=run, value=count / RUN_MIN, sections=nothing, count=count, minutes=RUN_MIN)
            for run, count in zip(used, counts, strict=True)
        ]
        for counts in days.counts[number].tolist()
    ]
    return [
        FamilyRow(
            spec=spec,
            end=end,
            smallest_change=spec.smallest_change,
            focus=(spec.name, end) == focus,
            runs=tuple(of_row),
            full_travel_mm=MappingProxyType({}),
        )
        for (spec, end), of_row in zip((*CONTINUOUS, *COUNTED), runs, strict=True)
    ]
