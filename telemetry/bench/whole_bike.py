"""What takes both ends of a setup: leverage at sag, and how the bike stands, unladen and at sag."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

import numpy as np

from telemetry.model.bench import EndBench, SetupBench
from telemetry.model.bench_figures import Lacking
from telemetry.model.bench_leverage import Leverage
from telemetry.model.day import EndSetup, RideDay, Setup
from telemetry.model.finding import ENDS, End

from .geometry import Sag, Standing, geometry_at_sag, geometry_of, lacking_geometry
from .levers import Lever, Levers, levers_of
from .rear_axle import AxleMoved, axle_moved, from_bottom_bracket
from .stated import Draw, PartError, as_stated, stated_of

RECORDED = "as recorded"
USUAL_SAG = {"front": 20.0, "rear": 30.0}
"""Per cent of travel, where springs and masses don't tell: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BikeOf:
    """A setup with one lever, and what it is told against: the first setup.

    Attributes
    ----------
    setup, first : Setup
    lever : Lever
    moved : AxleMoved
        Where the rear axle went against the first setup's, topped out.
    bottom_bracket_mm : (x, y) or None
        By the first setup's linkage.
    recorded_mm, first_recorded_mm : mapping of end to float
        Sag that was recorded, rider aboard, at the wheel; of this setup and of the first.
    """

    setup: Setup
    first: Setup
    lever: Lever
    moved: AxleMoved
    bottom_bracket_mm: tuple[float, float] | None
    recorded_mm: Mapping[End, float] = field(default_factory=lambda: MappingProxyType({}))
    first_recorded_mm: Mapping[End, float] = field(default_factory=lambda: MappingProxyType({}))

    def stated(self, day: RideDay, draw: Draw) -> Standing:
        """Return what is known of it, drawn from what it may be."""
        setup = replace(self.setup, rear=self.lever.of(self.setup.rear))
        front, rear = (stated_of(day, setup, end).drawn(draw) for end in ENDS)
        first = [stated_of(day, self.first, end).drawn(draw) for end in ENDS]
        return Standing(
            front=front,
            rear=rear,
            first_front=first[0],
            first_rear=first[1],
            measured=_measured(day, self.first),
            axle_moved=self.moved,
            bottom_bracket_mm=self.bottom_bracket_mm,
        )


@dataclass(frozen=True, slots=True)
class Bikes:
    """Every setup, the first one first, with its levers."""

    held: tuple[tuple[BikeOf, Levers], ...]

    def as_measured(self) -> list[BikeOf]:
        """Return them with their levers as measured."""
        return [bike for bike, _ in self.held]

    def drawn(self, draw: int) -> list[BikeOf]:
        """Return them with the levers of one draw."""
        return [replace(bike, lever=levers.drawn(draw)) for bike, levers in self.held]


def bikes_of(day: RideDay, names: Sequence[str], recorded_mm: Mapping[tuple[str, End], float]) -> Bikes:
    """Return a day's setups as the bench works on them.

    Parameters
    ----------
    day : RideDay
    names : sequence of str
        The first is the one that others are told against.
    recorded_mm : mapping of (setup, end) to float
        Sag that was recorded, rider aboard, at the wheels.
    """
    first = day.setups[names[0]]
    middle = from_bottom_bracket(first.rear)
    levers = levers_of({name: day.setups[name].rear for name in names})
    recorded = {
        name: MappingProxyType({end: recorded_mm[name, end] for end in ENDS if (name, end) in recorded_mm})
        for name in names
    }
    return Bikes(
        tuple(
            (
                BikeOf(
                    setup=day.setups[name],
                    first=first,
                    lever=levers[name].as_measured,
                    moved=axle_moved(first.rear, day.setups[name].rear),
                    bottom_bracket_mm=middle,
                    recorded_mm=recorded[name],
                    first_recorded_mm=recorded[names[0]],
                ),
                levers[name],
            )
            for name in names
        )
    )


def stances_of(day: RideDay, names: Sequence[str]) -> dict[str, Mapping[str, float]]:
    """Return how setups stand unladen by their parts, by name of each figure; those that can't be told are left out.

    Parameters
    ----------
    day : RideDay
    names : sequence of str
        The first is the one that the bike was measured with, where the bike itself states nothing else.
    """
    found: dict[str, Mapping[str, float]] = {}
    for bike in plain_bikes_of(day, names):
        try:
            static = geometry_of(bike.stated(day, as_stated), None)
        except PartError:
            continue
        if static is not None:
            found[bike.setup.name] = MappingProxyType(static.stance.known)
    return found


def plain_bikes_of(day: RideDay, names: Sequence[str]) -> list[BikeOf]:
    """Return a day's setups, the first one first, as `bikes_of`, but without what takes draws of their levers."""
    first = day.setups[names[0]]
    middle = from_bottom_bracket(first.rear)
    return [
        BikeOf(
            setup=day.setups[name],
            first=first,
            lever=Lever(None),
            moved=axle_moved(first.rear, day.setups[name].rear),
            bottom_bracket_mm=middle,
        )
        for name in names
    ]


