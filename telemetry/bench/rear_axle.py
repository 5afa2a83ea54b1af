"""Where the rear axle stands within the frame, topped out, with another link or another shock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from telemetry.mechanics.leverage import curve_of
from telemetry.mechanics.linkage import linkage_path
from telemetry.mechanics.photograph import ORIGIN
from telemetry.model.day import EndSetup
from telemetry.model.linkage import Linkage

Place = tuple[float, float]
NONE: Place = (0.0, 0.0)
SHOCK_UNKNOWN = "of one shock the length isn't known: shock_length_mm of both would tell where the rear axle stands"


@dataclass(frozen=True, slots=True)
class AxleMoved:
    """How far the rear axle moved within the frame, forward and up, and what has to be said of it."""

    mm: Place
    remark: str = ""


def topped_out(linkage: Linkage) -> dict[str, Place]:
    """Return where a linkage's points are, topped out with the shock that is fitted."""
    if linkage.shock_length_mm is None and not linkage.shock_offset_mm:
        return {**linkage.fixed, **linkage.moving}
    places = linkage_path(linkage, 1.0, steps=1).points_mm
    return {name: (float(at[0, 0]), float(at[0, 1])) for name, at in places.items()}


def from_bottom_bracket(end: EndSetup) -> Place | None:
    """Return the bottom bracket's place from the rear axle, forward and up; None where no linkage tells."""
    linkage = end.linkage
    if linkage is None or (linkage.photo is not None and ORIGIN not in linkage.fixed):
        return None
    x, y = topped_out(linkage)[linkage.axle]
    middle = linkage.fixed.get(ORIGIN, NONE)
    return middle[0] - x, middle[1] - y


def axle_moved(old: EndSetup, new: EndSetup) -> AxleMoved:
    """Return how far the rear axle moved from one setup to another, both topped out.

    Notes
    -----
    Of two linkages the axles' places themselves; where one is a photograph's, the points of the frame that both share
    are laid over each other first. Of a bare curve a shorter shock is one that begins further along it: straight up.
    """
    if old.linkage is not None and new.linkage is not None:
        return _by_points(old.linkage, new.linkage)
    if (old.linkage is None) != (new.linkage is None):
        return AxleMoved(NONE, "where the other link stands the rear axle topped out isn't known")
    lengths = [end.number("shock_length_mm") for end in (old, new)]
    if lengths.count(None) == 1:
        return AxleMoved(NONE, SHOCK_UNKNOWN)
    shorter = (lengths[0] or 0.0) - (lengths[1] or 0.0)
    shorter += (new.number("shock_offset_mm") or 0.0) - (old.number("shock_offset_mm") or 0.0)
    if old.leverage is None or not shorter:
        return AxleMoved(NONE)
    ratio = float(curve_of(old.leverage).ratio(np.array([0.0]))[0])
    return AxleMoved((0.0, ratio * shorter), "the rear axle is taken to go straight up")


def _by_points(old: Linkage, new: Linkage) -> AxleMoved:
    if old is new:
        return AxleMoved(NONE)
    before, after = topped_out(old), topped_out(new)
    moved = after
    if old.photo is not None or new.photo is not None:
        shared = [name for name in old.fixed if name in new.fixed]
        if not shared:
            return AxleMoved(NONE, "the two pictures share no point of the frame: the rear axle is taken to stay")
        moved = _laid_over(before, after, shared)
    axles = moved[new.axle], before[old.axle]
    return AxleMoved((axles[0][0] - axles[1][0], axles[0][1] - axles[1][1]))


def _laid_over(before: Mapping[str, Place], after: Mapping[str, Place], shared: list[str]) -> dict[str, Place]:
    """Return places turned and shifted so that shared points lie over each other as near as they can."""
    old, new = (np.array([complex(*at[name]) for name in shared]) for at in (before, after))
    sum_of = np.sum((old - old.mean()) * np.conj(new - new.mean()))
    turn = 1.0 if len(shared) == 1 or abs(sum_of) < 1.0 else sum_of / abs(sum_of)
    found = {name: (complex(*at) - new.mean()) * turn + old.mean() for name, at in after.items()}
    return {name: (float(at.real), float(at.imag)) for name, at in found.items()}
