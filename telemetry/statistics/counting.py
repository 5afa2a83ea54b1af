"""The difference between two setups in a rate of rare events: totals of runs, spread as the runs spread."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy import special

FEWEST_EVENTS = 10
HALF = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """One setup's runs: events and minutes of riding of each.

    Attributes
    ----------
    events : tuple of int
    minutes : tuple of float
        Above 0.
    """

    events: tuple[int, ...]
    minutes: tuple[float, ...]

    @property
    def total(self) -> int:
        """Events of all runs."""
        return sum(self.events)

    @property
    def exposure_min(self) -> float:
        """Minutes of all runs."""
        return math.fsum(self.minutes)

    @property
    def rate(self) -> float:
        """Events a minute."""
        return self.total / self.exposure_min

    @property
    def raised_rate(self) -> float:
        """Events a minute with half an event more: what differences are told from."""
        return (self.total + HALF) / self.exposure_min

    def excess(self) -> float:
        """Return ``sum((y - mu)^2 / mu)`` about the setup's own rate; a setup without events adds 0."""
        if self.total == 0:
            return 0.0
        expected = [minutes * self.rate for minutes in self.minutes]
        return math.fsum((y - mu) ** 2 / mu for y, mu in zip(self.events, expected, strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class RateRatio:
    """Candidate against baseline on the log scale.

    Attributes
    ----------
    d : float
        Log of the ratio of rates, each with half an event more.
    variance : float
        Of `d` if events came singly and at random: ``1/Y'A + 1/Y'B``.
    phi : float
        Spread of the runs' counts over what chance alone gives; below 1 it narrows nothing.
    nu : int
    runs : (baseline, candidate)
        Runs of each.
    events : int
        Of both setups.
    """

    d: float
    variance: float
    phi: float
    nu: int
    runs: tuple[int, int]
    events: int

    @property
    def s(self) -> float:
        """Run-to-run standard deviation that gives the same standard error, on the log scale."""
        return math.sqrt(max(self.phi, 1.0) * self.variance / (1 / self.runs[0] + 1 / self.runs[1]))

    def half_width(self, level: float) -> float | None:
        """Return the half-width of the two-sided interval at `level`; None with one run of each."""
        if self.nu <= 0:
            return None
        by_runs = -float(special.stdtrit(self.nu, level / 2)) * math.sqrt(self.phi * self.variance)
        return max(by_runs, -float(special.ndtri(level / 2)) * math.sqrt(self.variance))

    @property
    def p(self) -> float | None:
        """The larger of the two-sided p by the runs' spread and by chance alone."""
        if self.nu <= 0:
            return None
        z = abs(self.d) / math.sqrt(self.variance)
        by_runs = 2 * float(special.stdtr(self.nu, -z / math.sqrt(self.phi))) if self.phi > 0 else 0.0
        return max(by_runs, 2 * float(special.ndtr(-z)))


def overdispersion(setups: Sequence[Counted]) -> tuple[float, int]:
    """Return how much more the runs' counts spread than chance alone gives, 1 where it can't be told, and its freedom.

    Notes
    -----
    ``phi = sum((y - mu)^2 / mu) / nu`` with ``mu = E_run Y / E`` within each setup, nu the runs less the setups
    [McCullaghNelder1989].
    """
    nu = sum(len(setup.events) - 1 for setup in setups)
    return (math.fsum(setup.excess() for setup in setups) / nu if nu > 0 else 1.0), nu


def rate_ratio(baseline: Counted, candidate: Counted) -> RateRatio:
    """Return how two setups' rates of rare events differ.

    Parameters
    ----------
    baseline, candidate : Counted
        At least one run each.

    Notes
    -----
    ``d = log((Y'_B / E_B) / (Y'_A / E_A))``, ``Y' = Y + 0.5``; variance ``1/Y'_A + 1/Y'_B``, times `overdispersion`
    for the interval by the runs.
    """
    phi, nu = overdispersion((baseline, candidate))
    return RateRatio(
        d=math.log(candidate.raised_rate / baseline.raised_rate),
        variance=1 / (baseline.total + HALF) + 1 / (candidate.total + HALF),
        phi=phi,
        nu=nu,
        runs=(len(baseline.events), len(candidate.events)),
        events=baseline.total + candidate.total,
    )
