"""A setup on paper: what is stated of it, drawn or as it stands, made into a bike that can be ridden."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from telemetry.bench.clicks import Way
from telemetry.bench.masses import carried, lacking_masses
from telemetry.bench.parts import springs_of
from telemetry.bench.springs import lacking_springs
from telemetry.bench.stated import Draw, as_stated, stated_of
from telemetry.dynamics.car import Bike
from telemetry.model.bench_figures import Lacking, Width
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import End, Place
from telemetry.units import STANDARD_GRAVITY_M_S2

from .body import Carrying, carrying
from .dampers import damper_of
from .ends import PaperEnd, Settled, paper_end


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperSetup:
    """One setup that can be ridden on paper.

    Attributes
    ----------
    ends : mapping of end to PaperEnd
        Those that are measured and known.
    body : Carrying
    clicks : mapping of (end, direction) to str
        By what an adjuster was turned that stands elsewhere than its damper was measured.
    widths : mapping of (place, key) to Width
        Every figure it rests on, and how well each is known.
    """

    ends: Mapping[End, PaperEnd]
    body: Carrying
    clicks: Mapping[tuple[End, Way], str]
    widths: Mapping[tuple[Place, str], Width]

    def bike(self, settled_m: Mapping[End, float]) -> Bike:
        """Return the bike as it rides, the gas of each end settled at a wheel travel."""
        tables = {end: own.tables(own.springs.fast_exponent, settled_m.get(end)) for end, own in self.ends.items()}
        return self.body.bike(tables)


@dataclass(slots=True)
class Drawn:
    """Draws each figure once: alike wherever the same is stated of it, each by itself where two setups differ.

    With `alike` a figure is off alike in both even where they differ: a step by one pump or one syringe.
    """

    rng: np.random.Generator
    alike: bool = False
    taken: dict[tuple[Place, str, str], float] = field(default_factory=dict)

    def __call__(self, place: Place, key: str, value: object) -> float:
        """Return by how many widths a figure is off."""
        return self.taken.setdefault((place, key, "" if self.alike else repr(value)), float(self.rng.standard_normal()))


def lacking(day: RideDay, setup: Setup, end: End) -> tuple[Lacking, ...]:
    """Return what an end lacks to be ridden on paper: springs, and what it carries."""
    stated = stated_of(day, setup, end)
    masses = lacking_masses(stated)
    found = [] if springs_of(stated) is not None else list(lacking_springs(stated))[:1]
    return tuple(found) + (() if masses is None else (masses,))


def left_out(day: RideDay, setup: Setup, end: End) -> tuple[Lacking, ...]:
    """Return which parts of an end's springs aren't stated, and so aren't ridden; a bumper is taken as usual."""
    return tuple(item for item in lacking_springs(stated_of(day, setup, end)) if item.what != "bumper")


def paper_setup(
    day: RideDay,
    setups: tuple[Setup, Setup],
    ends: tuple[End, ...],
    bands_mm: Mapping[End, float],
    draw: Draw = as_stated,
) -> PaperSetup:
    """Return a setup on paper.

    Parameters
    ----------
    day : RideDay
    setups : (own, baseline)
        Twice the same for the baseline itself.
    ends : tuple of End
        None of them `lacking` anything, of either setup.
    bands_mm : mapping of end to float
        Friction bands, where settling was recorded.
    draw : callable

    Raises
    ------
    PartError, ValueError
        If figures contradict each other.
    """
    stated = {end: stated_of(day, setups[0], end).drawn(draw) for end in ends}
    base = {end: stated_of(day, setups[1], end).drawn(draw) for end in ends}
    found, loads = {}, {}
    clicks: dict[tuple[End, Way], str] = {}
    for end in ends:
        springs, load = springs_of(stated[end]), carried(stated[end])
        if springs is None or load is None:
            raise ValueError(f"the {end} of {setups[0].name} can't be ridden on paper")
        others = [stated_of(day, setup, end).drawn(draw) for setup in day.setups.values()]
        damper, told = damper_of(stated[end], base[end], springs, load.sprung_kg, others)
        clicks.update({(end, way): words for way, words in told})
        loads[end] = load
        settled = None
        if end in bands_mm:
            settled = Settled(band_mm=bands_mm[end], load_n=load.sprung_kg * STANDARD_GRAVITY_M_S2)
        found[end] = paper_end(stated[end], springs, damper, settled)
    body = carrying(stated, loads)
    widths = {at: width for one in (*stated.values(), *base.values()) for at, width in one.widths.items()}
    return PaperSetup(
        ends=MappingProxyType(found), body=body, clicks=MappingProxyType(clicks), widths=MappingProxyType(widths)
    )
