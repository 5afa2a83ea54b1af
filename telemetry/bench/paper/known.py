"""A setup on paper: what is stated of it, drawn or as it stands, made into a bike that can be ridden."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from telemetry.bench.clicks import Way
from telemetry.bench.damper import measured_damper
from telemetry.bench.masses import carried, lacking_masses
from telemetry.bench.parts import EndSprings, any_springs_of, springs_of
from telemetry.bench.springs import lacking_springs
from telemetry.bench.stated import Draw, Stated, as_stated, stated_of
from telemetry.dynamics.car import Bike
from telemetry.mechanics.damper import Damper
from telemetry.model.bench_figures import Lacking, Width
from telemetry.model.day import RideDay, Setup
from telemetry.model.finding import End, Place
from telemetry.units import STANDARD_GRAVITY_M_S2

from .body import Carrying, carrying
from .dampers import damper_of
from .ends import PaperEnd, Settled, friction_band_m_s, friction_of, paper_end
from .shown import ShownEnd, shown_damper, shown_springs, turned_as_stated


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


def lacking(day: RideDay, setup: Setup, end: End, *, shown: bool = False) -> tuple[Lacking, ...]:
    """Return what an end lacks to be ridden on paper: springs, and what it carries.

    With `shown` its springs ride as a force map shows them, and of them full travel alone is needed.
    """
    stated = stated_of(day, setup, end)
    masses = lacking_masses(stated)
    known = any_springs_of(stated) if shown else springs_of(stated)
    found = [] if known is not None else list(lacking_springs(stated))[:1]
    return tuple(found) + (() if masses is None else (masses,))


def left_out(day: RideDay, setup: Setup, end: End) -> tuple[Lacking, ...]:
    """Return which parts of an end's springs aren't stated, and so aren't ridden; a bumper is taken as usual."""
    return tuple(item for item in lacking_springs(stated_of(day, setup, end)) if item.what != "bumper")


def _springs(stated: Stated, base: Stated, shown: ShownEnd | None) -> EndSprings | None:
    """Return a setup's springs, as stated, or by the baseline's maps and what is stated to differ."""
    if shown is None or "spring" not in shown.parts:
        return springs_of(stated)
    own, was, load = any_springs_of(stated), any_springs_of(base), carried(base)
    if own is None or was is None or load is None:
        return None
    return shown_springs(own, (base, was), load.sprung_kg, shown)


def _damper(
    stated: Stated,
    base: Stated,
    others: Sequence[Stated],
    on: tuple[EndSprings, Settled | None],
    shown: ShownEnd | None,
) -> tuple[Damper, tuple[tuple[Way, str], ...]]:
    """Return a setup's damper as `damper_of` does, or by the baseline's maps and what is stated to differ."""
    springs, settled = on
    load, was = carried(stated), carried(base)
    if load is None or was is None:
        raise ValueError(f"what the {stated.end} carries isn't known")
    if shown is None or "damper" not in shown.parts:
        return damper_of(stated, base, springs, load.sprung_kg, others)
    rubs = friction_of(base, springs, settled), friction_band_m_s(base)
    seen = shown_damper(base, springs, was.sprung_kg, rubs, shown)
    damper, told = damper_of(stated, base, springs, load.sprung_kg, others, seen)
    if measured_damper(base) is None:
        return damper, told
    return turned_as_stated(seen, damper, damper_of(base, base, springs, was.sprung_kg, others)[0]), told


def paper_setup(
    day: RideDay,
    setups: tuple[Setup, Setup],
    ends: tuple[End, ...],
    bands_mm: Mapping[End, float],
    draw: Draw = as_stated,
    shown: Mapping[End, ShownEnd] = MappingProxyType({}),
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
    shown : mapping of end to ShownEnd
        What force maps show of the baseline, where its ends ride by them.

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
        springs, load = _springs(stated[end], base[end], shown.get(end)), carried(stated[end])
        if springs is None or load is None:
            raise ValueError(f"the {end} of {setups[0].name} can't be ridden on paper")
        others = [stated_of(day, setup, end).drawn(draw) for setup in day.setups.values()]
        loads[end] = load
        settled = None
        if end in bands_mm:
            settled = Settled(band_mm=bands_mm[end], load_n=load.sprung_kg * STANDARD_GRAVITY_M_S2)
        damper, told = _damper(stated[end], base[end], others, (springs, settled), shown.get(end))
        clicks.update({(end, way): words for way, words in told})
        found[end] = paper_end(stated[end], springs, damper, settled)
    body = carrying(stated, loads)
    widths = {at: width for one in (*stated.values(), *base.values()) for at, width in one.widths.items()}
    return PaperSetup(
        ends=MappingProxyType(found), body=body, clicks=MappingProxyType(clicks), widths=MappingProxyType(widths)
    )
