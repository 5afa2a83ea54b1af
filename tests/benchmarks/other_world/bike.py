"""Bikes of the other world: their true parts, in the units a tuner uses, and what the equations take of them.

Four kinds, each figure drawn about what such a bike has (from memory), springs found by the sag they are to give and
dampers by their share of critical damping there. Every maker, bike and rider is invented.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from .equations import End, G, rest_travel_m, spring_n, stroke_of

Kind = Literal["trail", "enduro", "ebike", "dirt"]
Place = Literal["front", "rear"]
PLACES: tuple[Place, Place] = ("front", "rear")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sizes:
    """What bikes of a kind have about: mm and kg; front and rear of a pair."""

    travel_mm: tuple[float, float]
    mass_kg: float
    wheelbase_mm: float
    unsprung_kg: tuple[float, float]
    stanchion_mm: float


KINDS: Mapping[Kind, Sizes] = {
    "trail": Sizes(travel_mm=(140, 132), mass_kg=14.2, wheelbase_mm=1240, unsprung_kg=(3.0, 4.2), stanchion_mm=35),
    "enduro": Sizes(travel_mm=(170, 164), mass_kg=16.2, wheelbase_mm=1240, unsprung_kg=(3.6, 5.0), stanchion_mm=37),
    "ebike": Sizes(travel_mm=(160, 152), mass_kg=24.0, wheelbase_mm=1240, unsprung_kg=(3.9, 5.6), stanchion_mm=36),
    "dirt": Sizes(travel_mm=(300, 305), mass_kg=108, wheelbase_mm=1480, unsprung_kg=(16, 22), stanchion_mm=48),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AirSpring:
    """A positive chamber with spacers, and a negative one that a port makes even with it topped out."""

    pressure_bar: float
    volume_ml: float
    piston_mm: float
    rod_mm: float
    negative_ml: float
    spacer_ml: float
    spacers: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Coil:
    """A coil spring."""

    rate_n_mm: float
    preload_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Damper:
    """Slopes of force over shaft speed far below and far above a knee, N s/m and m/s: in compression, in rebound."""

    low_n_s_m: tuple[float, float]
    knee_m_s: tuple[float, float]
    high_n_s_m: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class LowerLegs:
    """Air shut in beneath the stanchions: volume and oil of each leg."""

    volume_each_ml: float
    oil_each_ml: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OverOil:
    """Air over the oil in each tube: how far below the tube's top the oil stands, fork compressed."""

    level_mm: float
    wall_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BikeEnd:
    """A fork or a shock with its linkage, and the wheel: `touch_mm` is the stroke at which the bumper is met."""

    stroke_mm: float
    ratios: tuple[float, float]
    """Wheel travel per stroke at full extension and at full stroke."""
    spring: AirSpring | Coil
    damper: Damper
    touch_mm: float
    bumper_n: float
    friction_n: float
    unsprung_kg: float
    tyre_n_mm: float
    tyre_n_s_m: float
    stanchion_mm: float | None = None
    beside: LowerLegs | OverOil | None = None

    @property
    def travel_mm(self) -> float:
        """Vertical wheel travel."""
        return self.stroke_mm * sum(self.ratios) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Bike:
    """A bike, its rider and the air they ride in. `gas_exponent` and `cooling_s` are those of gas in its springs."""

    kind: Kind
    front: BikeEnd
    rear: BikeEnd
    mass_kg: float
    rider_kg: float
    wheelbase_mm: float
    head_deg: float
    front_share: float
    altitude_m: float
    air_c: float
    gas_exponent: float
    cooling_s: float

    @property
    def dirt(self) -> bool:
        """Whether it is a dirt bike."""
        return self.kind == "dirt"

    @property
    def whole_kg(self) -> float:
        """With the rider."""
        return self.mass_kg + self.rider_kg

    def end(self, place: Place) -> BikeEnd:
        """Return one end's parts."""
        return self.front if place == "front" else self.rear

    def with_end(self, place: Place, end: BikeEnd) -> Bike:
        """Return it with other parts at one end."""
        return replace(self, front=end) if place == "front" else replace(self, rear=end)

    def sprung_kg(self, place: Place) -> float:
        """Return what rests on an end's springs."""
        share = self.front_share if place == "front" else 1 - self.front_share
        return share * self.whole_kg - self.end(place).unsprung_kg


def circle_m2(diameter_mm: float) -> float:
    """Return a circle's area."""
    return math.pi / 4 * (diameter_mm / 1e3) ** 2


def air_pa(altitude_m: float) -> float:
    """Return the pressure of air so high up: the standard atmosphere's (ISO 2533), from memory."""
    return float(101325.0 * (1 - 2.25577e-5 * altitude_m) ** 5.25588)


