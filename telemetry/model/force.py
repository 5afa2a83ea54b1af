"""What spring and damper of one end push with, found from a ride: curves with bands, and the samples they rest on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np

from .arrays import Bools, Floats
from .finding import End

if TYPE_CHECKING:
    from .comparison import UsedRun

SpeedOf: TypeAlias = Literal["shaft", "wheel"]
TOLD_SPEEDS_M_S = (1.0, 0.3, 0.1, -0.1, -0.3, -1.0)
"""Where dampers are laid side by side: compression positive, in the order of tables."""
TOLD_DEPTHS_PCT = (10.0, 30.0, 50.0, 70.0, 90.0)
"""Where springs are, % of full travel."""
BAND_LEVEL = 0.10
"""Chance of missing the truth at one point of a band, both sides together: bands of 90 %."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ForceCurve:
    """Force against travel or speed, straight between its points; nothing is told beyond the outermost.

    Attributes
    ----------
    at : float array, shape (k,)
        Wheel travel, mm, or speed, m/s, increasing.
    per_kg, low, high : float arrays, shape (k,)
        N per kg that the end carries, and its band of 90 %.
    """

    at: Floats
    per_kg: Floats
    low: Floats
    high: Floats

    def value_at(self, place: float) -> float | None:
        """Return N per kg at a travel or speed; None beyond the outermost points."""
        if not self.at[0] <= place <= self.at[-1]:
            return None
        return float(np.interp(place, self.at, self.per_kg))


@dataclass(frozen=True, slots=True, kw_only=True)
class ForceCells:
    """Where the ride was, in travel and speed.

    Attributes
    ----------
    travel_edges_mm : float array, shape (t + 1,)
    speed_edges_m_s : float array, shape (s + 1,)
        Compression positive; of the damper's shaft where its motion is known, else of the wheel.
    seconds : float array, shape (t, s)
        Riding time within each cell.
    counted : bool array, shape (t, s)
        Cells that a map rests on; none where it is refused.
    """

    travel_edges_mm: Floats
    speed_edges_m_s: Floats
    seconds: Floats
    counted: Bools

    def to_dict(self) -> dict[str, object]:
        """Return the cells as they stand in JSON."""
        return {
            "travel_edges_mm": _rounded(self.travel_edges_mm, 2),
            "speed_edges_m_s": self.speed_edges_m_s.tolist(),
            "seconds": [_rounded(row, 3) for row in self.seconds],
            "counted": self.counted.tolist(),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class RiderBody:
    """How the rider's body follows the chassis, as a mass on legs and arms.

    Attributes
    ----------
    share : float
        Of what the end carries: what hangs on the rider's springs, 0 to 1.
    hz, damping : float
        Its own frequency and its share of critical damping.
    """

    share: float
    hz: float
    damping: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ForceMap:
    """Spring, damper and friction of one end in one run, found from travel and the chassis' acceleration.

    Attributes
    ----------
    spring : ForceCurve
        Upward at the wheel against wheel travel, mm: what the end carries at rest gives 9.81 N per kg.
    damper : ForceCurve
        Against speed, m/s, compression positive; positive resists compression, negative resists rebound, friction
        included. At the shaft where `speed_of` is "shaft", else at the wheel.
    speed_of : {"shaft", "wheel"}
    friction, friction_low, friction_high : float
        The part of `damper` that doesn't grow with speed, N per kg, and its band of 90 %.
    lag_ms : float
        By how much acceleration came after travel; taken out.
    rider : RiderBody or None
        None where bike and rider moved as one.
    cells : ForceCells
    minutes : float
        Riding time it rests on.
    explained : float
        Share of the chassis' acceleration that travel and speed explain, 0 to 1.
    limits : tuple of str
        What couldn't be taken out, in words.
    carried_kg : float or None
        What the end carries, as stated.
    """

    end: End
    full_travel_mm: float
    spring: ForceCurve
    damper: ForceCurve
    speed_of: SpeedOf
    friction: float
    friction_low: float
    friction_high: float
    lag_ms: float
    rider: RiderBody | None
    cells: ForceCells
    minutes: float
    explained: float
    limits: tuple[str, ...]
    carried_kg: float | None = None

    def spring_at(self, depth_pct: float) -> float | None:
        """Return the spring's N per kg at a depth, % of full travel; None where it wasn't ridden."""
        return self.spring.value_at(depth_pct / 100.0 * self.full_travel_mm)

    def to_dict(self) -> dict[str, object]:
        """Return the map as it stands in JSON."""
        rider = self.rider
        friction = {"n_per_kg": self.friction, "low": self.friction_low, "high": self.friction_high}
        return {
            "end": self.end,
            "refused": None,
            "spring": self._points(self.spring, "travel_mm"),
            "damper": self._points(self.damper, "speed_m_s"),
            "speed_of": self.speed_of,
            "friction": {name: round(value, 4) for name, value in friction.items()},
            "lag_ms": round(self.lag_ms, 2),
            "rider": None
            if rider is None
            else {"share": round(rider.share, 3), "hz": round(rider.hz, 3), "damping": round(rider.damping, 3)},
            "carried_kg": self.carried_kg,
            "minutes": round(self.minutes, 2),
            "explained": round(self.explained, 4),
            "limits": list(self.limits),
            "cells": self.cells.to_dict(),
        }

    def _points(self, curve: ForceCurve, what: str) -> list[dict[str, float | None]]:
        rows = zip(curve.at, curve.per_kg, curve.low, curve.high, strict=True)
        return [
            {
                what: round(float(at), 4),
                "n_per_kg": round(float(force), 4),
                "low": round(float(low), 4),
                "high": round(float(high), 4),
                "n": None if self.carried_kg is None else round(float(force) * self.carried_kg, 2),
            }
            for at, force, low, high in rows
        ]


@dataclass(frozen=True, slots=True, kw_only=True)
class NoForceMap:
    """An end with both sensors whose ride gives no map, and why; `cells` where they could be counted."""

    end: End
    reason: str
    cells: ForceCells | None = None

    def to_dict(self) -> dict[str, object]:
        """Return the refusal as it stands in JSON."""
        cells = None if self.cells is None else self.cells.to_dict()
        return {"end": self.end, "refused": self.reason, "cells": cells}


@dataclass(frozen=True, slots=True, kw_only=True)
class RunForces:
    """The maps of one run that takes part in a comparison."""

    run: UsedRun
    maps: tuple[ForceMap | NoForceMap, ...]


def _rounded(values: Floats, places: int) -> list[float]:
    return [round(value, places) for value in values.tolist()]
