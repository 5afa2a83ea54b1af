"""Coil spring, and the gas above the oil of a fork with coil springs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.mechanics.checks import require_not_negative, require_positive
from telemetry.mechanics.gas import ATMOSPHERE_PA, Chamber
from telemetry.model.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class CoilSpring:
    """A straight coil spring; of a fork with a spring in each leg, both together.

    Attributes
    ----------
    rate_n_m : float
        N/m, > 0.
    preload_m : float
        How much it is shortened when topped out, m, 0 or more.

    Notes
    -----
    Force k (x + preload), never below 0: a coil that isn't held at its ends can't pull. Coils that touch aren't
    modelled: a bump stop ends the stroke before.
    """

    rate_n_m: float
    preload_m: float = 0.0

    def __post_init__(self) -> None:
        require_positive("coil spring", rate_n_m=self.rate_n_m)
        require_not_negative("coil spring", preload_m=self.preload_m)

    def _shortened_m(self, travel_m: Floats) -> Floats:
        return np.maximum(np.asarray(travel_m, dtype=float) + self.preload_m, 0.0)

    def force_n(self, travel_m: Floats) -> Floats:
        """Return the force at each travel (m, from topped out), N, positive: it resists compression."""
        return np.asarray(self.rate_n_m * self._shortened_m(travel_m))

    def energy_j(self, travel_m: Floats) -> Floats:
        """Return the integral of the force from topped out, J."""
        return np.asarray(self.rate_n_m / 2 * (self._shortened_m(travel_m) ** 2 - self.preload_m**2))


@dataclass(frozen=True, slots=True, kw_only=True)
class AirGap:
    """The gas above a fork's oil, shut in at the atmosphere's pressure.

    Attributes
    ----------
    area_m2 : float
        Cross-section of the gas, both legs together, m², > 0.
    oil_level_m : float
        Height of the gas above the oil, topped out, m, > 0. Workshops measure it with the fork compressed and the
        springs out: see `from_compressed`.
    spring_m3 : float
        Volume of what goes into the oil after it was measured, springs above all, both legs together, m³.
    closed_at_m : float
        Travel at which the fork was shut or last bled, m.
    closed_pa, atmosphere_pa : float
        The atmosphere's pressure where it was shut, and where the fork is ridden, Pa.

    Raises
    ------
    ValueError
        If a figure is out of its range or no gas is left.

    Notes
    -----
    A (p − p_atm) with V = A (level − x) − V_spring: the tube that goes in pushes the oil up by as much as it moves.
    """

    area_m2: float
    oil_level_m: float
    spring_m3: float = 0.0
    closed_at_m: float = 0.0
    closed_pa: float = ATMOSPHERE_PA
    atmosphere_pa: float = ATMOSPHERE_PA

    def __post_init__(self) -> None:
        require_positive("air gap", area_m2=self.area_m2, oil_level_m=self.oil_level_m)
        require_not_negative("air gap", spring_m3=self.spring_m3)
        _ = self.chamber

    @classmethod
    def from_compressed(
        cls, *, area_m2: float, level_m: float, full_m: float, spring_m3: float = 0.0, closed_at_m: float = 0.0
    ) -> AirGap:
        """Return the gap of a fork whose level was measured at full travel `full_m`, springs out (all m)."""
        return cls(area_m2=area_m2, oil_level_m=level_m + full_m, spring_m3=spring_m3, closed_at_m=closed_at_m)

    @property
    def chamber(self) -> Chamber:
        """The gas as a chamber."""
        volume = self.area_m2 * self.oil_level_m - self.spring_m3
        return Chamber(
            volume_m3=volume,
            area_m2=self.area_m2,
            pressure_pa=self.closed_pa,
            filled_at_m=self.closed_at_m,
            atmosphere_pa=self.atmosphere_pa,
            name=f"air gap of {1e3 * self.oil_level_m:.1f} mm",
        )

    def force_n(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return the force of both legs together, N; parameters and errors as for `LowerLegs.force_n`."""
        return self.chamber.force_n(travel_m, exponent, settled_at_m)

    def rate_n_m(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return d force / d travel, N/m; parameters as for `force_n`."""
        return self.chamber.rate_n_m(travel_m, exponent, settled_at_m)

    def energy_j(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return the integral of the force from topped out, J; parameters as for `force_n`."""
        return self.chamber.energy_j(travel_m, exponent, settled_at_m)
