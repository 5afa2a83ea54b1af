"""Polytropic gas: one chamber whose volume changes in proportion to travel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import exprel

from telemetry.mechanics.checks import require_not_negative, require_positive
from telemetry.model.arrays import Floats

ATMOSPHERE_PA = 101325.0
"""Standard atmosphere, 10th General Conference on Weights and Measures, 1954 (from memory)."""

PER_METRE, OF_PRESSURE = 2.25577e-5, 5.25588
"""Of the standard atmosphere up to 11 km [ISO2533]."""


def atmosphere_at_pa(altitude_m: float) -> float:
    """Return the standard atmosphere's pressure at an altitude, Pa; m above the sea, up to 11 000.

    Notes
    -----
    p₀ (1 − 2.25577e-5 h)^5.25588 [ISO2533]. Weather moves it by some 3 %.

    Examples
    --------
    >>> round(atmosphere_at_pa(0.0)), round(atmosphere_at_pa(1000.0))
    (101325, 89875)
    """
    return float(ATMOSPHERE_PA * (1 - PER_METRE * altitude_m) ** OF_PRESSURE)


def polytropic_pressure(
    pressure_pa: float | Floats, volume_m3: float | Floats, new_volume_m3: float | Floats, exponent: float
) -> Floats:
    """Return the pressure of a gas brought to another volume.

    Parameters
    ----------
    pressure_pa : float or float array
        Absolute, Pa, > 0, at `volume_m3`.
    volume_m3, new_volume_m3 : float or float array
        Before and after, m³, > 0; shapes that broadcast.
    exponent : float
        1.0 where heat has time to pass (isothermal), 1.4 where it has none (adiabatic, air and nitrogen).

    Returns
    -------
    float array
        Absolute, Pa.

    Notes
    -----
    p V^n is constant [MoranShapiro2006].

    Examples
    --------
    >>> float(polytropic_pressure(3e5, 0.1, 0.2, 1.0))
    150000.0
    """
    ratio = np.asarray(volume_m3, dtype=float) / np.asarray(new_volume_m3, dtype=float)
    return np.asarray(pressure_pa * ratio**exponent, dtype=float)


def polytropic_work(
    pressure_pa: float | Floats, volume_m3: float | Floats, new_volume_m3: float | Floats, exponent: float
) -> Floats:
    """Return the work a gas does on what surrounds it on its way to another volume.

    Parameters
    ----------
    pressure_pa, volume_m3, new_volume_m3, exponent
        As for `polytropic_pressure`.

    Returns
    -------
    float array
        J; positive when the gas expands.

    Notes
    -----
    (p₂ V₂ − p₁ V₁)/(1 − n), and p₁ V₁ ln(V₂/V₁) for n = 1 [MoranShapiro2006]; both are
    p₁ V₁ L (e^z − 1)/z with L = ln(V₂/V₁) and z = (1 − n) L, which loses no digits near n = 1.
    """
    grown = np.log(np.asarray(new_volume_m3, dtype=float) / np.asarray(volume_m3, dtype=float))
    return np.asarray(pressure_pa * volume_m3 * grown * exprel((1 - exponent) * grown), dtype=float)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chamber:
    """Gas behind a piston, with the atmosphere on the piston's other side.

    Attributes
    ----------
    volume_m3 : float
        Of the gas, topped out, m³, > 0.
    area_m2 : float
        Of the piston, m². Positive where compression shrinks the gas, negative where it lets it grow.
    pressure_pa : float
        Absolute, Pa, > 0, at `filled_at_m`.
    filled_at_m : float
        Travel at which the gas has that pressure, m.
    name : str
        What an error calls it.
    atmosphere_pa : float
        Absolute, Pa, on the piston's other side.

    Raises
    ------
    ValueError
        If volume or pressure isn't positive, or no gas is left at `filled_at_m`.

    Notes
    -----
    The piston's force is A (p − p_atm), its rate n p A²/V, both along the leg, positive where they resist
    compression. Mass of gas is constant. One exponent stands for the flow of heat: no hysteresis.
    """

    volume_m3: float
    area_m2: float
    pressure_pa: float
    filled_at_m: float = 0.0
    name: str = "gas chamber"
    atmosphere_pa: float = ATMOSPHERE_PA

    def __post_init__(self) -> None:
        require_positive(self.name, volume_m3=self.volume_m3, pressure_pa=self.pressure_pa)
        require_not_negative(self.name, area_m2=abs(self.area_m2))
        self.volume_at_m3(np.array([self.filled_at_m]))

    def volume_at_m3(self, travel_m: Floats) -> Floats:
        """Return the gas's volume at each travel, m³; ValueError where none is left."""
        travel = np.asarray(travel_m, dtype=float)
        volume: Floats = np.asarray(self.volume_m3 - self.area_m2 * travel, dtype=float)
        gone = ~(volume > 0)
        if np.any(gone):
            first = float(travel[gone].flat[0])
            taken = self.area_m2 * first
            raise ValueError(
                f"{self.name}: no gas left at {1e3 * first:.1f} mm of travel: "
                f"{1e6 * self.volume_m3:.1f} ml topped out, {1e6 * taken:.1f} ml taken up by then"
            )
        return volume

    def _start(self, settled_at_m: float | None) -> tuple[float, float]:
        """Return pressure and volume from which the gas moves with the exponent asked for."""
        start_m = self.filled_at_m if settled_at_m is None else settled_at_m
        filled, start = self.volume_at_m3(np.array([self.filled_at_m, start_m]))
        return float(polytropic_pressure(self.pressure_pa, filled, start, 1.0)), float(start)

    def pressure_at_pa(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return the absolute pressure at each travel.

        Parameters
        ----------
        travel_m : float array
            m, from topped out; any shape.
        exponent : float
            Of the polytropic law, 1.0 to 1.4 for air.
        settled_at_m : float, optional
            Travel at which the gas has come to rest at the surroundings' temperature: it went there isothermally
            from where it was filled and moves about it with `exponent`. None: it moves from where it was filled.

        Returns
        -------
        float array
            Pa, shape of `travel_m`.
        """
        pressure, volume = self._start(settled_at_m)
        return polytropic_pressure(pressure, volume, self.volume_at_m3(travel_m), exponent)

    def force_n(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return the piston's force, N, positive where it resists compression; as `pressure_at_pa`."""
        pressure = self.pressure_at_pa(travel_m, exponent, settled_at_m)
        return np.asarray(self.area_m2 * (pressure - self.atmosphere_pa), dtype=float)

    def rate_n_m(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return d force / d travel, n p A²/V, N/m; as `pressure_at_pa`."""
        pressure = self.pressure_at_pa(travel_m, exponent, settled_at_m)
        return np.asarray(exponent * pressure * self.area_m2**2 / self.volume_at_m3(travel_m), dtype=float)

    def energy_j(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return the integral of the force from topped out to each travel, J; as `pressure_at_pa`."""
        travel = np.asarray(travel_m, dtype=float)
        pressure, volume = self._start(settled_at_m)
        topped_out = polytropic_work(pressure, volume, self.volume_m3, exponent)
        done = polytropic_work(pressure, volume, self.volume_at_m3(travel), exponent)
        return np.asarray(topped_out - done - self.atmosphere_pa * self.area_m2 * travel, dtype=float)
