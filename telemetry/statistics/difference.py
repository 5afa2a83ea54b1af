"""The difference between two setups on one scale: runs are the replicates."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from scipy import special

from telemetry.model.arrays import Floats

SHIFT_LIMIT = 1.0
ENOUGH_FOR_DRIFT = 4
FEWEST_SECTIONS = 5
DOES_NOT_VARY = "does not vary at this resolution"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One setup's run values on the scale of comparison.

    Attributes
    ----------
    values : float array, shape (n,)
    orders : float array, shape (n,)
        Position of each run in the day.
    sections : float array, shape (n, S)
        Section values; NaN where a section gives none.
    days : float array, shape (n,), optional
        Number of the day each run was ridden on; None where all were on one.
    """

    values: Floats
    orders: Floats
    sections: Floats
    days: Floats | None = None

    def __len__(self) -> int:
        return int(self.values.shape[0])

    def times(self, factor: float) -> Sample:
        """Return the sample in another unit."""
        return replace(self, values=self.values * factor, sections=self.sections * factor)


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """Candidate minus baseline.

    Attributes
    ----------
    d, se : float
        Difference and its standard error; `se` is 0 where runs don't vary.
    s, nu : float, int
        Residual standard deviation between runs and its degrees of freedom.
    floor_se, floor_nu : float, int, or None
        Standard error between trail sections; None with fewer than 5 sections.
    order_shift : float
        Mean position of the candidate's runs less the baseline's.
    with_drift : bool
        Whether a linear drift with the order ridden was fitted too.
    fewest : int
        Runs of the setup with fewer.
    one_way : bool
        Whether all runs of one setup came before all of the other's.
    """

    d: float
    se: float
    s: float
    nu: int
    floor_se: float | None
    floor_nu: int | None
    order_shift: float
    with_drift: bool
    fewest: int
    one_way: bool = False

    def half_width(self, level: float) -> float | None:
        """Return the half-width of the two-sided interval at `level`; None where there is no spread to judge by."""
        if self.nu <= 0 or self.se == 0:
            return None
        width = -float(special.stdtrit(self.nu, level / 2)) * self.se
        if self.floor_se is None or self.floor_nu is None:
            return width
        return max(width, -float(special.stdtrit(self.floor_nu, level / 2)) * self.floor_se)

    @property
    def lacks_floor(self) -> bool:
        """Whether fewer than 5 sections have a value in every run."""
        return self.floor_se is None

    @property
    def confounded(self) -> bool:
        """Whether so few runs stood so far apart in the day that the change can't be told from the order."""
        return self.fewest == 2 and abs(self.order_shift) > SHIFT_LIMIT

    @property
    def p(self) -> float | None:
        """The larger of the runs' and the sections' two-sided p."""
        if self.nu <= 0 or self.se == 0:
            return None
        p = 2 * float(special.stdtr(self.nu, -abs(self.d) / self.se))
        if self.floor_se is None or self.floor_nu is None:
            return p
        floor = 2 * float(special.stdtr(self.floor_nu, -abs(self.d) / self.floor_se)) if self.floor_se > 0 else 0.0
        return max(p, floor)


def mean_shift(baseline: Sequence[int], candidate: Sequence[int]) -> float:
    """Return mean position of the candidate's runs less the baseline's.

    Notes
    -----
    Means are taken as fractions: a shift of exactly one place must not round to more than one.
    """
    return float(Fraction(sum(candidate), len(candidate)) - Fraction(sum(baseline), len(baseline)))


def order_shift(baseline: Sample, candidate: Sample) -> float:
    """Return `mean_shift` of two samples; with runs of several days, of positions about each day's mean."""
    first, second = ([int(order) for order in item.orders] for item in (baseline, candidate))
    columns = day_columns(baseline, candidate)
    if columns.shape[1] == 0:
        return mean_shift(first, second)
    order = np.array([*first, *second], dtype=float)
    basis = np.column_stack([np.ones_like(order), columns])
    about = order - basis @ np.linalg.lstsq(basis, order, rcond=None)[0]
    return round(float(about[len(first) :].mean() - about[: len(first)].mean()), 9)


def section_differences(baseline: Sample, candidate: Sample) -> Floats:
    """Return section mean of candidate minus baseline over the sections where every run has a value."""
    both = np.vstack([baseline.sections, candidate.sections])
    if both.shape[1] == 0:
        return np.empty(0)
    whole = np.isfinite(both).all(axis=0)
    differences: Floats = candidate.sections[:, whole].mean(axis=0) - baseline.sections[:, whole].mean(axis=0)
    return differences


def section_floor(baseline: Sample, candidate: Sample) -> tuple[float, int] | None:
    """Return the standard error between sections and its degrees of freedom; None with fewer than 5 sections.

    Notes
    -----
    ``SEw = sd(D_s) / sqrt(S')`` over the S' sections where every run has a value.
    """
    found = section_differences(baseline, candidate)
    if found.size < FEWEST_SECTIONS:
        return None
    return float(found.std(ddof=1)) / math.sqrt(found.size), int(found.size) - 1


