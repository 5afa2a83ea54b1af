"""How far runs of one setup differ: pooled over setups, from a stated figure, or of counts."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.plan import RunsOf
from telemetry.statistics.least_squares import least_squares
from telemetry.statistics.order_ridden import fits_drift


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A run-to-run standard deviation on the scale of comparison.

    Attributes
    ----------
    s : float
    nu : float or None
        Degrees of freedom; None where it is stated.
    lent_nu : float
        Those that earlier days will lend to the day that is planned.
    """

    s: float
    nu: float | None
    lent_nu: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CountSpread:
    """How often an event happens, and how much more its counts vary than pure chance has it.

    Attributes
    ----------
    rate_per_min, minutes : float
        Rate, and riding time of one run.
    phi : float
        Variance over mean of a run's count, 1 or more; 1 is pure chance.
    nu : int or None
        Degrees of freedom of phi; None where it isn't estimated.
    """

    rate_per_min: float
    minutes: float
    phi: float
    nu: int | None


def by_setup(runs: RunsOf, *, log: bool = False) -> dict[str, tuple[Floats, Floats]]:
    """Return each setup's values and places in the day; on the log scale values of zero or less are left out."""
    groups: dict[str, tuple[list[float], list[float]]] = {}
    for setup, order, value in zip(runs.setups, runs.orders, runs.values, strict=True):
        if log and value <= 0:
            continue
        values, orders = groups.setdefault(setup, ([], []))
        values.append(math.log(value) if log else value)
        orders.append(float(order))
    return {setup: (np.array(values), np.array(orders)) for setup, (values, orders) in groups.items()}


def pooled_spread(groups: Mapping[str, tuple[Floats, Floats]]) -> Spread | None:
    """Return the standard deviation within setups, pooled.

    Parameters
    ----------
    groups : mapping of setup to (values, orders), each shape (n,)

    Returns
    -------
    Spread or None
        None with no setup of two runs or more. `s` is 0 where the runs don't differ beyond rounding.

    Notes
    -----
    ``s^2 = sum of squares within / nu``, nu = runs less setups. Where every such setup has 4 runs or more, a steady
    drift with the place in the day is taken out first and nu is one less, as the comparison does.
    """
    used = [(values, orders) for values, orders in groups.values() if values.size >= 2]
    if not used:
        return None
    drift = fits_drift(min(values.size for values, _ in used))
    covariates = [orders[:, None] if drift else np.empty((orders.size, 0)) for _, orders in used]
    fit = least_squares([values for values, _ in used], covariates)
    return None if fit is None else Spread(s=fit.spread, nu=fit.nu)


def stated_on_log(stated: float, centre: float) -> float:
    """Return a stated standard deviation on the log scale, for values spread log-normally about a geometric mean.

    Notes
    -----
    A log-normal has ``sd^2 = G^2 w (w - 1)`` with ``w = exp(s^2)``: solved for s.
    """
    return math.sqrt(math.log((1 + math.sqrt(1 + 4 * (stated / centre) ** 2)) / 2))
