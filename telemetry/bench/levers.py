"""A rear's leverage as measured, and drawn from what its points may be: one path of each, worked out once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from telemetry.model.arrays import Floats
from telemetry.model.bench_leverage import Leverage
from telemetry.model.day import EndSetup, LeverageTable

from .leverage import DRAWS, drawn_curves, leverage_of, with_bands


@dataclass(frozen=True, slots=True)
class Lever:
    """The rear of a setup with one curve: as measured or drawn; no leverage where none is stated."""

    end: EndSetup
    leverage: Leverage | None


class Levers:
    """The levers of one rear."""

    def __init__(self, end: EndSetup) -> None:
        found = leverage_of(end)
        self._drawn = None if found is None else drawn_curves(end, found.stroke_mm, DRAWS)
        if found is not None and self._drawn is not None:
            found = with_bands(found, self._drawn)
        self.as_measured = Lever(end, found)

    def drawn(self, draw: int) -> Lever:
        """Return the lever of one draw; as measured where it isn't known how well that was."""
        own = self.as_measured
        if self._drawn is None or own.leverage is None or not len(self._drawn[0]):
            return own
        travel, ratio = (curves[draw % len(curves)] for curves in self._drawn)
        leverage = replace(own.leverage, travel_mm=travel, ratio=ratio)
        return Lever(_with_curve(own.end, leverage.stroke_mm, travel), leverage)


def _with_curve(end: EndSetup, stroke_mm: Floats, travel_mm: Floats) -> EndSetup:
    if (travel_mm[1:] <= travel_mm[:-1]).any():
        return end
    table = LeverageTable(stroke_mm=tuple(stroke_mm.tolist()), travel_mm=tuple(travel_mm.tolist()), source="drawn")
    return replace(end, leverage=table, full_travel_mm=float(travel_mm[-1]))


def levers_of(ends: Mapping[str, EndSetup]) -> dict[str, Levers]:
    """Return the levers of each setup's rear; setups with one curve share what it takes to work them out."""
    made: dict[tuple[int, int, float | None], Levers] = {}
    found = {}
    for name, end in ends.items():
        which = id(end.linkage), id(end.leverage), end.stroke_mm
        found[name] = made.setdefault(which, made.get(which) or Levers(end))
    return found