def _pooled(baseline: Sample, candidate: Sample) -> tuple[float, float, float, int]:
    """Return d, SE, s, nu of the pooled two-sample t."""
    nu = len(baseline) + len(candidate) - 2
    squares = sum(float(((item.values - item.values.mean()) ** 2).sum()) for item in (baseline, candidate))
    s = math.sqrt(squares / nu) if nu > 0 else 0.0
    d = float(candidate.values.mean() - baseline.values.mean())
    return d, s * math.sqrt(1 / len(baseline) + 1 / len(candidate)), s, nu


def day_columns(baseline: Sample, candidate: Sample) -> Floats:
    """Return a column for each day ridden but the first, 1 where a run was ridden that day; none for one day."""
    count = len(baseline) + len(candidate)
    if baseline.days is None or candidate.days is None:
        return np.empty((count, 0))
    days = np.concatenate([baseline.days, candidate.days])
    return np.column_stack([np.empty((count, 0)), *((days == day).astype(float) for day in np.unique(days)[1:])])


def least_squares(y: Floats, design: Floats) -> tuple[Floats, Floats, float, int] | None:
    """Return coefficients, their standard errors, residual standard deviation and degrees of freedom.

    Parameters
    ----------
    y : float array, shape (n,)
    design : float array, shape (n, c)

    Returns
    -------
    tuple or None
        None where the columns can't be told apart, or nothing is left over to judge by.
    """
    nu = y.shape[0] - design.shape[1]
    if nu <= 0 or np.linalg.matrix_rank(design) < design.shape[1]:
        return None
    inverse = np.linalg.inv(design.T @ design)
    coefficients = inverse @ design.T @ y
    residual = y - design @ coefficients
    s = math.sqrt(float(residual @ residual) / nu)
    return coefficients, s * np.sqrt(np.diag(inverse)), s, nu


def design_of(baseline: Sample, candidate: Sample, *, with_order: bool) -> Floats:
    """Return the columns of ``1 + setup (+ order) (+ day)``, setup second and order third."""
    setup = np.concatenate([np.zeros(len(baseline)), np.ones(len(candidate))])
    order = np.concatenate([baseline.orders, candidate.orders])
    columns = [np.ones_like(setup), setup, *([order - order.mean()] if with_order else [])]
    return np.column_stack([*columns, day_columns(baseline, candidate)])


def _fitted(baseline: Sample, candidate: Sample, *, with_order: bool) -> tuple[float, float, float, int] | None:
    """Return d, SE, s, nu of ``y ~ 1 + setup (+ order) (+ day)``; None where setup can't be told from the rest."""
    y = np.concatenate([baseline.values, candidate.values])
    fit = least_squares(y, design_of(baseline, candidate, with_order=with_order))
    if fit is None:
        return None
    coefficients, errors, s, nu = fit
    return float(coefficients[1]), float(errors[1]), s, nu


def one_way(baseline: Sample, candidate: Sample) -> bool:
    """Tell whether all runs of one setup came before all of the other's, on one day."""
    if day_columns(baseline, candidate).shape[1] > 0:
        return False
    return bool(baseline.orders.max() < candidate.orders.min() or candidate.orders.max() < baseline.orders.min())


def needs_drift(baseline: Sample, candidate: Sample) -> bool:
    """Tell whether the order ridden is fitted too: 4 runs or more of each, or positions that differ by over one."""
    fewest = min(len(baseline), len(candidate))
    return fewest >= ENOUGH_FOR_DRIFT or abs(order_shift(baseline, candidate)) > SHIFT_LIMIT


def difference(baseline: Sample, candidate: Sample) -> Difference | None:
    """Return the difference between two setups of two runs or more each.

    Parameters
    ----------
    baseline, candidate : Sample

    Returns
    -------
    Difference or None
        None where the setup can't be told from the order or the day ridden.

    Notes
    -----
    Pooled two-sample t; with 4 runs or more of each, or an order shift over 1, ordinary least squares on setup and
    order; with runs of two days, on the day too. Spread that is only rounding error counts as none.
    """
    shift = order_shift(baseline, candidate)
    drift = needs_drift(baseline, candidate)
    two_days = day_columns(baseline, candidate).shape[1] > 0
    fit = _fitted(baseline, candidate, with_order=drift) if drift or two_days else _pooled(baseline, candidate)
    if fit is None:
        return None
    d, se, s, nu = fit
    largest = float(np.abs(np.concatenate([baseline.values, candidate.values])).max())
    if s <= 1e-12 * max(largest, 1e-300):
        s = se = 0.0
    floor = section_floor(baseline, candidate)
    return Difference(
        d=d,
        se=se,
        s=s,
        nu=nu,
        floor_se=None if floor is None else floor[0],
        floor_nu=None if floor is None else floor[1],
        order_shift=shift,
        with_drift=drift,
        fewest=min(len(baseline), len(candidate)),
        one_way=one_way(baseline, candidate),
    )
