"""Figures of one end of a setup: as stated or drawn from what they may be, with what had to be assumed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import TypeAlias

from telemetry.model.bench_figures import Width
from telemetry.model.day import EndSetup, RideDay, Setup
from telemetry.model.finding import End, Place
from telemetry.model.ranges import Range
from telemetry.model.setting import ForcePoints
from telemetry.model.wish import EndWish
from telemetry.units import IMPERIAL, ImperialSpelling

from .known import ASSUMED, unit_of, width_of, words_of

MOST_OFF = 2.5
"""A draw goes no further than so many widths: figures have ends. Own choice."""

Draw: TypeAlias = Callable[[Place, str, object], float]
"""By how many widths a figure is off, by its place, its key and what is stated of it."""


class PartError(ValueError):
    """Figures that can't be those of parts: at which end and key, what was `found`, what is `expected`.

    `table` names the one that states the key, where that is no setup's; `beyond` the figure and the range it is beyond.
    """

    def __init__(
        self,
        end: Place,
        key: str,
        found: str,
        expected: str,
        *,
        table: str = "",
        beyond: tuple[float, Range] | None = None,
    ) -> None:
        self.end = end
        self.key = key
        self.table = table
        self.beyond = beyond
        self.found = found
        self.expected = expected
        super().__init__(found)


def as_stated(_place: Place, _key: str, _value: object) -> float:
    """Return 0 widths: every figure as it is stated."""
    return 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """What is known of one end.

    Attributes
    ----------
    setup : EndSetup
    bike, day : mapping of key to number
        The whole bike's figures and the day's, with how well they are known.
    draw : callable
    oil_share : float
        Viscosity of its damper's oil over that of the oil its damper points were measured with.
    wish : EndWish
        How it is to sit and to be damped.
    elsewhere : frozenset of str
        Keys of this end that any setup of the day states: what one has, others are taken to have too.
    told_in : mapping of key to ImperialSpelling
        The imperial unit of the first setup of the day that states a key at this end: setups are told alike.
    widths : dict
        Gains each figure that was asked for: how well it is known, and whether that is stated.
    """

    setup: EndSetup
    bike: Mapping[str, tuple[float, float | None]]
    day: Mapping[str, tuple[float, float | None]]
    draw: Draw = as_stated
    oil_share: float = 1.0
    wish: EndWish = field(default_factory=EndWish)
    elsewhere: frozenset[str] = frozenset()
    told_in: Mapping[str, ImperialSpelling] = field(default_factory=lambda: MappingProxyType({}))
    widths: dict[tuple[Place, str], Width] = field(default_factory=dict)

    @property
    def end(self) -> End:
        """Which end."""
        return self.setup.end

    def number(self, key: str) -> float | None:
        """Return a figure of the end, in its key's unit; None where it isn't stated."""
        setting = self.setup.settings.get(key)
        if setting is None or not isinstance(setting.value, int | float):
            return None
        return self.known(self.end, key, float(setting.value), setting.plus_minus)

    def of_bike(self, key: str) -> float | None:
        """Return a figure of the whole bike or of the day; None where it isn't stated."""
        held = self.bike.get(key, self.day.get(key))
        return None if held is None else self.known("both", key, *held)

    def points(self) -> ForcePoints | None:
        """Return the damper's measured forces (mm/s, N); None where there are none.

        All are off by the same share, those of all setups alike: by the scale of the one dyno they come from.
        """
        setting = self.setup.settings.get("damper_points")
        if setting is None or not isinstance(setting.value, tuple):
            return None
        most = max(abs(force) for _, force in setting.value)
        off = self.known(self.end, "damper_points", most, setting.plus_minus, alike=True) / most if most else 1.0
        return tuple((speed, force * off) for speed, force in setting.value)

    def assumed(self, name: str) -> float:
        """Return what is taken for a figure that nothing states."""
        own = ASSUMED[name]
        self.widths[self.end, name] = Width(
            end=self.end,
            key=name,
            words=own.words,
            unit=own.unit,
            plus_minus=own.plus_minus,
            stated=False,
            assumed=own.value,
        )
        return own.value + self._off(self.end, name, own.value) * own.plus_minus

    def known(self, place: Place, key: str, value: float, plus_minus: float | None, *, alike: bool = False) -> float:
        """Return a figure as drawn, in its key's unit; how well it is known is kept.

        `alike`: off by as many widths wherever it is stated, also where it differs.
        """
        width = width_of(key, value) if plus_minus is None else plus_minus
        stated = plus_minus is not None
        self.widths[place, key] = Width(
            end=place, key=key, words=words_of(key), unit=unit_of(key), plus_minus=width, stated=stated
        )
        drawn = value + width * self._off(place, key, key if alike else value)
        return drawn if value <= 0 else max(drawn, 0.02 * value)

    def _off(self, place: Place, key: str, value: object) -> float:
        return max(-MOST_OFF, min(MOST_OFF, self.draw(place, key, value)))

    def drawn(self, draw: Draw) -> Stated:
        """Return the same with figures drawn from what they may be."""
        return replace(self, draw=draw, widths={})


def imperial_of(setup: EndSetup, key: str) -> ImperialSpelling | None:
    """Return the imperial unit that a number of an end was stated in; None of a metric one."""
    held = setup.settings.get(key)
    ways = (item for item in IMPERIAL if key.endswith(item.metric_suffix))
    return next((item for item in ways if held is not None and held.entered.endswith(item.unit)), None)


def stated_of(day: RideDay, setup: Setup, end: End) -> Stated:
    """Return what is known of one end of a setup."""
    bike = {
        key: (float(item.value), item.plus_minus)
        for key, item in setup.bike.items()
        if isinstance(item.value, int | float)
    }
    of_day = {key: getattr(day, key) for key in ("rider_mass_kg", "altitude_m", "air_temperature_c")}
    held = {key: (float(value), day.plus_minus.get(key)) for key, value in of_day.items() if value is not None}
    wish = EndWish() if day.wish is None else day.wish.at(end)
    return Stated(
        setup=setup.at(end),
        bike=MappingProxyType(bike),
        day=MappingProxyType(held),
        wish=wish,
        elsewhere=frozenset(key for other in day.setups.values() for key in other.at(end).settings),
        told_in=MappingProxyType(_told_in([other.at(end) for other in day.setups.values()])),
    )


def _told_in(ends: Sequence[EndSetup]) -> dict[str, ImperialSpelling]:
    """Return the imperial unit of each key whose first statement in the day is in one."""
    first: dict[str, EndSetup] = {}
    for own in ends:
        for key in own.settings:
            first.setdefault(key, own)
    found = {key: imperial_of(own, key) for key, own in first.items()}
    return {key: unit for key, unit in found.items() if unit is not None}
