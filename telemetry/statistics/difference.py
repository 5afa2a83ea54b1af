"""The difference between two setups on one scale: runs are the replicates."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal, TypeAlias

import numpy as np
from scipy import special

from telemetry.model.arrays import Floats

from .earlier_days import Borrowed
from .least_squares import Fit, least_squares
from .order_ridden import confounded, fits_drift, mean_shift, never_taken_turns

FEWEST_SECTIONS = 5
TakenOut: TypeAlias = Literal["drift", "day"]
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
    days : float array, shape (n,)
        Number of the day each run was ridden on.
    """

    values: Floats
    orders: Floats
    sections: Floats
    days: Floats

    def __len__(self) -> int:
        return int(self.values.shape[0])

    def times(self, factor: float) -> Sample:
        """Return the sample in another unit."""
        return replace(self, values=self.values * factor, sections=self.sections * factor)


@dataclass(frozen=True, slots=True, kw_only=True)
class Floor:
    """Below what no interval goes: how well trail sections agree on the difference.

    Attributes
    ----------
    se : float
        ``sd(D_s) / sqrt(S')`` of the section differences D_s over the S' sections where every run has a value.
    nu : int
        ``S' - 1``.
    """

    se: float
    nu: int

    def half_width(self, level: float) -> float:
        """Return the half-width at a two-sided level by the sections alone."""
        return -float(special.stdtrit(self.nu, level / 2)) * self.se


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """Candidate minus baseline.

    Attributes
    ----------
    d : float
    levels : (baseline, candidate)
        Means; where more than the setup is fitted, the fitted ones at the middle of the runs. They differ by `d`.
    s, nu : float
        Residual standard deviation between runs, 0 where they don't vary, and its degrees of freedom, 1 or more; with
        what is borrowed from earlier days.
    reach : float
        Standard error of `d` in times `s`.
    floor : Floor or None
        None with fewer than 5 sections.
    confounded : bool
        Whether so few runs stood so far apart in the day that the change can't be told from the order.
    fewest, most : int
        Runs of the setup with fewer, and of the other.
    one_after_the_other : bool
        Whether all runs of one setup came before all of the other's, on one day.
    taken_out : tuple of {"drift", "day"}
        What is fitted beside the setup.
    borrowed : Borrowed or None
        What earlier days gave.
    unlike : bool
        Whether the runs scatter more than earlier days let expect, so that nothing is borrowed.
    """

    d: float
    levels: tuple[float, float]
    s: float
    nu: float
    reach: float
    floor: Floor | None
    confounded: bool
    fewest: int
    most: int
    one_after_the_other: bool
    taken_out: tuple[TakenOut, ...] = ()
    borrowed: Borrowed | None = None
    unlike: bool = False

    @property
    def se(self) -> float:
        """Standard error of `d`; 0 where runs don't vary."""
        return self.s * self.reach

    def half_width(self, level: float) -> float | None:
        """Return the half-width of the two-sided interval at `level`; None where there is no spread to judge by."""
        if self.se == 0:
            return None
        width = -float(special.stdtrit(self.nu, level / 2)) * self.se
        return width if self.floor is None else max(width, self.floor.half_width(level))

    @property
    def p(self) -> float | None:
        """The larger of the runs' and the sections' two-sided p; None where there is no spread to judge by."""
        if self.se == 0:
            return None
        p = 2 * float(special.stdtr(self.nu, -abs(self.d) / self.se))
        if self.floor is None or self.floor.se == 0:
            return p
        return max(p, 2 * float(special.stdtr(self.floor.nu, -abs(self.d) / self.floor.se)))


def section_differences(baseline: Sample, candidate: Sample) -> Floats:
    """Return section mean of candidate minus baseline over the sections where every run has a value."""
    whole = np.isfinite(np.vstack([baseline.sections, candidate.sections])).all(axis=0)
    differences: Floats = candidate.sections[:, whole].mean(axis=0) - baseline.sections[:, whole].mean(axis=0)
    return differences


def section_floor(baseline: Sample, candidate: Sample) -> Floor | None:
    """Return the floor that trail sections set; None with fewer than 5 in which every run has a value."""
    found = section_differences(baseline, candidate)
    if found.size < FEWEST_SECTIONS:
        return None
    return Floor(se=float(found.std(ddof=1)) / math.sqrt(found.size), nu=int(found.size) - 1)


