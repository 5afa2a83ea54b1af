"""Stated parts beside what a restoring-force map shows of them, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from telemetry.model.parts_checked import CheckedEnd, CheckedForce, Part
from telemetry.model.prediction import Predicted
from telemetry.words import figure, upper_first

from .forces import way_in_words

PARTS: tuple[Part, ...] = ("spring", "damper")
ASKS: dict[Part, str] = {
    "spring": "are pressure or spring and the masses what was written down?",
    "damper": "are clicks, oil and damper what was written down?",
}


def _where(force: CheckedForce) -> str:
    return f"{figure(force.at, 0)} % of travel" if force.part == "spring" else way_in_words(force.at)


def _range(forces: Sequence[CheckedForce]) -> str:
    """Return where a part is checked: "20 to 40 % of travel", "1.0 m/s compression to 0.3 m/s rebound"."""
    first, last = forces[0], forces[-1]
    if first.at == last.at:
        return f"at {_where(first)}"
    return f"from {figure(first.at, 0) if first.part == 'spring' else _where(first)} to {_where(last)}"


def _more(force: CheckedForce) -> tuple[float, float, float]:
    """Return how much more force than stated the trail shows, in %, and between what (90 %, as squares)."""
    stated, trail = abs(force.stated), abs(force.trail)
    softest, firmest = sorted((abs(force.trail_low), abs(force.trail_high)))
    own = (force.stated_high - force.stated_low) / 2
    low, high = trail - math.hypot(trail - softest, own), trail + math.hypot(firmest - trail, own)
    more, least, most = (100 * (value / stated - 1) for value in (trail, low, high))
    return more, least, most


def _apart(force: CheckedForce) -> float:
    return abs(math.log(abs(force.trail / force.stated)))


def _unfit(end: CheckedEnd, part: Part, unfit: Sequence[CheckedForce]) -> str:
    """Return where a part leaves its maps furthest and by how much; where it rides as stated that it may be chance."""
    force = max(unfit, key=_apart)
    more, least, most = _more(force)
    kind = "more" if more > 0 else "less"
    near, far = sorted((abs(least), abs(most)))
    mind = "; maps read up to two fifths too firm" if part == "damper" else ""
    shows = (
        f"{upper_first(end.end)}, {part}: the trail shows {figure(abs(more), 0)} % {kind} force at {_where(force)} "
        f"than the parts stated ({figure(near, 0)} to {figure(far, 0)}{mind}), and they"
    )
    if part in end.rides_by_map:
        return f"{shows} don't fit at {len(unfit)} of {len(end.of(part))} places: {ASKS[part]}"
    return f"{shows} fit elsewhere: that may be chance, it is ridden on paper as stated; {ASKS[part]}"


def _fit(end: CheckedEnd, part: Part, forces: Sequence[CheckedForce]) -> str:
    """Return that a part is as stated, and how closely that can be told."""
    wide = max(50 * (one.trail_high - one.trail_low) / abs(one.stated) for one in forces)
    return (
        f"{upper_first(end.end)}, {part}: the trail's force map fits the parts stated {_range(forces)}, "
        f"as far as it tells (± {figure(wide, 0)} % at worst)."
    )


def _by_map(end: CheckedEnd, part: Part) -> str:
    """Return that a part is ridden as its maps show it, and why."""
    lacking = {"spring": "for its springs aren't stated in full", "damper": "for its forces aren't stated"}
    why = "not as stated" if end.of(part) else lacking[part]
    return (
        f"{upper_first(end.end)}, {part}: ridden on paper as the trail's force map shows it, {why}; of another setup "
        "with what is stated to differ."
    )


def whose_parts(predicted: Predicted) -> str:
    """Return of which parts a ride on paper tells: of those stated, and of those that ride by a force map."""
    by_map = any(end.rides_by_map for end in predicted.parts_checked)
    return "parts as stated and as force maps show them" if by_map else "parts as stated"


def unfit_in_words(end: CheckedEnd) -> dict[Part, str]:
    """Return of each part that parts from its maps where it does most, and by how much."""
    unfit = {part: [force for force in end.of(part) if not force.fits] for part in PARTS}
    return {part: _unfit(end, part, forces) for part, forces in unfit.items() if forces}


def checked_in_words(end: CheckedEnd) -> CheckedEnd:
    """Return a checked end that says in sentences whether stated parts and the trail go together."""
    unfit = unfit_in_words(end)
    told = []
    for part in PARTS:
        told += [unfit.get(part) or _fit(end, part, end.of(part))] if end.of(part) else []
        told += [_by_map(end, part)] if part in end.rides_by_map else []
    told += [f"{upper_first(end.end)}: not checked against the trail's force map; {why}." for why in end.unchecked]
    return replace(end, sentences=tuple(told))
