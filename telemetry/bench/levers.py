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
    """The leverage of a rear, as measured or drawn; no leverage where none is stated.

    Attributes
    ----------
    leverage : Leverage or None
    curve : LeverageTable or None
        In place of the curve as measured, of a draw.
    """

    leverage: Leverage | None
    curve: LeverageTable | None = None

    def of(self, end: EndSetup) -> EndSetup:
        """Return a rear with this curve."""
        if self.curve is None:
            return end
        return replace(end, leverage=self.curve, full_travel_mm=self.curve.travel_mm[-1])


class Levers:
    """The levers of rears that share a curve."""

    def __init__(self, end: EndSetup) -> None:
        found = leverage_of(end)
        self._drawn = None if found is None else drawn_curves(end, found.stroke_mm, DRAWS)
        if found is not None and self._drawn is not None:
            found = with_bands(found, self._drawn)
        self.as_measured = Lever(found)

    def drawn(self, draw: int) -> Lever:
        """Return the lever of one draw; as measured where it isn't known how well that was."""
        own = self.as_measured
        if self._drawn is None or own.leverage is None or not len(self._drawn[0]):
            return own
        travel, ratio = (curves[draw % len(curves)] for curves in self._drawn)
        return Lever(replace(own.leverage, travel_mm=travel, ratio=ratio), _table(own.leverage.stroke_mm, travel))


def _table(stroke_mm: Floats, travel_mm: Floats) -> LeverageTable | None:
    if (travel_mm[1:] <= travel_mm[:-1]).any():
        return None
    return LeverageTable(stroke_mm=tuple(stroke_mm.tolist()), travel_mm=tuple(travel_mm.tolist()), source="drawn")


def levers_of(ends: Mapping[str, EndSetup]) -> dict[str, Levers]:
    """Return the levers of each setup's rear; setups with one curve share what it takes to work them out."""
    made: dict[tuple[object, ...], Levers] = {}
    found = {}
    for name, end in ends.items():
        ratio = end.settings.get("ratio")
        which = id(end.linkage), end.leverage, end.stroke_mm, None if ratio is None else ratio.plus_minus
        if which not in made:
            made[which] = Levers(end)
        found[name] = made[which]
    return found
