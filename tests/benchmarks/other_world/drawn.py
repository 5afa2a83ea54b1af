"""Bikes drawn by chance: each figure between what such parts have, from memory."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from .bike import (
    KINDS,
    PLACES,
    AirSpring,
    Bike,
    BikeEnd,
    Coil,
    Damper,
    Kind,
    LowerLegs,
    OverOil,
    Place,
    circle_m2,
    critical_n_s_m,
    sprung_to,
)

KIND_SHARES: Mapping[Kind, float] = {"trail": 0.3, "enduro": 0.3, "ebike": 0.25, "dirt": 0.15}
SAG = {"front": (0.15, 0.21), "dirt front": (0.22, 0.27), "rear": (0.25, 0.31)}
"""Of travel, standing. Common practice, no source."""
COMPRESSION_ZETA, REBOUND_ZETA = (
    {"front": (0.18, 0.3), "rear": (0.2, 0.32)},
    {"front": (0.32, 0.5), "rear": (0.32, 0.48)},
)
"""Share of critical damping over a usual stroke. From memory."""
FIRMER_SLOW = 1.5
"""How much firmer than over a usual stroke a damper is far below its knee. Own choice."""
KNEES_M_S = {"front": ((0.25, 0.5), (0.35, 0.7)), "rear": ((0.1, 0.22), (0.15, 0.3))}
HIGH_SHARES = {"front": ((0.3, 0.5), (0.4, 0.65)), "rear": ((0.35, 0.55), (0.4, 0.65))}
"""Of the slope below the knee, above it; both in compression, in rebound. From memory."""
NO_DAMPER = Damper(low_n_s_m=(0, 0), knee_m_s=(1, 1), high_n_s_m=(0, 0))


def _air(rng: np.random.Generator, stroke_mm: float, piston_mm: float, *, front: bool) -> AirSpring:
    swept = stroke_mm / 1e3 * circle_m2(piston_mm) * 1e6
    volume = swept * rng.uniform(*((1.38, 1.65) if front else (1.5, 1.9)))
    return AirSpring(
        pressure_bar=1.0,
        volume_ml=volume,
        piston_mm=piston_mm,
        rod_mm=rng.uniform(*((8, 12) if front else (9.5, 14))),
        negative_ml=volume * rng.uniform(0.12, 0.28),
        spacer_ml=rng.uniform(*((6, 9) if front else (3.5, 6))),
        spacers=int(rng.integers(0, 3)),
    )


def _wheel(rng: np.random.Generator, kind: Kind, place: Place) -> tuple[float, float, float]:
    """Draw what is unsprung, kg, and a tyre's stiffness and loss, N/mm and N s/m."""
    unsprung = KINDS[kind].unsprung_kg[PLACES.index(place)] * rng.uniform(0.9, 1.1)
    stiffness = rng.uniform(*((75, 115) if place == "front" else (88, 130))) * (1.9 if kind == "dirt" else 1.0)
    return unsprung, stiffness, rng.uniform(120, 280)


def _fork(rng: np.random.Generator, kind: Kind, head_deg: float) -> BikeEnd:
    unsprung, tyre, loss = _wheel(rng, kind, "front")
    stroke, stanchion = KINDS[kind].travel_mm[0], KINDS[kind].stanchion_mm
    steep = math.sin(math.radians(head_deg))
    spring: AirSpring | Coil
    beside: LowerLegs | OverOil
    if kind == "dirt":
        spring = Coil(rate_n_mm=1.0, preload_mm=rng.uniform(4, 10))
        beside = OverOil(level_mm=rng.uniform(105, 135), wall_mm=rng.uniform(1.6, 2.3))
    else:
        spring = _air(rng, stroke, stanchion - rng.uniform(3.5, 5.5), front=True)
        oil = float(rng.choice([10, 15, 20, 25]))
        swept = stroke / 1e3 * circle_m2(stanchion) * 1e6
        beside = LowerLegs(volume_each_ml=(swept + oil) * rng.uniform(1.12, 1.35), oil_each_ml=oil)
    return BikeEnd(
        stroke_mm=stroke,
        ratios=(steep, steep),
        spring=spring,
        damper=NO_DAMPER,
        touch_mm=stroke * rng.uniform(0.92, 0.96),
        bumper_n=rng.uniform(1800, 4200) * (1.8 if kind == "dirt" else 1.0),
        friction_n=rng.uniform(*((30, 80) if kind == "dirt" else (14, 40))),
        stanchion_mm=stanchion,
        beside=beside,
        unsprung_kg=unsprung,
        tyre_n_mm=tyre,
        tyre_n_s_m=loss,
    )