def _days(baseline: Sample, candidate: Sample) -> Floats:
    return np.concatenate([baseline.days, candidate.days])


def several_days(baseline: Sample, candidate: Sample) -> bool:
    """Tell whether the runs of both were ridden on more than one day."""
    return np.unique(_days(baseline, candidate)).size > 1


def order_shift(baseline: Sample, candidate: Sample) -> Fraction:
    """Return `mean_shift` of two samples; with runs of several days, of places about their day's mean."""
    both = [[int(order) for order in item.orders.tolist()] for item in (baseline, candidate)]
    if not several_days(baseline, candidate):
        return mean_shift(*both)
    days, orders = _days(baseline, candidate).tolist(), [*both[0], *both[1]]
    ridden = {day: [order for order, on in zip(orders, days, strict=True) if on == day] for day in set(days)}
    about = [order - Fraction(sum(ridden[day]), len(ridden[day])) for order, day in zip(orders, days, strict=True)]
    return mean_shift(about[: len(baseline)], about[len(baseline) :])


def fit_of(baseline: Sample, candidate: Sample, *, with_order: bool) -> Fit | None:
    """Return the fit of ``1 + setup (+ order) (+ day)``; the slope of the order comes first."""
    further = np.unique(_days(baseline, candidate))[1:]
    both = (baseline, candidate)
    covariates = [
        np.column_stack([*([item.orders] if with_order else []), item.days[:, None] == further]) for item in both
    ]
    return least_squares([item.values for item in both], covariates)


def one_after_the_other(baseline: Sample, candidate: Sample) -> bool:
    """Tell whether all runs of one setup came before all of the other's, on one day."""
    setups = np.repeat([0, 1], [len(baseline), len(candidate)])
    ridden = setups[np.argsort(np.concatenate([baseline.orders, candidate.orders]))].tolist()
    return never_taken_turns(ridden) and not several_days(baseline, candidate)


def _middle(baseline: Sample, candidate: Sample, *, with_order: bool) -> Floats:
    """Return the covariates of the middle of the runs, as `fit_of` has them."""
    days, orders = _days(baseline, candidate), np.concatenate([baseline.orders, candidate.orders])
    place = [orders.mean()] if with_order else []
    return np.array([*place, *(float((days == day).mean()) for day in np.unique(days)[1:])])


def difference(baseline: Sample, candidate: Sample, borrowed: Borrowed | None = None) -> Difference | None:
    """Return the difference between two setups of two runs or more each.

    Parameters
    ----------
    baseline, candidate : Sample
    borrowed : Borrowed, optional
        What earlier days say of the spread.

    Returns
    -------
    Difference or None
        None where the setup can't be told from the order or the day ridden.

    Notes
    -----
    Ordinary least squares on setup: the pooled two-sample t; with 4 runs or more of each, or an order shift over 1,
    on the order too; with runs of two days, on the day too. Spread that is only rounding error counts as none. With
    earlier days the variance is pooled with theirs [Smyth2004], unless today scatters more than they let expect.
    """
    fewest, shift = min(len(baseline), len(candidate)), order_shift(baseline, candidate)
    with_order = fits_drift(fewest, shift)
    fit = fit_of(baseline, candidate, with_order=with_order)
    if fit is None:
        return None
    d, reach = fit.difference
    levels = fit.levels_at(_middle(baseline, candidate, with_order=with_order))
    unlike = borrowed is not None and borrowed.is_unlike(fit.spread**2, fit.nu)
    use = None if unlike or fit.spread == 0 else borrowed
    variance, nu = (fit.spread**2, float(fit.nu)) if use is None else use.pooled(fit.spread**2, fit.nu)
    taken_out: dict[TakenOut, bool] = {"drift": with_order, "day": several_days(baseline, candidate)}
    return Difference(
        d=d,
        levels=(float(levels[0]), float(levels[0]) + d),
        s=math.sqrt(variance),
        nu=nu,
        reach=reach,
        floor=section_floor(baseline, candidate),
        confounded=confounded(fewest, shift),
        fewest=fewest,
        most=max(len(baseline), len(candidate)),
        one_after_the_other=one_after_the_other(baseline, candidate),
        taken_out=tuple(name for name, held in taken_out.items() if held),
        borrowed=use,
        unlike=unlike,
    )
