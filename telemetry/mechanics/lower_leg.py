"""Gas shut into a fork's lower legs: a second air spring that oil makes smaller and stiffer."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.mechanics.checks import require_not_negative, require_positive
from telemetry.mechanics.gas import ATMOSPHERE_PA, Chamber
from telemetry.model.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class LowerLegs:
    """Both lower legs of a fork, each closed by its seal at the atmosphere's pressure.

    Attributes
    ----------
    volume_each_m3 : tuple of float
        Free volume under the seal, topped out, without oil, m³; one value for both legs or two.
    oil_each_m3 : tuple of float
        Oil in a leg, m³; one value or two.
    area_each_m2 : tuple of float
        What enters the leg, m²: the stanchion's outer section where its lower end is shut; one value or two.
    closed_at_m : float
        Travel at which the legs were shut or last bled to the atmosphere, m.
    crossover : bool
        Whether the legs are joined, so that both have one pressure.
    closed_pa, atmosphere_pa : float
        The atmosphere's pressure where they were shut, and where the fork is ridden, Pa.

    Raises
    ------
    ValueError
        If a figure is out of its range, there are other than one or two of a kind, or oil leaves a leg no gas.

    Notes
    -----
    Of each leg A (p − p_atm), with V = V_empty − V_oil − A x and p from `closed_at_m`; joined legs are one chamber
    of both volumes and both areas. Oil doesn't yield and takes its own volume; what oil is flung out of the gas's
    way while riding, what dissolves, and what the seals leak aren't modelled.

    Examples
    --------
    >>> import numpy as np
    >>> legs = LowerLegs(volume_each_m3=(270e-6,), oil_each_m3=(30e-6,), area_each_m2=(10.18e-4,))
    >>> legs.force_n(np.array([0.0, 0.102]), 1.0).round(1)
    array([  0. , 157.3])
    """

    volume_each_m3: tuple[float, ...]
    oil_each_m3: tuple[float, ...]
    area_each_m2: tuple[float, ...]
    closed_at_m: float = 0.0
    crossover: bool = False
    closed_pa: float = ATMOSPHERE_PA
    atmosphere_pa: float = ATMOSPHERE_PA

    def __post_init__(self) -> None:
        kinds = {
            "volume_each_m3": self.volume_each_m3,
            "oil_each_m3": self.oil_each_m3,
            "area_each_m2": self.area_each_m2,
        }
        for kind, figures in kinds.items():
            if len(figures) not in (1, 2):
                raise ValueError(f"lower legs: {kind} has {len(figures)} values; it takes one for both legs, or two")
            check = require_not_negative if kind == "oil_each_m3" else require_positive
            for figure in figures:
                check("lower legs", **{kind: figure})
        for volume, oil in self._volumes():
            if oil >= volume:
                raise ValueError(f"lower legs: {1e6 * oil:.1f} ml of oil don't go into {1e6 * volume:.1f} ml")
        _ = self.chambers

    def _volumes(self) -> list[tuple[float, float]]:
        return list(zip(_both(self.volume_each_m3), _both(self.oil_each_m3), strict=True))

    @property
    def chambers(self) -> tuple[Chamber, ...]:
        """The gas of each leg, or of both where they are joined."""
        volumes, areas = self._volumes(), _both(self.area_each_m2)
        if self.crossover:
            empty, oil = (sum(figures) for figures in zip(*volumes, strict=True))
            return (self._chamber("joined lower legs", empty, oil, sum(areas)),)
        return tuple(
            self._chamber(f"lower leg {leg}", empty, oil, area)
            for leg, ((empty, oil), area) in enumerate(zip(volumes, areas, strict=True), start=1)
        )

    def _chamber(self, name: str, empty_m3: float, oil_m3: float, area_m2: float) -> Chamber:
        return Chamber(
            volume_m3=empty_m3 - oil_m3,
            area_m2=area_m2,
            pressure_pa=self.closed_pa,
            filled_at_m=self.closed_at_m,
            atmosphere_pa=self.atmosphere_pa,
            name=f"{name} ({1e6 * empty_m3:.1f} ml empty, {1e6 * oil_m3:.1f} ml of oil)",
        )

    def force_n(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return the force of both legs together, N, positive where it resists compression.

        Parameters
        ----------
        travel_m : float array
            Along the legs, m, from topped out; any shape.
        exponent : float
            1.0 slow to 1.4 fast.
        settled_at_m : float, optional
            Where the gas has come to rest, m, as for `AirSpring.force_n`. None: it moves from `closed_at_m`.

        Returns
        -------
        float array
            Shape of `travel_m`; negative (the legs draw the fork in) above `closed_at_m`.

        Raises
        ------
        ValueError
            Where no gas is left in a leg within `travel_m`; the message has travel and volumes.
        """
        return np.asarray(sum(chamber.force_n(travel_m, exponent, settled_at_m) for chamber in self.chambers))

    def rate_n_m(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return d force / d travel, N/m; parameters as for `force_n`."""
        return np.asarray(sum(chamber.rate_n_m(travel_m, exponent, settled_at_m) for chamber in self.chambers))

    def energy_j(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return the integral of the force from topped out, J; parameters as for `force_n`."""
        return np.asarray(sum(chamber.energy_j(travel_m, exponent, settled_at_m) for chamber in self.chambers))


def _both(figures: tuple[float, ...]) -> tuple[float, float]:
    return figures[0], figures[-1]