def _beside(bike: Bike, end: BikeEnd) -> tuple[float, float, float]:
    """Return area, volume and pressure of gas beside the spring: lower legs are shut at the sea's level."""
    beside, stanchion = end.beside, end.stanchion_mm
    if beside is None or stanchion is None:
        return 0.0, 1.0, 0.0
    if isinstance(beside, LowerLegs):
        shut_in = 2 * (beside.volume_each_ml - beside.oil_each_ml) / 1e6
        return 2 * circle_m2(stanchion), shut_in, air_pa(0)
    inner = 2 * circle_m2(stanchion - 2 * beside.wall_mm)
    return inner, inner * (beside.level_mm + end.stroke_mm) / 1e3, air_pa(bike.altitude_m)


def equations_of(bike: Bike, place: Place) -> End:
    """Return what the equations take of one end."""
    part, air = bike.end(place), air_pa(bike.altitude_m)
    damper, spring = part.damper, part.spring
    area, shut_in, pressure = _beside(bike, part)
    end = End(
        ratio_start=part.ratios[0],
        ratio_full=part.ratios[1],
        stroke_m=part.stroke_mm / 1e3,
        beside_m2=area,
        beside_m3=shut_in,
        beside_pa=pressure,
        touch_m=part.touch_mm / 1e3,
        bumper_n=part.bumper_n,
        friction_n=part.friction_n,
        compression_low_n_s_m=damper.low_n_s_m[0],
        compression_knee_m_s=damper.knee_m_s[0],
        compression_high_n_s_m=damper.high_n_s_m[0],
        rebound_low_n_s_m=damper.low_n_s_m[1],
        rebound_knee_m_s=damper.knee_m_s[1],
        rebound_high_n_s_m=damper.high_n_s_m[1],
        gas_exponent=bike.gas_exponent,
        cooling_s=bike.cooling_s,
        atmosphere_pa=air,
        unsprung_kg=part.unsprung_kg,
        tyre_n_m=part.tyre_n_mm * 1e3,
        tyre_n_s_m=part.tyre_n_s_m,
        rim_m=0.09 if bike.dirt else 0.06,
    )
    if isinstance(spring, Coil):
        return end._replace(rate_n_m=spring.rate_n_mm * 1e3, preload_m=spring.preload_mm / 1e3)
    inflated = spring.pressure_bar * 1e5 + air
    return end._replace(
        positive_m2=circle_m2(spring.piston_mm),
        positive_m3=(spring.volume_ml - spring.spacers * spring.spacer_ml) / 1e6,
        positive_pa=inflated,
        negative_m2=circle_m2(spring.piston_mm) - circle_m2(spring.rod_mm),
        negative_m3=spring.negative_ml / 1e6,
        negative_pa=inflated,
    )


def with_spring(end: BikeEnd, firmness: float) -> BikeEnd:
    """Return an end with so much pressure, bar, or with a coil of such a rate, N/mm."""
    if isinstance(end.spring, Coil):
        return replace(end, spring=replace(end.spring, rate_n_mm=firmness))
    return replace(end, spring=replace(end.spring, pressure_bar=firmness))


MOST_BAR = 24.0
"""About 350 psi, what shock pumps and air shocks end at; common practice, no source."""


def sprung_to(bike: Bike, place: Place, sag: float) -> Bike:
    """Return a bike whose spring gives a sag, a share of travel, or more where that takes more than a pump gives."""
    coil = isinstance(bike.end(place).spring, Coil)
    low, high = (1.0, 900.0) if coil else (0.5, MOST_BAR)
    for _ in range(40):
        bike = bike.with_end(place, with_spring(bike.end(place), (low + high) / 2))
        travel = 1e3 * rest_travel_m(equations_of(bike, place), bike.sprung_kg(place) * G)
        low, high = ((low + high) / 2, high) if travel > sag * bike.end(place).travel_mm else (low, (low + high) / 2)
    return bike


def critical_n_s_m(bike: Bike, place: Place) -> float:
    """Return critical damping of an end at its sag, at the shaft; gas ridden fast is taken 15 % stiffer."""
    end, load = equations_of(bike, place), bike.sprung_kg(place) * G
    travel, even = rest_travel_m(end, load), np.ones(3)
    pushes = []
    for off in (-2e-3, 2e-3):
        stroke, ratio = stroke_of(end, travel + off)
        pushes.append(spring_n(end, stroke, even) / ratio)
    rate = max((pushes[1] - pushes[0]) / 4e-3 * 1.15, 2e3)
    return float(2 * math.sqrt(rate * bike.sprung_kg(place)) * stroke_of(end, travel)[1] ** 2)
