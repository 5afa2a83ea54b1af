"""Whether parts and masses go together: what ends push with on the mean must be what they carry."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TypeAlias

import numpy as np

from telemetry.model.finding import ENDS, End, Place
from telemetry.model.prediction import Load

Pushed: TypeAlias = Mapping[End, tuple[float, float]]
"""Of an end: the mean of what it pushes up with while ridden, and the weight that it carries at rest, N."""
ONE_END, BOTH_ENDS = 0.07, 0.03
"""By what share of the weight the mean force may differ from it in a ride, one standard deviation: brakes, slopes and
stance move load from one end to the other, turns add to both. Own choices, from simulated natural trails."""
CERTAIN = 2.6
"""Standard deviations: chance lets one fitting end in a hundred look unfit."""


def _ratio(pushed: Pushed, place: Place) -> float:
    own = [pushed[end] for end in ENDS if end in pushed and place in (end, "both")]
    return sum(force for force, _ in own) / sum(weight for _, weight in own)


def loads_of(stated: Sequence[Pushed], drawn: Sequence[Pushed]) -> tuple[Load, ...]:
    """Return each end's mean force over the weight it carries, and both ends' together.

    Parameters
    ----------
    stated : sequence of Pushed
        Of every run, by parts and masses as stated.
    drawn : sequence of Pushed
        By drawn ones: how well the ratio is known.
    """
    ends = [end for end in ENDS if end in stated[0]]
    places: list[Place] = [*ends, "both"] if len(ends) > 1 else list(ends)
    found = []
    for place in places:
        ratio = float(np.mean([_ratio(one, place) for one in stated]))
        spread = float(np.std([_ratio(one, place) for one in drawn])) if len(drawn) > 1 else 0.0
        half = CERTAIN * math.hypot(spread, BOTH_ENDS if place == "both" else ONE_END)
        found.append(Load(end=place, ratio=ratio, low=1 - half, high=1 + half))
    return tuple(found)
