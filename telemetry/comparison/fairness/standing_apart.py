"""The run that doesn't belong: one that lies with another setup's runs, or with none, over all rows together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Bools, Floats, Ints

FAR = 2.0
"""Smallest changes from which a run, or a setup, clearly lies elsewhere in a row. Own choice, as all limits here, from
simulated days: at most 1 % of clean ones are accused."""
FEWEST_OTHERS = 2
ROWS_LIKE, ROWS_APART = 2, 3
SHARE = 0.6
SURE_LIKE, SURE_APART = 3.25, 5.0
PRIOR_NU = 4.0
"""Degrees of freedom by which a row's spread is drawn to the day's middling one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """One run that doesn't belong.

    Attributes
    ----------
    run : int
    like : int or None
        The setup whose runs it lies with; None where it lies with none.
    rows : tuple of int
        In which it parts from its own setup's others, furthest first.
    furthest : float
        Smallest changes by which it parts in the first of them.
    sure : float
        How many times what runs of a setup spread by, on average over these rows.
    """

    run: int
    like: int | None
    rows: tuple[int, ...]
    furthest: float
    sure: float


def _variance(groups: list[Floats]) -> Floats | None:
    """Return each row's variance between runs of one setup, drawn to the middling row's; None where nothing varies."""
    nu = sum(len(group) - 1 for group in groups)
    own = sum(((group - group.mean(axis=0)) ** 2).sum(axis=0) for group in groups) / nu
    middle = float(np.median(own)) / (1 - 2 / (9 * nu)) ** 3  # a chi square's median, Wilson and Hilferty 1931
    return (nu * own + PRIOR_NU * middle) / (nu + PRIOR_NU) if middle > 0 else None


def _apart(run: int, like: int | None, parts: Floats, rows: Bools, sure: float) -> Apart:
    order = np.flatnonzero(rows)[np.argsort(-np.abs(parts[rows]), kind="stable")]
    return Apart(run=run, like=like, rows=tuple(order.tolist()), furthest=float(parts[order[0]]), sure=sure)


def _like(run: int, values: Floats, own: Floats, others: dict[int, Floats]) -> Iterator[Apart]:
    """Yield a run for each other setup whose runs it lies with, in rows in which that setup clearly differs."""
    for setup, group in others.items():
        variance = _variance([own, group])
        apart = group.mean(axis=0) - own.mean(axis=0)
        rows = np.abs(apart) > FAR
        if variance is None or np.count_nonzero(rows) < ROWS_LIKE:
            continue
        parts = values - own.mean(axis=0)
        weight = np.abs(apart[rows]) / np.sqrt(variance[rows])
        share = float(np.sum(parts[rows] / apart[rows] * weight) / weight.sum())
        away = parts * np.sign(apart) / np.sqrt(variance * (1 + 1 / len(own)))
        sure = float(away[rows].mean())
        if share > SHARE and sure > SURE_LIKE:
            yield _apart(run, setup, parts, rows, sure)


def _with_none(run: int, values: Floats, own: Floats, others: dict[int, Floats]) -> Iterator[Apart]:
    """Yield a run that lies far from its own setup's others and from every other setup's."""
    groups = [own, *others.values()]
    variance = _variance(groups)
    if variance is None:
        return
    from_each = np.array([np.abs(values - group.mean(axis=0)) for group in groups])
    scales = np.array([np.sqrt(variance * (1 + 1 / len(group))) for group in groups])
    rows = np.all(from_each > FAR, axis=0)
    if np.count_nonzero(rows) < ROWS_APART:
        return
    sure = float((from_each / scales).min(axis=0)[rows].mean())
    if sure > SURE_APART:
        yield _apart(run, None, values - own.mean(axis=0), rows, sure)


def stands_apart(values: Floats, setups: Ints) -> Apart | None:
    """Return the run that most clearly doesn't belong; one like another setup's before one like none.

    Parameters
    ----------
    values : float array, shape (runs, rows)
        Of rows that every run has, in smallest changes.
    setups : int array, shape (runs,)

    Returns
    -------
    Apart or None

    Notes
    -----
    A run is judged where two others of its setup and two of another are left, by their means and spread without it:
    then it can't hide in them. It is like another setup where that differs by over 2 smallest changes in two rows or
    more, the run lies over six tenths of the way there (rows weighted by how clearly they tell), and 3.25 spreads off
    on average; like none where it lies over 2 smallest changes from each setup in three rows or more, and 5
    spreads off on average.
    """
    like: list[Apart] = []
    none: list[Apart] = []
    for run, setup in enumerate(setups.tolist()):
        rest = np.arange(len(setups)) != run
        groups = {int(name): values[rest & (setups == name)] for name in np.unique(setups)}
        own = groups.pop(setup)
        others = {name: group for name, group in groups.items() if len(group) >= FEWEST_OTHERS}
        if len(own) >= FEWEST_OTHERS and others:
            like.extend(_like(run, values[run], own, others))
            none.extend(_with_none(run, values[run], own, others))
    return max(like or none, key=lambda apart: apart.sure, default=None)
