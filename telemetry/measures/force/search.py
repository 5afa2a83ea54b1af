"""What the equation isn't straight in: the lag between travel and acceleration, and how the rider's body follows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import least_squares

from telemetry.model.arrays import Floats, Ints

from .chassis import USUAL_BODY, Columns, Follower, Shifted
from .fitting import solved

MOST_LAG_S = 0.015
"""Filters and clocks in one case lie closer. Own choice."""
FOLLOWS_HZ = (0.7, 6.0)
FOLLOWS_DAMPING = (0.05, 1.5)
"""Where a body on legs and arms is looked for: 1.5 to 4 Hz, well damped (from memory); own choice of width."""
FEWER_LEFT = 0.05
"""Of what is left unexplained: the rider's body is told apart from the chassis if it takes away so much. Own choice."""
ROWS = 4000
"""Samples that the search looks at."""
SMALL = 0.01
"""Step of a slope, as a share."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rider:
    """A rider's body as several rides show it: None where it moves with the chassis."""

    body: Follower | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Lag, the rider's body (None where it moves with the chassis), and the share of acceleration explained.

    `common` tells that the body was given: found from several rides together.
    """

    lag_s: float
    follower: Follower | None
    explained: float
    common: bool = False


def common_rider(found: Sequence[Found]) -> Rider | None:
    """Return the one body of several rides and ends, by the middle of their figures; None of none.

    Notes
    -----
    One rider: what rides and ends show differs by what their forces leave unexplained, and a map's scale goes with it.
    """
    if not found:
        return None
    bodies = [one.follower for one in found if one.follower is not None]
    if 2 * len(bodies) < len(found):
        return Rider(body=None)
    hz, damping = (float(np.median(values)) for values in zip(*((b.hz, b.damping) for b in bodies), strict=True))
    return Rider(body=Follower(hz=hz, damping=damping))


def _straight(columns: Floats, values: Floats) -> Floats:
    """Return the least-squares coefficients of a few columns."""
    return solved(columns.T @ columns, columns.T @ values)


class _Left:
    """What the best force leaves unexplained of the chassis' acceleration at some samples."""

    def __init__(self, chassis: Shifted, samples: Ints, forces: Floats) -> None:
        self._chassis, self._samples = chassis, samples
        self._across = np.linalg.qr(forces)[0]

    def _off(self, columns: Floats) -> Floats:
        return np.asarray(columns - self._across @ (self._across.T @ columns))

    def at(self, lag_s: float, follower: Follower | None) -> Floats:
        """Return what is left at each sample, in m/s2."""
        side = self._chassis.columns(self._samples, lag_s, follower)
        left, beside = self._off(side.own), self._off(side.beside)
        return np.asarray(left - beside @ _straight(beside, left))

    def unexplained(self, lag_s: float, follower: Follower | None) -> float:
        """Return what is left as a share of what the chassis' own columns leave without any force."""
        side = self._chassis.columns(self._samples, lag_s, follower)
        alone = np.column_stack([np.ones(side.own.shape[0]), side.beside])
        without = side.own - alone @ _straight(alone, side.own)
        left = self.at(lag_s, follower)
        return float(left @ left) / float(without @ without)


def _plain(left: _Left, body: Follower | None) -> float:
    """Return the lag with a body that is known, s."""

    def at(p: Floats) -> Floats:
        return left.at(p[0] * 1e-3, body)

    fit = least_squares(at, [0.0], bounds=([-1e3 * MOST_LAG_S], [1e3 * MOST_LAG_S]))
    return float(fit.x[0]) * 1e-3


def _following(left: _Left, lag_s: float) -> tuple[float, Follower]:
    """Return the lag and the body that follows."""

    def follower(p: Floats) -> Follower:
        return Follower(hz=math.exp(p[1]), damping=math.exp(p[2]))

    def at(p: Floats) -> Floats:
        return left.at(p[0] * 1e-3, follower(p))

    bounds = (
        [-1e3 * MOST_LAG_S, math.log(FOLLOWS_HZ[0]), math.log(FOLLOWS_DAMPING[0])],
        [1e3 * MOST_LAG_S, math.log(FOLLOWS_HZ[1]), math.log(FOLLOWS_DAMPING[1])],
    )
    start = [1e3 * lag_s, math.log(USUAL_BODY.hz), math.log(USUAL_BODY.damping)]
    fit = least_squares(at, start, bounds=bounds, max_nfev=12)
    return float(fit.x[0]) * 1e-3, follower(fit.x)


def search(chassis: Shifted, samples: Ints, forces: Floats, rider: Rider | None = None) -> Found:
    """Return the lag and the rider's body with which travel and speed explain most.

    Parameters
    ----------
    chassis : Shifted
    samples : int array, shape (n,)
        That count.
    forces : float array, shape (n, p)
        Columns of the force.
    rider : Rider, optional
        Where it is known, the lag alone is looked for.

    Notes
    -----
    Whatever is straight in the equation is solved for within [Golub1973]; a few thousand samples evenly spread tell
    lag and body.
    """
    rows = slice(None, None, max(1, samples.shape[0] // ROWS))
    left = _Left(chassis, samples[rows], forces[rows])
    if rider is not None:
        lag = _plain(left, rider.body)
        explained = 1 - left.unexplained(lag, rider.body)
        return Found(lag_s=lag, follower=rider.body, explained=explained, common=True)
    lag = _plain(left, None)
    with_body, body = _following(left, lag)
    alone, followed = left.at(lag, None), left.at(with_body, body)
    if float(followed @ followed) > (1 - FEWER_LEFT) * float(alone @ alone):
        return Found(lag_s=lag, follower=None, explained=1 - left.unexplained(lag, None))
    return Found(lag_s=with_body, follower=body, explained=1 - left.unexplained(with_body, body))


def with_slopes(chassis: Shifted, samples: Ints, forces: Floats, found: Found) -> Columns:
    """Return the equation's other side, and beside it how it changes with the lag and an own body's two figures.

    Notes
    -----
    So that a fit takes a last step towards the best of them, and its scatter holds theirs.
    """
    side = chassis.columns(samples, found.lag_s, found.follower)
    columns = np.hstack([forces, -side.beside])
    apart = _straight(columns, side.own)[forces.shape[1] :]

    def moved(lag_s: float, body: Follower | None) -> Floats:
        there = chassis.columns(samples, lag_s, body)
        return np.asarray((there.own - side.own + (there.beside - side.beside) @ apart) / SMALL)

    slopes = [moved(found.lag_s + SMALL * MOST_LAG_S, found.follower)]
    if found.follower is not None and not found.common:
        body = found.follower
        slopes.append(moved(found.lag_s, replace(body, hz=body.hz * (1 + SMALL))))
        slopes.append(moved(found.lag_s, replace(body, damping=body.damping * (1 + SMALL))))
    return Columns(
        own=side.own,
        beside=np.column_stack([side.beside, *slopes]),
        at_rest=np.concatenate([side.at_rest, np.zeros(len(slopes))]),
    )