def _shock(rng: np.random.Generator, kind: Kind, *, air: bool) -> BikeEnd:
    unsprung, tyre, loss = _wheel(rng, kind, "rear")
    travel = KINDS[kind].travel_mm[1] * rng.uniform(0.97, 1.03)
    start = rng.uniform(2.75, 3.05)
    full = start * (1 - rng.uniform(0.12, 0.28))
    stroke = travel / ((start + full) / 2)
    spring: AirSpring | Coil
    if air:
        spring = _air(rng, stroke, rng.uniform(35, 40), front=False)
    else:
        spring = Coil(rate_n_mm=1.0, preload_mm=rng.uniform(*((3, 9) if kind == "dirt" else (0.5, 4))))
    return BikeEnd(
        stroke_mm=stroke,
        ratios=(start, full),
        spring=spring,
        damper=NO_DAMPER,
        touch_mm=stroke * rng.uniform(*((0.93, 0.96) if air else (0.84, 0.9))),
        bumper_n=rng.uniform(2000, 4200) * 2.5 * (1.5 if kind == "dirt" else 1.0),
        friction_n=rng.uniform(*((30, 70) if air else (10, 30))),
        unsprung_kg=unsprung,
        tyre_n_mm=tyre,
        tyre_n_s_m=loss,
    )


def _damped(bike: Bike, place: Place, rng: np.random.Generator) -> Bike:
    """Return a bike whose end's damper fits its spring and load."""
    critical = FIRMER_SLOW * critical_n_s_m(bike, place)
    low = tuple(rng.uniform(*zeta[place]) * critical for zeta in (COMPRESSION_ZETA, REBOUND_ZETA))
    knee = tuple(rng.uniform(*each) for each in KNEES_M_S[place])
    high = tuple(slope * rng.uniform(*each) for slope, each in zip(low, HIGH_SHARES[place], strict=True))
    damper = Damper(low_n_s_m=(low[0], low[1]), knee_m_s=(knee[0], knee[1]), high_n_s_m=(high[0], high[1]))
    return bike.with_end(place, replace(bike.end(place), damper=damper))


def drawn_bike(
    rng: np.random.Generator, *, kinds: tuple[Kind, ...] = tuple(KINDS), rear_air: bool | None = None
) -> Bike:
    """Draw a bike.

    Parameters
    ----------
    rng : numpy.random.Generator
    kinds : tuple of str
        Of which it may be.
    rear_air : bool, optional
        Whether its shock has air; by chance where nothing is said. A dirt bike's never has.
    """
    shares = np.array([KIND_SHARES[kind] for kind in kinds])
    kind = kinds[int(rng.choice(len(kinds), p=shares / shares.sum()))]
    dirt, sizes = kind == "dirt", KINDS[kind]
    head = rng.uniform(*((62, 64) if dirt else (63.5, 66)))
    by_chance = bool(rng.random() < 0.5)
    air = not dirt and (by_chance if rear_air is None else rear_air)
    isolated = bool(rng.random() < 0.5)
    bike = Bike(
        kind=kind,
        front=_fork(rng, kind, head),
        rear=_shock(rng, kind, air=air),
        mass_kg=sizes.mass_kg * rng.uniform(0.95, 1.05),
        rider_kg=rng.uniform(64, 95),
        wheelbase_mm=sizes.wheelbase_mm * rng.uniform(0.97, 1.03),
        head_deg=head,
        front_share=rng.uniform(*((0.45, 0.49) if dirt else (0.39, 0.44))),
        altitude_m=float(rng.choice([0, 250, 600, 1100])),
        air_c=float(rng.integers(6, 26)),
        gas_exponent=rng.uniform(1.22, 1.36) if isolated else 1.4,
        cooling_s=5.0 if isolated else float(np.exp(rng.uniform(np.log(0.08), np.log(0.6)))),
    )
    for place in PLACES:
        sag = SAG["dirt front" if dirt and place == "front" else place]
        bike = _damped(sprung_to(bike, place, rng.uniform(*sag)), place, rng)
    return bike
