"""What turned adjusters make of a damper: by forces that were measured at several positions, else by a usual factor."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from telemetry.bench.clicks import WAYS, Position, Way, measured_at, own_position, positions_of
from telemetry.bench.stated import Stated
from telemetry.mechanics.damper import DamperSide
from telemetry.model.setting import AdjusterPosition

LEAST_SHARE = 0.05
"""Of the firmest slope measured: a softer one is taken for as much, as logarithms need one."""
SAME_KEYS = {way: ("damper_oil_cst_40c", "valving", f"high_speed_{way}") for way in WAYS}
"""What two setups have to share for their forces to tell of a direction's clicks alone."""


@dataclass(frozen=True, slots=True)
class Turned:
    """What turning makes of a direction's slopes below and above the knee, by factors; in words too."""

    below: float = 1.0
    above: float = 1.0
    words: str = ""


def _at(clicks: Sequence[float], logs: Sequence[float], at: float) -> float:
    """Return a logarithm between two positions, beyond them as it goes on from the last two."""
    place = min(max(int(np.searchsorted(clicks, at)), 1), len(clicks) - 1)
    first, second = clicks[place - 1], clicks[place]
    return logs[place - 1] + (at - first) / (second - first) * (logs[place] - logs[place - 1])


def _share(clicks: Sequence[float], slopes: Sequence[float], turn: tuple[float, float]) -> float | None:
    """Return what turning makes of a slope, as a factor; None where no position has any."""
    most = max(slopes)
    if most <= 0:
        return None
    logs = [float(np.log(max(slope, LEAST_SHARE * most))) for slope in slopes]
    return float(np.exp(_at(clicks, logs, turn[1]) - _at(clicks, logs, turn[0])))


def _measured(positions: Sequence[Position], way: Way, knee_m_s: float, turn: tuple[float, float]) -> Turned | None:
    """Return what was measured of turning from one position to another; None where fewer than two are known."""
    sides = [own.damper.side(1 if way == "compression" else -1, knee_m_s) for own in positions]
    if len(positions) < 2:
        return None
    clicks = [own.from_closed for own in positions]
    below = _share(clicks, [0.0 if side is None else side.slope_below_n_s_m for side in sides], turn)
    above = _share(clicks, [0.0 if side is None else side.slope_above_n_s_m for side in sides], turn)
    if below is None and above is None:
        return None
    told = " and ".join(f"{at:g}" for at in clicks)
    beyond = "" if clicks[0] <= turn[1] <= clicks[-1] else ", and beyond them as it goes on there"
    words = f"by the forces measured at {told} {positions[0].unit} from closed{beyond}"
    return Turned(below or above or 1.0, above or below or 1.0, words)


def _usual(stated: Stated, position: AdjusterPosition, way: Way, turn: tuple[float, float]) -> Turned:
    """Return a usual turn: even steps of the logarithm from open to closed; of low speed, below the knee alone."""
    if not position.of:
        return Turned(words="not turned on paper: of how many in all isn't stated (of)")
    factor = float(max(stated.assumed("adjuster_range"), 1.0) ** ((turn[0] - turn[1]) / position.of))
    words = "by a usual range: forces were measured at one position, or at none"
    return Turned(factor, factor if stated.setup.value(way) is position else 1.0, words)


def _where_from(stated: Stated, base: Stated, way: Way) -> float | None:
    """Return at which position the forces stand that a setup goes by; None where nothing says."""
    points = stated.setup.value("damper_points")
    own = points is not None and points != base.setup.value("damper_points")
    named = None if points is None else measured_at(stated if own or _is_named(stated, way) else base, way)
    if named is not None:
        return named[0]
    position = own_position(stated if own else base, way)
    return None if position is None else position.from_closed


def _is_named(stated: Stated, way: Way) -> bool:
    return way in str(stated.setup.value("damper_points_at") or "").lower()


def turned(stated: Stated, base: Stated, others: Iterable[Stated], way: Way, side: DamperSide) -> Turned:
    """Return what it makes of a direction that a setup's adjuster stands elsewhere than where its forces are known.

    Parameters
    ----------
    stated : Stated
    base : Stated
        The baseline's end.
    others : iterable of Stated
        The same end of the day's setups, each with the forces that were measured of it.
    way : {"compression", "rebound"}
    side : DamperSide
        What its forces tell of the direction: the knee that all positions are taken to share.
    """
    position, at = own_position(stated, way), _where_from(stated, base, way)
    if position is None or at is None or position.from_closed == at:
        return Turned()
    turn = (at, position.from_closed)
    alike = [
        other
        for other in (base, stated, *others)
        if all(other.setup.value(key) == base.setup.value(key) for key in SAME_KEYS[way])
    ]
    measured = _measured(positions_of(alike)[way], way, side.knee_m_s, turn)
    return _usual(stated, position, way, turn) if measured is None else measured
