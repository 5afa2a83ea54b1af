"""Springs and lower legs of an end, as the bench tells them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from .arrays import Floats
from .bench_figures import Figure, Json, listed
from .finding import End

COUPLE = "couple on the axle, legs apart"
RATE_SHARES = (30, 80)
"""% of full travel at which tables show the rate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forces:
    """Forces at the wheel along travel with one exponent of the gas.

    Attributes
    ----------
    exponent : float
    settled_mm : float or None
        Where the gas came to rest, about which it moves; None: it moves from where it was filled.
    parts : mapping of part to float array
        N along the wheel's path, positive where it resists compression.
    total_n : float array
    energy_j : float
        From topped out to full travel.
    """

    exponent: float
    settled_mm: float | None
    parts: Mapping[str, Floats]
    total_n: Floats
    energy_j: float

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        return {
            "exponent": self.exponent,
            "settled_mm": self.settled_mm,
            "parts": {part: listed(force) for part, force in self.parts.items()},
            "total_n": listed(self.total_n),
            "energy_j": self.energy_j,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Springs:
    """An end's springs at the wheel.

    Attributes
    ----------
    travel_mm : float array
        Of the wheel, from topped out to full travel, along its path.
    shares : tuple of int
        % of full travel at which tables show the force.
    slow, fast : Forces
        The gas at rest; and as it rides.
    rate_sag_n_mm : float or None
        Slow, at sag.
    warmer_n, higher_n : float or None
        What 10 K more and 1000 m more altitude add half-way in; None without gas.
    """

    end: End
    travel_mm: Floats
    shares: tuple[int, ...]
    slow: Forces
    fast: Forces
    rate_sag_n_mm: float | None
    warmer_n: float | None
    higher_n: float | None

    def rate_n_mm(self, forces: Forces) -> Floats:
        """Return the slope of a force along the travel, N/mm."""
        return np.gradient(forces.total_n, self.travel_mm)

    def _at(self, force: Floats, share: float) -> float:
        return float(force[round(share / 100 * (force.shape[0] - 1))])

    @property
    def _ways(self) -> tuple[tuple[Forces, str], ...]:
        """Slow and fast, with how they are told; a coil knows no difference."""
        return ((self.slow, ""),) if self.warmer_n is None else ((self.slow, ", slow"), (self.fast, ", fast"))

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Force by share of travel, slow and fast; that of the parts at 90 %; rate and energy."""
        found = [
            Figure(
                what=f"force at {share} % of travel{told}",
                unit="N",
                value=self._at(forces.total_n, share),
                main=told == self._ways[-1][1],
            )
            for forces, told in self._ways
            for share in self.shares
        ]
        found += [
            Figure(
                what=f"of it at 90 %{self._ways[-1][1]}: {part.replace('_', ' ')}", unit="N", value=self._at(force, 90)
            )
            for part, force in self.fast.parts.items()
        ]
        found += [
            Figure(
                what=f"rate at {share} % of travel{told}",
                unit="N/mm",
                value=self._at(self.rate_n_mm(forces), share),
                places=2,
            )
            for forces, told in self._ways
            for share in RATE_SHARES
        ]
        if self.rate_sag_n_mm is not None:
            what = f"rate at sag{self._ways[0][1]}"
            found.append(Figure(what=what, unit="N/mm", value=self.rate_sag_n_mm, places=2, main=True))
        found += [
            Figure(what=f"energy to full travel{told}", unit="J", value=forces.energy_j) for forces, told in self._ways
        ]
        moved = (("10 K warmer, half-way in", self.warmer_n), ("1000 m higher up, half-way in", self.higher_n))
        return (*found, *(Figure(what=what, unit="N", value=value) for what, value in moved if value is not None))

    def to_dict(self) -> Json:
        """Return it as it stands in JSON: slow, with ``fast`` beside it."""
        slow, slow_n, fast_n = self.slow.to_dict(), self.slow.total_n, self.fast.total_n
        return {
            "travel_mm": listed(self.travel_mm),
            "along": "legs" if self.end == "front" else "wheel",
            **slow,
            "rate_n_mm": listed(self.rate_n_mm(self.slow)),
            "fast": {**self.fast.to_dict(), "rate_n_mm": listed(self.rate_n_mm(self.fast))},
            "at_percent": [
                {"percent": share, "slow_n": self._at(slow_n, share), "fast_n": self._at(fast_n, share)}
                for share in self.shares
            ],
            "rate_at_sag_n_mm": self.rate_sag_n_mm,
            "warmer_10_k_n": self.warmer_n,
            "higher_1000_m_n": self.higher_n,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class OilForForce:
    """How much oil a leg, alike in both, gives an end force of the lower legs."""

    end_force_n: float
    oil_each_ml: float

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        return {"end_force_n": self.end_force_n, "oil_each_ml": self.oil_each_ml}


@dataclass(frozen=True, slots=True, kw_only=True)
class Legs:
    """The gas of a fork's lower legs at full travel, fast.

    Attributes
    ----------
    sides_n : (float, float)
        Spring side and damper side, each leg by itself.
    joined_n : float
        Both together, with a crossover.
    crossover : bool
        Whether there is one.
    couple_nm : float
        What the difference of the sides bends the axle with, N m, each leg by itself; positive where the spring side
        pushes more.
    spacing_mm : float
        Distance of the legs, assumed.
    most_oil_ml : float
        A leg with so much has no gas left at full travel.
    oil : tuple of OilForForce
    """

    sides_n: tuple[float, float]
    joined_n: float
    crossover: bool
    couple_nm: float
    spacing_mm: float
    most_oil_ml: float
    oil: tuple[OilForForce, ...]

    @property
    def figures(self) -> tuple[Figure, ...]:
        """End force of each side, apart and joined; the couple; oil for some end forces."""
        at = "at full travel, fast"
        found = [
            Figure(what=f"spring side alone, {at}", unit="N", value=self.sides_n[0]),
            Figure(what=f"damper side alone, {at}", unit="N", value=self.sides_n[1]),
            Figure(what=f"both legs, not joined, {at}", unit="N", value=sum(self.sides_n), main=not self.crossover),
            Figure(what=f"both legs, joined, {at}", unit="N", value=self.joined_n, main=self.crossover),
            Figure(what=COUPLE, unit="N m", value=self.couple_nm, places=1),
        ]
        found += [
            Figure(what=f"oil a leg for {row.end_force_n:.0f} N", unit="ml", value=row.oil_each_ml, places=1)
            for row in self.oil
        ]
        return (*found, Figure(what="oil a leg that leaves no gas", unit="ml", value=self.most_oil_ml))

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        return {
            "end_force_n": {"spring_side": self.sides_n[0], "damper_side": self.sides_n[1]},
            "apart_n": sum(self.sides_n),
            "with_crossover_n": self.joined_n,
            "crossover": self.crossover,
            "couple_nm": 0.0 if self.crossover else self.couple_nm,
            "couple_apart_nm": self.couple_nm,
            "most_oil_each_ml": self.most_oil_ml,
            "oil": [row.to_dict() for row in self.oil],
        }