def _measured(day: RideDay, first: Setup) -> Mapping[str, tuple[float, float | None]]:
    """Return what ``[bike]`` and ``[bike.geometry]`` state of how the bike stands, with how well it is known."""
    widths = day.bike.geometry_plus_minus
    found = {key: (value, widths.get(key)) for key, value in day.bike.geometry.items()}
    stated = {"head_angle_deg": day.bike.head_angle_deg, "wheelbase_mm": day.bike.wheelbase_mm}
    for key, value in stated.items():
        own = first.bike.get(key)
        if value is not None:
            found[key] = value, None if own is None or own.value != value else own.plus_minus
    return MappingProxyType(found)


def with_bike(answer: SetupBench, own: Standing, bike: BikeOf, first: SetupBench | None) -> SetupBench:
    """Return a setup's answer with its leverage and how it stands.

    Raises
    ------
    PartError
        If its figures can't be those of a bike.
    """
    sags = _sags(answer, own, bike, first)
    words = sags_in_words({end: told for end, (_, told) in sags.items()})
    leverage = bike.lever.leverage
    if leverage is not None and "rear" in sags:
        leverage = replace(leverage, sag_mm=sags["rear"][0], sag_from=words)
    angle = None if first is None or first.geometry is None else first.geometry.stance.head_angle_deg
    static = geometry_of(own, angle)
    at_sag = None
    if static is not None and len(sags) == len(ENDS):
        rear_mm = sags["rear"][0]
        sag = Sag(front_mm=sags["front"][0], rear_mm=(_forward_mm(rear_mm, leverage), rear_mm), words=words)
        at_sag = geometry_at_sag(own, sag)
    return replace(answer, rear=replace(answer.rear, leverage=leverage), geometry=static, geometry_at_sag=at_sag)


def sags_in_words(known: Mapping[End, str]) -> str:
    """Return how the sag of each end is known, once where of both alike: "both ends as recorded"."""
    if len(known) == len(ENDS) and len(set(known.values())) == 1:
        return f"both ends {known['front']}"
    return ", ".join(f"{end} {told}" for end, told in known.items())


def _sags(answer: SetupBench, own: Standing, bike: BikeOf, first: SetupBench | None) -> dict[End, tuple[float, str]]:
    """Return how far each end of known travel sits down, mm at the wheel, and how that is known.

    As recorded, by springs and masses, as the first setup, as is usual. Against a first setup whose sag was recorded,
    springs and masses tell how much deeper: what they make of both is off alike.
    """
    found: dict[End, tuple[float, str]] = {}
    for end, setup in ((answer.front, own.front.setup), (answer.rear, own.rear.setup)):
        if setup.full_travel_mm is not None:
            travel, told = _sag_of(end, setup, bike, first)
            found[end.end] = min(max(travel, 0.0), setup.full_travel_mm), told
    return found


def _sag_of(end: EndBench, setup: EndSetup, bike: BikeOf, first: SetupBench | None) -> tuple[float, str]:
    if end.end in bike.recorded_mm:
        return bike.recorded_mm[end.end], RECORDED
    by_springs, firsts_mm = _by_springs(end, setup), bike.first_recorded_mm.get(end.end)
    if by_springs is not None:
        old = None if first is None else first.at(end.end).masses
        deeper = 0.0 if old is None or firsts_mm is None else firsts_mm - old.sag_mm
        return by_springs + deeper, "by springs and masses"
    if firsts_mm is not None:
        return firsts_mm, f"as with {bike.first.label}"
    return USUAL_SAG[end.end] / 100 * (setup.full_travel_mm or 0.0), f"taken as {USUAL_SAG[end.end]:g} %"


def _by_springs(end: EndBench, setup: EndSetup) -> float | None:
    if end.masses is None or setup.full_travel_mm is None:
        return None
    return float(np.clip(end.masses.sag_mm, 0.0, setup.full_travel_mm))


def _forward_mm(sag_mm: float, leverage: Leverage | None) -> float:
    """Return how far the axle goes forward on its way; straight up where no linkage tells."""
    if leverage is None or leverage.axle_x_mm is None:
        return 0.0
    return float(np.interp(sag_mm, leverage.travel_mm, leverage.axle_x_mm))


def lacking_bike(answer: SetupBench) -> Iterator[Lacking]:
    """Yield what of leverage and geometry can't be told."""
    if answer.rear.leverage is None:
        reason = "leverage (a file), ratio or a linkage, each with stroke_mm, would give it"
        yield Lacking(what="leverage", reason=reason, end="rear")
    yield from lacking_geometry(answer.geometry)
    if answer.geometry is not None and answer.geometry_at_sag is None:
        yield Lacking(what="geometry at sag", reason="full travel of both ends would give it", end="both")
