"""Orders to ride setups in: what drift of the day they cancel, and the work they make."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import TypeAlias

from telemetry.model.plan import FEWEST_TO_DECIDE, RidingOrder, Work
from telemetry.statistics.order_ridden import ENOUGH_FOR_DRIFT, change_overs, times_put_on

Order: TypeAlias = tuple[int, ...]
"""Setups by number in the order ridden: 0 is the baseline."""

FEWEST_ONE_WAY = ENOUGH_FOR_DRIFT


def rounds(runs_each: int, setups: int = 2) -> Order:
    """Return rounds through all setups, forth or back: A B B A, A B B A A B, A B B A B A A B, and so on.

    Notes
    -----
    Round r goes forth where the number of ones in r's binary digits is even, back where it is odd (the sequence of
    Thue and Morse): then a full set of 4 rounds cancels steady and bending drift of two setups. With 3 rounds the
    last goes forth, which saves a change-over.
    """
    forth = tuple(range(setups))
    turned = [number.bit_count() % 2 == 1 for number in range(runs_each)]
    if runs_each == 3:
        turned = [False, True, False]
    return tuple(setup for back in turned for setup in (forth[::-1] if back else forth))


def blocks(runs_each: int, setups: int = 2) -> Order:
    """Return the order with the fewest change-overs that meets the day's drift: A A B B B B A A, A A A B B B B B A A.

    Notes
    -----
    Mirrored, so that steady drift cancels; with an odd number the first half has one more of each, which leaves a
    step of it, and that is fitted out from 4 runs of each on.
    """
    first = tuple(setup for setup in range(setups) for _ in range((runs_each + 1) // 2))
    return first + tuple(setup for setup in reversed(range(setups)) for _ in range(runs_each // 2))


def one_way(runs_each: int, setups: int = 2) -> Order:
    """Return all runs of each setup one after another: a change that can't be undone."""
    return tuple(setup for setup in range(setups) for _ in range(runs_each))


def over_two_days(runs_each: int, setups: int = 2) -> tuple[Order, Order]:
    """Return both days' orders, every setup on both days; the second day starts with the other end of the row."""
    first = (runs_each + 1) // 2
    whole = rounds(runs_each, setups)
    return whole[: first * setups], whole[first * setups :]


def drift_left(order: Sequence[int], candidate: int, degree: int) -> Fraction:
    """Return what a drift of 1 x place^degree adds to the difference of means, candidate less baseline.

    Parameters
    ----------
    order : sequence of int
    candidate : int
    degree : int
        1 steady, 2 bending.

    Returns
    -------
    Fraction
        0 exactly where it is cancelled.
    """
    places = {setup: [k for k, ridden in enumerate(order, 1) if ridden == setup] for setup in (0, candidate)}
    means = {setup: Fraction(sum(k**degree for k in found), len(found)) for setup, found in places.items()}
    return means[candidate] - means[0]


def cancelled(order: Sequence[int]) -> int:
    """Return up to which degree drift is cancelled for every candidate: 0 none wholly, 1 steady, 2 bending too."""
    candidates = sorted(set(order) - {0})
    for degree in (1, 2):
        if any(drift_left(order, candidate, degree) != 0 for candidate in candidates):
            return degree - 1
    return 2


def cancels_in_words(order: Sequence[int]) -> str:
    """Return what drift of the day falls on all setups alike.

    Examples
    --------
    >>> cancels_in_words((0, 1, 1, 0)), cancels_in_words((0, 1, 1, 0, 0, 1))
    ('steady drift', 'steady drift but for 1/3 of a step')
    """
    degree = cancelled(order)
    if degree > 0:
        return "steady drift" if degree == 1 else "steady and bending drift"
    left = max(abs(drift_left(order, candidate, 1)) for candidate in set(order) - {0})
    if left > 1:
        return "none: it has to be fitted"
    return f"steady drift but for {'a step' if left == 1 else f'{left} of a step'}"


def recommended(needed: int, setups: int, *, one_way_only: bool = False) -> Order:
    """Return the order to ride for at least `needed` runs of each: rounds, for putting a setup on is a replicate too.

    Parameters
    ----------
    needed : int
        Fewer than 3 are planned as 3: two of each are a screening only.
    setups : int
    one_way_only : bool
        Whether the baseline can't be put back: then all runs of one setup after another, 4 of each or more.
    """
    if one_way_only:
        return one_way(max(needed, FEWEST_ONE_WAY), setups)
    return rounds(max(needed, FEWEST_TO_DECIDE), setups)


def choices(order: Order, setups: int) -> tuple[Order, ...]:
    """Return the orders to choose from: rounds of 2, 3, 4 and 6, blocks, and those as long as `order`; one way itself.

    Notes
    -----
    Blocks of three setups and more have an even number, for places that differ by over one bar rare events.
    """
    each = len(order) // setups
    if order == one_way(each, setups):
        return (order,)
    whole = sorted({2, 3, 4, 6, each})
    blocked = [runs for runs in sorted({4, each}) if runs >= FEWEST_ONE_WAY and (setups == 2 or runs % 2 == 0)]
    return (*(rounds(runs, setups) for runs in whole), *(blocks(runs, setups) for runs in blocked))


def letters(order: Sequence[int]) -> str:
    """Return an order in letters, A the baseline.

    Examples
    --------
    >>> letters((0, 1, 1, 0))
    'A B B A'
    """
    return " ".join(chr(ord("A") + setup) for setup in order)


def named_order(order: Order, names: Sequence[str], work: Work) -> RidingOrder:
    """Return an order with the setups' names, its change-overs and its length."""
    changes, put_on = change_overs(order), times_put_on(order)
    return RidingOrder(
        setups=tuple(names[setup] for setup in order),
        runs_each=len(order) // len(names),
        change_overs=changes,
        minutes=work.minutes(len(order), changes),
        put_on_once=tuple(letters([setup]) for setup in range(len(names)) if put_on[setup] == 1),
        letters=letters(order),
        cancels=cancels_in_words(order),
    )
