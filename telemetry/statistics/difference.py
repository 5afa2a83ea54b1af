"""The difference between two setups on one scale: runs are the replicates."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal, TypeAlias

import numpy as np
from scipy import special

from telemetry.model.arrays import Floats

from .earlier_days import Borrowed
from .least_squares import Design, Fit, design_of, mean_of
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

    @property
    def ridden(self) -> Ridden:
        """Places and days of the runs."""
        return tuple(self.orders.tolist()), tuple(self.days.tolist())


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
    own : (s, nu)
        `s` and `nu` of these runs alone, with nothing borrowed.
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
    own: tuple[float, float]
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


def section_floor(baseline: Sample, candidate: Sample) -> Floor | None:
    """Return the floor that trail sections set; None with fewer than 5 in which every run has a value.

    Notes
    -----
    Of the section mean of candidate minus baseline over those sections.
    """
    if baseline.sections.shape[1] < FEWEST_SECTIONS:
        return None
    a, b = baseline.sections.sum(axis=0) / len(baseline), candidate.sections.sum(axis=0) / len(candidate)
    each = b - a
    found = each[np.isfinite(each)]
    if found.size < FEWEST_SECTIONS:
        return None
    off = found - mean_of(found)
    sd = math.sqrt(float((off**2).sum()) / (found.size - 1))
    return Floor(se=sd / math.sqrt(found.size), nu=found.size - 1)


Ridden: TypeAlias = tuple[tuple[float, ...], tuple[float, ...]]
"""Places of one setup's runs in the day, and their days."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Riding:
    """What places and days of two setups' runs say, whatever was measured on them.

    Attributes
    ----------
    shift : Fraction
        `mean_shift`; with runs of several days, of places about their day's mean.
    several_days, one_after_the_other : bool
        Whether they were ridden on more than one day; whether on one day all of one setup came before all of the other.
    """

    shift: Fraction
    several_days: bool
    one_after_the_other: bool


@lru_cache(maxsize=256)
def riding_of(baseline: Ridden, candidate: Ridden) -> Riding:
    """Return what is known of two setups' runs before any value."""
    both = [[int(order) for order in orders] for orders, _ in (baseline, candidate)]
    orders, days = [*both[0], *both[1]], [*baseline[1], *candidate[1]]
    several = len(set(days)) > 1
    if several:
        ridden = {day: [order for order, on in zip(orders, days, strict=True) if on == day] for day in set(days)}
        about = [order - Fraction(sum(ridden[day]), len(ridden[day])) for order, day in zip(orders, days, strict=True)]
        shift = mean_shift(about[: len(both[0])], about[len(both[0]) :])
    else:
        shift = mean_shift(*both)
    setups = [setup for _, setup in sorted([*((k, 0) for k in baseline[0]), *((k, 1) for k in candidate[0])])]
    return Riding(shift=shift, several_days=several, one_after_the_other=never_taken_turns(setups) and not several)


def _covariates(ridden: Ridden, further: Sequence[float], *, with_order: bool) -> Floats:
    orders, days = (np.array(item) for item in ridden)
    return np.column_stack([*([orders] if with_order else []), days[:, None] == np.array(further)])


@lru_cache(maxsize=256)
def _design(baseline: Ridden, candidate: Ridden, *, with_order: bool) -> tuple[Design, Floats] | None:
    """Return the design of ``1 + setup (+ order) (+ day)``, and its covariates at the middle of the runs."""
    further = sorted({*baseline[1], *candidate[1]})[1:]
    covariates = [_covariates(ridden, further, with_order=with_order) for ridden in (baseline, candidate)]
    design = design_of(covariates)
    return None if design is None else (design, np.vstack(covariates).mean(axis=0))


def drift_fit(baseline: Sample, candidate: Sample) -> Fit | None:
    """Return the fit of ``1 + setup + order (+ day)``, the slope of the order first."""
    found = _design(baseline.ridden, candidate.ridden, with_order=True)
    return None if found is None else found[0].fit((baseline.values, candidate.values))


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
    ridden, fewest = (baseline.ridden, candidate.ridden), min(len(baseline), len(candidate))
    riding = riding_of(*ridden)
    with_order = fits_drift(fewest, riding.shift)
    found = _design(*ridden, with_order=with_order)
    if found is None:
        return None
    design, middle = found
    fit = design.fit((baseline.values, candidate.values))
    d, level = fit.difference, float(fit.levels_at(middle)[0])
    own = fit.spread**2
    unlike = borrowed is not None and borrowed.is_unlike(own, fit.nu)
    use = None if unlike or fit.spread == 0 else borrowed
    variance, nu = (own, float(fit.nu)) if use is None else use.pooled(own, fit.nu)
    taken_out: dict[TakenOut, bool] = {"drift": with_order, "day": riding.several_days}
    return Difference(
        d=d,
        levels=(level, level + d),
        s=math.sqrt(variance),
        nu=nu,
        reach=design.reach,
        floor=section_floor(baseline, candidate),
        confounded=confounded(fewest, riding.shift),
        fewest=fewest,
        most=max(len(baseline), len(candidate)),
        one_after_the_other=riding.one_after_the_other,
        taken_out=tuple(name for name, held in taken_out.items() if held),
        own=(fit.spread, float(fit.nu)),
        borrowed=use,
        unlike=unlike,
    )
