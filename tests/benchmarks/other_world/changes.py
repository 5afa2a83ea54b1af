"""What is changed on a day of the other world: the true parts before and after, and what alone words can tell of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from .bike import AirSpring, Bike, Coil, Damper, Kind, LowerLegs, OverOil, Place, circle_m2, with_spring
from .drawn import drawn_bike

AIR_KINDS: tuple[Kind, ...] = ("trail", "enduro", "ebike")
CLICKS = 16
ROOM_OVER_SWEPT = 1.1
"""Of a lower leg's volume, over what a full stroke and its oil take: less would lock it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """Two setups of a bike that differ at one end.

    `base_told` and `other_told` are keys of the ride day that no figure of the parts gives; `wrong` tells by what
    factors a key of the changed end is stated wrong, in the baseline and in the candidate. `springs_only` tells that
    springs, pressure or oil volume alone differ.
    """

    place: Place
    base: Bike
    other: Bike
    base_told: Mapping[str, object] = field(default_factory=dict)
    other_told: Mapping[str, object] = field(default_factory=dict)
    wrong: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    springs_only: bool = False

    def setup(self, name: str) -> Bike:
        """Return the bike with setup ``a``, the baseline, or ``b``."""
        return self.base if name == "a" else self.other

    @property
    def damper_measured_anew(self) -> bool:
        """Whether the candidate's damper differs in more than its oil, so that it is measured too."""
        same = self.base.end(self.place).damper == self.other.end(self.place).damper
        return not same and "damper_oil_cst_40c" not in self.base_told


def _either(rng: np.random.Generator) -> Place:
    return "front" if rng.random() < 0.5 else "rear"


def _signed(rng: np.random.Generator, low: float, high: float) -> float:
    return float(rng.choice([-1, 1]) * rng.uniform(low, high))


def _oiled(bike: Bike, oil_each_ml: float, most_ml: float) -> Bike:
    """Return a bike with other oil in its lower legs, which have room for the most of it."""
    front = bike.front
    if not isinstance(front.beside, LowerLegs) or front.stanchion_mm is None:
        raise TypeError("no lower legs with air")
    swept = front.stroke_mm / 1e3 * circle_m2(front.stanchion_mm) * 1e6
    volume = max(front.beside.volume_each_ml, ROOM_OVER_SWEPT * (swept + most_ml))
    return bike.with_end("front", replace(front, beside=LowerLegs(volume_each_ml=volume, oil_each_ml=oil_each_ml)))


def _lower_leg_oil(rng: np.random.Generator) -> Changed:
    bike = drawn_bike(rng, kinds=AIR_KINDS)
    old = bike.front.beside.oil_each_ml if isinstance(bike.front.beside, LowerLegs) else math.nan
    new = float(round(max(old - rng.uniform(7, 13) if old >= 18 else old + rng.uniform(6, 12), 4)))
    base, other = (_oiled(bike, ml, max(old, new)) for ml in (old, new))
    return Changed(place="front", base=base, other=other, springs_only=True)


def _pressure(rng: np.random.Generator) -> Changed:
    bike = drawn_bike(rng, kinds=AIR_KINDS, rear_air=bool(rng.random() < 0.6))
    place: Place = _either(rng) if isinstance(bike.rear.spring, AirSpring) else "front"
    return _firmer(bike, place, 1 + _signed(rng, 0.07, 0.13))


def _spring(rng: np.random.Generator) -> Changed:
    bike = drawn_bike(rng, rear_air=False)
    place: Place = "front" if bike.dirt and rng.random() < 0.4 else "rear"
    return _firmer(bike, place, 1 + _signed(rng, 0.07, 0.13))


def _firmer(bike: Bike, place: Place, times: float) -> Changed:
    spring = bike.end(place).spring
    firmness = spring.rate_n_mm if isinstance(spring, Coil) else spring.pressure_bar
    other = bike.with_end(place, with_spring(bike.end(place), times * firmness))
    return Changed(place=place, base=bike, other=other, springs_only=True)


def _spacers(rng: np.random.Generator) -> Changed:
    bike = drawn_bike(rng, kinds=AIR_KINDS, rear_air=bool(rng.random() < 0.75))
    place: Place = _either(rng) if isinstance(bike.rear.spring, AirSpring) else "front"
    end = bike.end(place)
    if not isinstance(end.spring, AirSpring):
        raise TypeError("no air spring")
    more = replace(end.spring, spacers=end.spring.spacers + int(rng.integers(1, 3)))
    return Changed(place=place, base=bike, other=bike.with_end(place, replace(end, spring=more)), springs_only=True)


def _oil_level(rng: np.random.Generator) -> Changed:
    bike = drawn_bike(rng, kinds=("dirt",))
    if not isinstance(bike.front.beside, OverOil):
        raise TypeError("no air over oil")
    level = replace(bike.front.beside, level_mm=bike.front.beside.level_mm + _signed(rng, 10, 22))
    other = bike.with_end("front", replace(bike.front, beside=level))
    return Changed(place="front", base=bike, other=other, springs_only=True)


