"""What an end carries, how it sits, and where to begin setting it, as the bench tells them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from .bench_figures import Figure, Json

MAIN = ("sag at rest, without friction", "natural frequency", "damping ratio at sag")
"""What is read first of the masses."""
AS_WISHED = ", as wished"


@dataclass(frozen=True, slots=True, kw_only=True)
class Masses:
    """What an end carries, where it comes to rest under it without friction, and how it swings about that.

    Attributes
    ----------
    sprung_kg : float
    unsprung_kg : float or None
    full_mm, sag_mm : float
        At the wheel.
    stroke_full_m, sag_stroke_m : float
        The same at leg or shaft.
    load_n : float
        Vertical.
    natural_hz : float or None
        Of what is sprung, undamped, the gas fast; None where it rests at an end of its travel.
    hop_hz : float or None
        Of the wheel between tyre and spring; None without tyre_stiffness_n_mm.
    damping_ratio : float or None
        None without damper points.
    heavier_kg : float
        So much more of the rider, for which the next are.
    heavier_sag_mm, heavier_damping : float or None
    battery_kg, no_battery_sag_mm : float or None
        The battery's mass, and sag without it.
    """

    sprung_kg: float
    unsprung_kg: float | None
    full_mm: float
    stroke_full_m: float
    sag_mm: float
    sag_stroke_m: float
    load_n: float
    natural_hz: float | None
    hop_hz: float | None
    damping_ratio: float | None
    heavier_kg: float
    heavier_sag_mm: float | None
    heavier_damping: float | None
    battery_kg: float | None
    no_battery_sag_mm: float | None

    @property
    def unsprung_percent(self) -> float | None:
        """Share of what stands on this wheel that is unsprung, %."""
        return None if self.unsprung_kg is None else 100 * self.unsprung_kg / (self.unsprung_kg + self.sprung_kg)

    @property
    def percent(self) -> float:
        """Sag, % of travel."""
        return self._percent(self.sag_mm)

    def _percent(self, travel_mm: float) -> float:
        return 100 * travel_mm / self.full_mm

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Masses, sag, frequencies and damping ratio, and what a change of mass makes of them."""
        more = f"with {self.heavier_kg:g} kg more rider"
        found: list[tuple[str, str, float | None, int]] = [
            ("sprung mass", "kg", self.sprung_kg, 1),
            ("unsprung mass", "kg", self.unsprung_kg, 1),
            ("unsprung share of what stands on the wheel", "%", self.unsprung_percent, 1),
            ("sag at rest, without friction", "% of travel", self._percent(self.sag_mm), 1),
            ("sag at rest, without friction", "mm", self.sag_mm, 1),
            ("natural frequency", "Hz", self.natural_hz, 2),
            ("wheel hop", "Hz", self.hop_hz, 1),
            ("damping ratio at sag", "", self.damping_ratio, 2),
        ]
        for what, sag in ((more, self.heavier_sag_mm), ("without the battery", self.no_battery_sag_mm)):
            if sag is not None:
                found.append((f"sag moves by, {what}", "points", self._percent(sag - self.sag_mm), 1))
        if self.heavier_damping is not None and self.damping_ratio is not None:
            found.append((f"damping ratio moves by, {more}", "", self.heavier_damping - self.damping_ratio, 3))
        return tuple(
            Figure(what=what, unit=unit, value=value, places=places, main=what in MAIN)
            for what, unit, value, places in found
            if value is not None
        )

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        found: Json = {
            "sprung_kg": self.sprung_kg,
            "unsprung_kg": self.unsprung_kg,
            "unsprung_percent": self.unsprung_percent,
            "load_n": self.load_n,
            "sag_mm": self.sag_mm,
            "sag_percent": self._percent(self.sag_mm),
            "sag_stroke_mm": 1e3 * self.sag_stroke_m,
            "natural_frequency_hz": self.natural_hz,
            "wheel_hop_hz": self.hop_hz,
            "damping_ratio": self.damping_ratio,
            "heavier_kg": self.heavier_kg,
            "heavier_sag_mm": self.heavier_sag_mm,
            "heavier_damping_ratio": self.heavier_damping,
            "battery_kg": self.battery_kg,
            "no_battery_sag_mm": self.no_battery_sag_mm,
        }
        return {key: value for key, value in found.items() if value is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class SagWish:
    """What gives a wished sag: a pressure; a spring rate with this preload; a preload with this rate.

    `wished` by the ride day itself; else it is a usual one. `told_in`: by key the unit that tables have in place of the
    metric one, for the day states it so, and how many metric ones it is.
    """

    percent: float
    pressure_bar: float | None
    rate_n_mm: float | None
    preload_mm: float | None
    wished: bool = False
    told_in: Mapping[str, tuple[str, float]] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Each that can be told."""
        found = (
            ("pressure", "air_pressure_bar", "bar", self.pressure_bar, 2),
            ("spring rate", "spring_rate_n_mm", "N/mm", self.rate_n_mm, 1),
            ("preload, this spring", "preload_mm", "mm", self.preload_mm, 1),
        )
        at = f"for {self.percent:g} % sag{AS_WISHED if self.wished else ''}"
        told = []
        for what, key, metric, value, digits in found:
            if value is None:
                continue
            unit, factor = self.told_in.get(key, (metric, 1.0))
            places = digits if unit == metric else 0
            main = self.wished or metric != "mm"
            told.append(Figure(what=f"{what} {at}", unit=unit, value=value / factor, places=places, main=main))
        return tuple(told)

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        found: Json = {"pressure_bar": self.pressure_bar, "rate_n_mm": self.rate_n_mm, "preload_mm": self.preload_mm}
        own: Json = {"sag_percent": self.percent, **({"wished": True} if self.wished else {})}
        return own | {key: value for key, value in found.items() if value is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class DampingWish:
    """What gives a wished damping ratio: force over speed at the shaft, how many times what it is now, the clicks.

    Clicks (or turns) from closed are None outside what was measured at two positions or more.
    """

    ratio: float
    compression_n_s_m: float
    rebound_n_s_m: float
    times_now: float
    compression_clicks: float | None = None
    rebound_clicks: float | None = None
    wished: bool = False

    @property
    def figures(self) -> tuple[Figure, ...]:
        """How many times what it is, and at which clicks where that was measured."""
        at = f"for a damping ratio of {self.ratio:g}{AS_WISHED if self.wished else ''}"
        clicks = (("compression", self.compression_clicks), ("rebound", self.rebound_clicks))
        found = (
            Figure(what=f"{way} {at}", unit="from closed", value=value, main=self.wished)
            for way, value in clicks
            if value is not None
        )
        own = Figure(what=f"damping {at}", unit="× what it is", value=self.times_now, places=2, main=self.wished)
        return (own, *found)

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        found: Json = {
            "compression_from_closed": self.compression_clicks,
            "rebound_from_closed": self.rebound_clicks,
        }
        return {
            "damping_ratio": self.ratio,
            **({"wished": True} if self.wished else {}),
            "compression_n_s_m": self.compression_n_s_m,
            "rebound_n_s_m": self.rebound_n_s_m,
            "times_now": self.times_now,
        } | {key: value for key, value in found.items() if value is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUp:
    """Where to begin, within the maker's limits."""

    sag: tuple[SagWish, ...]
    damping: tuple[DampingWish, ...]
    is_air: bool

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Pressure, rate and preload for each sag; damping for each ratio."""
        rows: tuple[SagWish | DampingWish, ...] = (*self.sag, *self.damping)
        return tuple(figure for row in rows for figure in row.figures)

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        return {"for_sag": [row.to_dict() for row in self.sag], "for_damping": [row.to_dict() for row in self.damping]}
