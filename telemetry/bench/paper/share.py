"""How much of an expected change came: sag and travel of both ends weighed into one number: stance falls out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.stats import t

from telemetry.model.arrays import Floats
from telemetry.model.finding import ENDS, End
from telemetry.model.measure import MeasureAt
from telemetry.model.prediction import LEVEL
from telemetry.model.share_came import ShareCame

from .spread import Seen, Trials, chance_apart, variances

SCATTER_POINTS = {"dynamic_sag": 0.4, "travel_p95": 0.53}
"""How runs of one setup scatter, one standard deviation, points of full travel. With their correlations from 42 runs on
seven simulated natural trails; what is off in them costs sharpness, and never makes a share wrong."""
ALIKE = {("dynamic_sag", "travel_p95"): 0.92}
ACROSS = {
    ("dynamic_sag", "dynamic_sag"): -0.99,
    ("dynamic_sag", "travel_p95"): -0.9,
    ("travel_p95", "travel_p95"): -0.74,
}
"""Correlations at one end and from end to end: who stands further forward loads the front and unloads the rear."""
TRUSTED = 0.9
"""Of these correlations: a rider who shifts less than simulated ones has them lower. Own choice."""
SHARE_LEVEL = 0.05
"""Chance by which a share would be said not to be 1 where it is; own choice."""
CLEAR = 2.0
"""Standard deviations that the expected change itself has to be, to be shared; own choice."""
PLACES: tuple[MeasureAt, ...] = tuple((measure, end) for measure in SCATTER_POINTS for end in ENDS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mixed:
    """Rows weighed into one number: each one's weight, and what is expected of it with one standard deviation.

    The runs' own spread isn't in it: that stands in what is measured. `end` is the one that is to move most.
    """

    weights: Mapping[MeasureAt, float]
    change: float
    sd: float
    end: End


def _correlation(one: MeasureAt, other: MeasureAt) -> float:
    if one == other:
        return 1.0
    pair = tuple(sorted((one[0], other[0])))
    return TRUSTED * (ALIKE if one[1] == other[1] else ACROSS)[pair[0], pair[1]]


def _scatter(places: list[MeasureAt]) -> Floats:
    sd = np.array([SCATTER_POINTS[measure] for measure, _ in places])
    return np.array([[_correlation(one, other) for other in places] for one in places]) * np.outer(sd, sd)


def _weighed(weights: Floats, every: list[list[float]]) -> list[float]:
    return [float(value) for value in weights @ np.array(every)] if every[0] else []


def mixed(rows: Mapping[MeasureAt, Trials]) -> Mixed | None:
    """Return sag and travel weighed so that a change like the expected one stands out most; None where none is clear.

    Parameters
    ----------
    rows : mapping of (measure, end) to Trials
        In points of full travel.

    Notes
    -----
    A matched filter: w = S⁻¹ e, with e the expected changes and S the covariance by which runs of one setup scatter. S
    isn't taken from the day's own runs: weights that follow their luck would make chance look sure.
    """
    places = [place for place in PLACES if place in rows]
    every = [rows[place] for place in places]
    drawn = {(len(row.by_run), len(row.by_parts), len(row.by_ground), len(row.again)) for row in every}
    if len(drawn) != 1:
        return None
    expected = np.array([float(np.mean(row.by_run)) for row in every])
    weights = np.linalg.solve(_scatter(places), expected)
    firsts, seconds = ([[pair[at] for pair in row.again] for row in every] for at in (0, 1))
    together = Trials(
        by_run=_weighed(weights, [list(row.by_run) for row in every]),
        by_parts=_weighed(weights, [list(row.by_parts) for row in every]),
        by_ground=_weighed(weights, [list(row.by_ground) for row in every]),
        again=list(zip(_weighed(weights, firsts), _weighed(weights, seconds), strict=True)),
        apart=0.0,
    )
    parts, ground, *_ = variances(together, "")
    model = sum(
        weight**2 * variances(row, measure)[3] for weight, row, (measure, _) in zip(weights, every, places, strict=True)
    )
    change, sd = float(weights @ expected), math.sqrt(parts + ground + model)
    if not change > CLEAR * sd:
        return None
    most = places[int(np.argmax(np.abs(expected)))]
    end: End = "front" if most[1] == "front" else "rear"
    return Mixed(weights=dict(zip(places, weights.tolist(), strict=True)), change=change, sd=sd, end=end)


def came(own: Mixed, seen: Seen) -> ShareCame:
    """Return how much of what is expected came.

    Parameters
    ----------
    own : Mixed
    seen : Seen
        What was measured of the same rows by the same weights.

    Notes
    -----
    The measured number over the expected one, its 90 % interval by Student's t at the freedom of the measured one. It
    isn't as expected where 1 is less likely than one day in twenty.
    """
    sure = float(t.ppf(1 - LEVEL / 2, seen.nu))
    share = seen.change / own.change
    half = math.hypot(seen.half / own.change, sure * share * own.sd / own.change)
    return ShareCame(
        share=share,
        low=share - half,
        high=share + half,
        as_expected=chance_apart(own.change, own.sd, seen) >= SHARE_LEVEL,
        end=own.end,
    )