def viscosity_cst(at_40c: float, index: float, temperature_c: float) -> float:
    """Return an oil's viscosity by Walther's line; its slope by the viscosity index from memory."""
    slope = np.interp(index, [50, 100, 150, 200, 300], [3.95, 3.6, 3.2, 2.85, 2.2])
    line = math.log10(math.log10(at_40c + 0.7)) - slope * math.log10((temperature_c + 273.15) / 313.15)
    return float(10 ** (10**line) - 0.7)


def _damped(bike: Bike, place: Place, low: tuple[float, float], high: tuple[float, float]) -> Bike:
    """Return a bike whose damper has so many times its slopes: in compression, in rebound."""
    end = bike.end(place)
    was = end.damper
    damper = Damper(
        low_n_s_m=(low[0] * was.low_n_s_m[0], low[1] * was.low_n_s_m[1]),
        knee_m_s=was.knee_m_s,
        high_n_s_m=(high[0] * was.high_n_s_m[0], high[1] * was.high_n_s_m[1]),
    )
    return bike.with_end(place, replace(end, damper=damper))


def _damper_oil(rng: np.random.Generator) -> Changed:
    """Change the oil: on half of the days forces far above the knee follow it less."""
    bike, place = drawn_bike(rng), _either(rng)
    old = float(rng.choice([14, 16, 22]))
    new = round(old * float(rng.choice([rng.uniform(0.6, 0.78), rng.uniform(1.25, 1.5)])), 1)
    high_share = 1.0 if rng.random() < 0.5 else rng.uniform(0.7, 0.9)
    rides_c = bike.air_c + rng.uniform(3, 18)
    times = viscosity_cst(new, rng.uniform(110, 200), rides_c) / viscosity_cst(old, rng.uniform(110, 200), rides_c)
    other = _damped(bike, place, (times, times), (times**high_share, times**high_share))
    told = ({"damper_oil_cst_40c": old}, {"damper_oil_cst_40c": new})
    return Changed(place=place, base=bike, other=other, base_told=told[0], other_told=told[1])


def _one_way(rng: np.random.Generator, low_power: float, high_power: float) -> tuple[Bike, Place, Bike, bool, float]:
    """Return a bike and an end of it damped otherwise one way: whether in rebound, and how many times."""
    bike, place, rebound = drawn_bike(rng), _either(rng), bool(rng.random() < 0.5)
    times = float(rng.choice([rng.uniform(0.7, 0.82), rng.uniform(1.2, 1.4)]))
    low, high = times**low_power, times**high_power
    sides = [(1.0, one) if rebound else (one, 1.0) for one in (low, high)]
    return bike, place, _damped(bike, place, sides[0], sides[1]), rebound, times


def _valving(rng: np.random.Generator) -> Changed:
    """Change a stack: mostly far above the knee."""
    bike, place, other, _, _ = _one_way(rng, 0.5, 1.0)
    told = ({"valving": "stack A"}, {"valving": "stack B"})
    return Changed(place=place, base=bike, other=other, base_told=told[0], other_told=told[1])


def _clicks(rng: np.random.Generator) -> Changed:
    """Turn an adjuster: mostly far below the knee."""
    bike, place, other, rebound, times = _one_way(rng, 1.0, 0.6)
    key = "rebound" if rebound else "low_speed_compression"
    base_told, other_told = (
        {key: {"clicks_from_closed": clicks, "of": CLICKS}} for clicks in (8, 5 if times > 1 else 11)
    )
    return Changed(place=place, base=bike, other=other, base_told=base_told, other_told=other_told)


def _link(rng: np.random.Generator) -> Changed:
    """Change the linkage: its progression, and on half of the days its mean ratio."""
    bike = drawn_bike(rng)
    start, full = bike.rear.ratios
    rises = float(np.clip(1 - full / start + _signed(rng, 0.05, 0.1), 0.05, 0.33))
    mean = (start + full) / 2 * (1 + float(rng.choice([0, 0, 0.03, -0.03])))
    ratios = (mean / (1 - rises / 2), mean / (1 - rises / 2) * (1 - rises))
    return Changed(place="rear", base=bike, other=bike.with_end("rear", replace(bike.rear, ratios=ratios)))


def _oil_stated_half(rng: np.random.Generator) -> Changed:
    bike = drawn_bike(rng, kinds=AIR_KINDS)
    base, other = (_oiled(bike, ml, 50) for ml in (8, 50))
    return Changed(place="front", base=base, other=other, wrong={"lower_leg_oil_each_ml": (1, 0.5)}, springs_only=True)


def _spring_stated_wrong(rng: np.random.Generator) -> Changed:
    bike = drawn_bike(rng, rear_air=False)
    times = 1.2 if rng.random() < 0.5 else 0.8
    changed = _firmer(bike, "rear", 1 + _signed(rng, 0.07, 0.13))
    return replace(changed, wrong={"spring_rate_n_mm": (times, times)})


CHANGES: Mapping[str, Callable[[np.random.Generator], Changed]] = {
    "lower_leg_oil": _lower_leg_oil,
    "pressure": _pressure,
    "spacers": _spacers,
    "spring": _spring,
    "damper_oil": _damper_oil,
    "valving": _valving,
    "clicks": _clicks,
    "link": _link,
    "oil_level": _oil_level,
}
WRONG: Mapping[str, Callable[[np.random.Generator], Changed]] = {
    "the oil of the candidate half as much": _oil_stated_half,
    "rear spring 20 % off, both setups": _spring_stated_wrong,
}
