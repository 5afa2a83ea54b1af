"""Air spring: a positive chamber that resists compression and a negative one that helps it off the top."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from telemetry.mechanics.checks import require_not_negative, require_positive
from telemetry.mechanics.gas import ATMOSPHERE_PA, Chamber
from telemetry.model.arrays import Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class AirSpring:
    """An air spring along its own leg or shaft.

    Attributes
    ----------
    area_m2 : float
        Of the piston towards the positive chamber, m², > 0.
    volume_m3 : float
        Of the positive chamber, topped out, spacers taken off, m³, > 0.
    pressure_pa : float
        Of the positive chamber, topped out, absolute (gauge reading plus atmosphere), Pa, > 0.
    negative_area_m2, negative_volume_m3 : float
        Of the negative chamber: piston less rod, m²; topped out, m³. Both 0 where there is none.
    negative_pressure_pa : float, optional
        Absolute, topped out, Pa. None: the positive chamber's, as where a port joins the two at the top.
    atmosphere_pa : float
        Absolute, Pa, outside.

    Raises
    ------
    ValueError
        If a figure is out of its range, or one of the negative chamber's area and volume is given without the other.

    Notes
    -----
    Force A (p − p_atm) − A₋ (p₋ − p_atm) with V = V₀ − A x and V₋ = V₀₋ + A₋ x: what the atmosphere presses on is
    the rod, A − A₋. A port that opens elsewhere than at the top isn't modelled.

    Examples
    --------
    >>> import numpy as np
    >>> spring = AirSpring(area_m2=5e-4, volume_m3=1e-4, pressure_pa=6e5)
    >>> spring.force_n(np.array([0.0, 0.1]), 1.0)
    array([249.3375, 549.3375])
    """

    area_m2: float
    volume_m3: float
    pressure_pa: float
    negative_area_m2: float = 0.0
    negative_volume_m3: float = 0.0
    negative_pressure_pa: float | None = None
    atmosphere_pa: float = ATMOSPHERE_PA

    def __post_init__(self) -> None:
        part = "air spring"
        require_positive(part, area_m2=self.area_m2, volume_m3=self.volume_m3, pressure_pa=self.pressure_pa)
        require_not_negative(part, negative_area_m2=self.negative_area_m2, negative_volume_m3=self.negative_volume_m3)
        if (self.negative_area_m2 > 0) != (self.negative_volume_m3 > 0):
            raise ValueError(f"{part}: a negative chamber needs both an area and a volume above 0")
        if self.negative_pressure_pa is not None:
            require_positive(part, negative_pressure_pa=self.negative_pressure_pa)

    @property
    def chambers(self) -> tuple[Chamber, ...]:
        """The positive chamber and, where there is one, the negative."""
        positive = Chamber(
            volume_m3=self.volume_m3,
            area_m2=self.area_m2,
            pressure_pa=self.pressure_pa,
            name="positive chamber",
            atmosphere_pa=self.atmosphere_pa,
        )
        if self.negative_area_m2 == 0:
            return (positive,)
        negative = Chamber(
            volume_m3=self.negative_volume_m3,
            area_m2=-self.negative_area_m2,
            pressure_pa=self.pressure_pa if self.negative_pressure_pa is None else self.negative_pressure_pa,
            name="negative chamber",
            atmosphere_pa=self.atmosphere_pa,
        )
        return positive, negative

    def with_spacers(self, volume_m3: float) -> AirSpring:
        """Return the spring with spacers of this volume put into the positive chamber, m³ (negative: taken out).

        The pressure topped out stays: it is set again after the change. ValueError if no gas is left.
        """
        if volume_m3 >= self.volume_m3:
            raise ValueError(
                f"air spring: {1e6 * volume_m3:.1f} ml of spacers don't go into {1e6 * self.volume_m3:.1f} ml"
            )
        return replace(self, volume_m3=self.volume_m3 - volume_m3)

    def force_n(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return the net force along the leg, N, positive where it resists compression.

        Parameters
        ----------
        travel_m : float array
            Of the spring, m, from topped out; any shape.
        exponent : float
            Near 1.0 for sag and settling, 1.2 to 1.4 for hits [MilwitzkyCook1953], [Currey1988].
        settled_at_m : float, optional
            Where the gas has come to rest, m: it went there isothermally and moves about it with `exponent` (riding
            about sag). None: it moves with `exponent` from topped out.

        Returns
        -------
        float array
            Shape of `travel_m`.

        Raises
        ------
        ValueError
            Where no gas is left in a chamber within `travel_m`.
        """
        return np.asarray(sum(chamber.force_n(travel_m, exponent, settled_at_m) for chamber in self.chambers))

    def rate_n_m(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return d force / d travel, N/m; parameters as for `force_n`."""
        return np.asarray(sum(chamber.rate_n_m(travel_m, exponent, settled_at_m) for chamber in self.chambers))

    def energy_j(self, travel_m: Floats, exponent: float, settled_at_m: float | None = None) -> Floats:
        """Return the integral of the force from topped out, J; parameters as for `force_n`."""
        return np.asarray(sum(chamber.energy_j(travel_m, exponent, settled_at_m) for chamber in self.chambers))
