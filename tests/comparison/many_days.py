"""The contract's rule once more, written for many days at once and from its text alone.

The product judges one day; the error rates need thousands. This second writing is held equal to the product's on days
of every scenario (`test_error_rates`), so what holds for it holds for the product.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import special

from .made_days import CONTINUOUS, COUNTED, RUN_MIN, SECTIONS, Days, margins

Q = 0.05
FOCUS_WEIGHT = 4.0


def t_upper(nu, level):
    """Return the two-sided quantile of t."""
    return -special.stdtrit(nu, level / 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Every row of every day, continuous rows first; arrays of shape (days, rows).

    `se`, `nu` and `se_floor` are of continuous rows; counts have `se` by the runs and `se_floor` by chance alone,
    with infinite degrees of freedom.
    """

    d: np.ndarray
    se: np.ndarray
    nu: np.ndarray
    se_floor: np.ndarray
    nu_floor: np.ndarray
    barred: np.ndarray

    def half_width(self, level, *, floor: bool = True):
        """Return the half-width at a level, scalar or of shape (days, rows)."""
        width = t_upper(self.nu, level) * self.se
        return np.maximum(width, t_upper(self.nu_floor, level) * self.se_floor) if floor else width

    @property
    def p(self):
        """The larger of the two p."""
        spread = np.where(self.se > 0, self.se, 1.0)
        by_runs = np.where(self.se > 0, 2 * special.stdtr(self.nu, -np.abs(self.d) / spread), 0.0)
        return np.maximum(by_runs, 2 * special.stdtr(self.nu_floor, -np.abs(self.d) / self.se_floor))


def _setup(order):
    return np.array([setup == "b" for setup in order])


def least_squares(values, order, *, with_order):
    """Return d, SE and nu of values on setup (and place), over the last axis."""
    is_b = _setup(order)
    columns = [np.ones(len(order)), is_b.astype(float), *([np.arange(len(order), dtype=float)] if with_order else [])]
    design = np.column_stack(columns)
    inverse = np.linalg.inv(design.T @ design)
    coefficients = values @ (inverse @ design.T).T
    nu = len(order) - design.shape[1]
    residual = values - coefficients @ design.T
    s2 = (residual**2).sum(axis=-1) / nu
    return coefficients[..., 1], np.sqrt(s2 * inverse[1, 1]), nu


def section_floor(sections, order):
    """Return the standard error between sections, over the last two axes."""
    is_b = _setup(order)
    differences = sections[..., is_b, :].mean(axis=-2) - sections[..., ~is_b, :].mean(axis=-2)
    return differences.std(axis=-1, ddof=1) / np.sqrt(differences.shape[-1])


def needs_order(order):
    """Tell whether the order is fitted too."""
    is_b, place = _setup(order), np.arange(len(order))
    shift = place[is_b].mean() - place[~is_b].mean()
    return min(is_b.sum(), (~is_b).sum()) >= 4 or abs(shift) > 1


def judge(days: Days) -> Found:
    """Return every row's difference and spread."""
    d, se, nu = least_squares(days.values, days.order, with_order=needs_order(days.order))
    is_b = _setup(days.order)
    y_a, y_b = days.counts[..., ~is_b], days.counts[..., is_b]
    total_a, total_b = y_a.sum(axis=-1) + 0.5, y_b.sum(axis=-1) + 0.5
    minutes = RUN_MIN * np.array([(~is_b).sum(), is_b.sum()])
    excess = np.zeros(total_a.shape)
    for y in (y_a, y_b):
        mu = y.mean(axis=-1, keepdims=True)  # runs last alike
        excess += np.where(mu > 0, (y - mu) ** 2 / np.where(mu > 0, mu, 1.0), 0.0).sum(axis=-1)
    nu_counts = len(days.order) - 2
    variance = 1 / total_a + 1 / total_b
    events = days.counts.sum(axis=-1)
    shape = (d.shape[0], len(CONTINUOUS) + len(COUNTED))

    def both(continuous, counts):
        return np.concatenate([np.broadcast_to(continuous, d.shape), np.broadcast_to(counts, events.shape)], axis=1)

    found = Found(
        d=both(d, np.log(total_b / minutes[1]) - np.log(total_a / minutes[0])),
        se=both(se, np.sqrt(excess / nu_counts * variance)),
        nu=both(float(nu), float(nu_counts)),
        se_floor=both(section_floor(days.sections, days.order), np.sqrt(variance)),
        nu_floor=both(SECTIONS - 1.0, 1e10),
        barred=both(False, events < 10),
    )
    assert found.d.shape == shape
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """Verdicts, bool arrays of shape (days, rows)."""

    changed: np.ndarray
    unchanged: np.ndarray
    selected: np.ndarray


def tell(found: Found, focus: np.ndarray | None = None) -> Told:
    """Return the verdicts of days; `focus` is a bool array of shape (rows,)."""
    days, rows = found.d.shape
    named = np.zeros(rows, dtype=bool) if focus is None else focus
    in_family = ~found.barred
    m = in_family.sum(axis=1, keepdims=True)
    f = (in_family & named).sum(axis=1, keepdims=True)
    rest = np.divide(m - FOCUS_WEIGHT * f, m - f, out=np.ones((days, 1)), where=m > f)
    weights = np.where((f == 0) | (m <= FOCUS_WEIGHT * f), 1.0, np.where(named, FOCUS_WEIGHT, rest))
    p = np.where(in_family, found.p, np.inf)
    ratio = np.where(p > Q, np.inf, p / weights)
    ordered = np.sort(ratio, axis=1)
    passing = ordered <= np.arange(1, rows + 1) * Q / m
    rank = np.where(passing.any(axis=1), rows - np.argmax(passing[:, ::-1], axis=1), 0)[:, None]
    selected = p <= np.minimum(weights * rank * Q / m, Q)
    inside = (np.abs(found.d) + found.half_width(0.10) < margins()) & in_family
    return Told(changed=selected & ~inside, unchanged=inside, selected=selected)
