"""Simulated test days with a known truth, many at once: the generator behind the error rates.

Every day has the 29 rows that get verdicts. On a row's scale of comparison (points and mm as they are, the rest by
their logarithm) the value of run r in trail section s is

    level + trail(s) + effect * [r is of b] + drift * place(r) + run(r) + setup by section(s) + noise(r, s)

and a run's value is the mean of its sections. `run` has a standard deviation of one *run sd*: 0.9 mm of 170 for shares
of travel, 0.3 mm a hit for packing, 3 to 8 % for the rest, evenly over the rows; half of its variance is common to
all rows of a run, as a rider's good and bad runs are. Counts are Poisson about a mean that varies from run to run by a
gamma distribution. No source: own choices, in the range of what runs of one setup spread by.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from telemetry.model.catalogue import FAMILY, MeasureSpec
from telemetry.model.comparison import FamilyRow, RunValue, UsedRun
from telemetry.model.finding import Place
from telemetry.statistics.scale import margin

SECTIONS = 20
RUN_MIN = 3.0
ORDERS = {3: "abbaab", 4: "aabbbbaa"}
CONTINUOUS: tuple[tuple[MeasureSpec, Place], ...] = tuple(
    (spec, end) for spec in FAMILY if spec.scale != "count" for end in spec.ends
)
COUNTED: tuple[tuple[MeasureSpec, Place], ...] = tuple(
    (spec, end) for spec in FAMILY if spec.scale == "count" for end in spec.ends
)
LEVEL = {"raw": 30.0, "log": np.log(1000.0)}
SHARED = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """What spreads; standard deviations and drift are in run sd.

    `tails` are the degrees of freedom of t-distributed runs, None for normal ones. `events` is the mean count of a
    run by row, from the first to the last; `phi` its variance over the mean.
    """

    name: str
    run: float = 1.0
    noise: float = 2.0
    by_section: float = 0.0
    drift: float = 0.0
    tails: int | None = None
    events: tuple[float, float] = (3.0, 30.0)
    phi: float = 1.3

    @property
    def is_plain(self) -> bool:
        """Whether runs are normal and don't drift."""
        return self.tails is None and self.drift == 0


SCENARIOS = (
    Scenario(name="quiet", run=0.5, noise=1.0),
    Scenario(name="drifting", drift=0.5),
    Scenario(name="heavy-tailed", tails=3),
    Scenario(name="run-dominated", noise=0.5),
    Scenario(name="section-dominated", run=0.2, noise=3.0, by_section=1.5),
    Scenario(name="rare counts", events=(0.3, 4.0), phi=1.6),
)


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
    sections : float array, shape (days, continuous rows, runs, sections)
    counts : int array, shape (days, counted rows, runs)
    """

    order: str
    sections: np.ndarray
    counts: np.ndarray

    @property
    def values(self) -> np.ndarray:
        """Run values, shape (days, rows, runs)."""
        return self.sections.mean(axis=-1)


def made_days(
    scenario: Scenario, order: str, days: int, rng: np.random.Generator, effects: np.ndarray | None = None
) -> Days:
    """Return days of a scenario.

    Parameters
    ----------
    scenario : Scenario
    order : str
        A letter a run, ``a`` the baseline.
    days : int
    rng : numpy Generator
    effects : float array, shape (rows,), optional
        True difference of ``b`` on each row's scale, continuous rows first; none by default.
    """
    effects = np.zeros(len(CONTINUOUS) + len(COUNTED)) if effects is None else effects
    is_b = np.array([setup == "b" for setup in order], dtype=float)
    shape = (days, len(CONTINUOUS), len(order))
    sd = run_sd()[:, None]

    def spread(size):
        if scenario.tails is None:
            return rng.normal(size=size)
        return rng.standard_t(scenario.tails, size=size) / np.sqrt(scenario.tails / (scenario.tails - 2))

    common = spread((days, 1, len(order)))
    runs = np.sqrt(SHARED) * common + np.sqrt(1 - SHARED) * spread(shape)
    place = np.arange(len(order)) - (len(order) - 1) / 2
    level = np.array([LEVEL[spec.scale] for spec, _ in CONTINUOUS])[:, None]
    values = level + effects[: len(CONTINUOUS), None] * is_b + sd * (scenario.run * runs + scenario.drift * place)
    trail = 3.0 * rng.normal(size=(days, len(CONTINUOUS), 1, SECTIONS))
    own = scenario.by_section * rng.normal(size=(days, len(CONTINUOUS), 1, SECTIONS)) * is_b[:, None]
    noise = scenario.noise * rng.normal(size=(*shape, SECTIONS))
    sections = values[..., None] + sd[..., None] * (trail - trail.mean(axis=-1, keepdims=True) + own + noise)
    means = np.geomspace(*scenario.events, len(COUNTED))[:, None] * np.exp(effects[len(CONTINUOUS) :, None] * is_b)
    gamma = means / (scenario.phi - 1)
    means = np.broadcast_to(means, (days, *means.shape))
    counts = rng.poisson(means * rng.gamma(gamma, 1 / gamma, size=means.shape))
    return Days(order=order, sections=sections, counts=counts)


def rows_of(days: Days, number: int, focus: frozenset[tuple[str, Place]] = frozenset()) -> list[FamilyRow]:
    """Return one day as the rows that the product judges."""
    used = [UsedRun(run=f"run_{k}", setup=setup, order=k) for k, setup in enumerate(days.order, 1)]
    rows = []
    for place, (spec, end) in enumerate((*CONTINUOUS, *COUNTED)):
        runs = []
        for k, run in enumerate(used):
            if place < len(CONTINUOUS):
                sections, count = days.sections[number, place, k], None
                value = float(sections.mean())
                if spec.scale == "log":
                    sections, value = np.exp(sections), float(np.exp(value))
            else:
                count = int(days.counts[number, place - len(CONTINUOUS), k])
                sections, value = np.full(SECTIONS, np.nan), count / RUN_MIN
            runs.append(RunValue(run=run, value=value, sections=sections, count=count, minutes=RUN_MIN))
        rows.append(
            FamilyRow(
                spec=spec,
                end=end,
                smallest_change=spec.smallest_change,
                focus=(spec.name, end) in focus,
                runs=tuple(runs),
                full_travel_mm=MappingProxyType({}),
            )
        )
    return rows
