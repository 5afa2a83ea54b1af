"""How much of an expected change came: what stance and pace hide in each row by itself, both ends together tell."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import t

from telemetry.bench.paper.share import CLEAR, PLACES, came, mixed
from telemetry.bench.paper.spread import Seen, Trials
from telemetry.model.measure import MeasureAt
from telemetry.model.share_came import ShareCame

DAYS = 300
EXPECTED = {("dynamic_sag", "front"): -0.3, ("travel_p95", "front"): -0.6}
"""Points; the rear stays."""


def trials(expected: dict[MeasureAt, float], rng: np.random.Generator, off: float = 0.05) -> dict[MeasureAt, Trials]:
    """Return rides on paper whose parts are off by a share of the change, alike in every row."""
    drawn = rng.normal(0, off, 24)
    found = {}
    for place in PLACES:
        change = expected.get(place, 0.0)
        by_parts = [float(change * one) for one in drawn]
        found[place] = Trials(by_run=[change] * 3, by_parts=by_parts, by_ground=[0.0] * 6, apart=0.1)
    return found


def day(true: float, rng: np.random.Generator) -> ShareCame:
    """Return what three runs of each tell where `true` of the expected change comes: stance moves both ends about."""
    own = mixed(trials(EXPECTED, rng))
    assert own is not None
    runs = []
    for candidate in (False, True):
        for _ in range(3):
            stance, noise = rng.normal(0, 0.4), rng.normal(0, 0.1, 4)
            values = [1 * stance, -1 * stance, 1.2 * stance, -1.2 * stance]
            moved = [true * EXPECTED.get(place, 0.0) * candidate for place in PLACES]
            told = dict(zip(PLACES, np.array(values) + noise + moved, strict=True))
            runs.append(sum(weight * told[place] for place, weight in own.weights.items()))
    first, second = np.array(runs[:3]), np.array(runs[3:])
    sd = math.sqrt((first.var(ddof=1) + second.var(ddof=1)) / 2 * 2 / 3)
    return came(own, Seen(float(second.mean() - first.mean()), float(t.ppf(0.95, 4)) * sd, 4))


def test_a_right_change_is_refused_on_one_day_in_twenty_at_most() -> None:
    rng = np.random.default_rng(5)
    days = [day(1.0, rng) for _ in range(DAYS)]
    refused = sum(not one.as_expected for one in days)
    assert refused / DAYS <= 0.05 + 2 * math.sqrt(0.05 * 0.95 / DAYS)
    held = sum(one.low <= 1 <= one.high for one in days)
    assert 0.85 <= held / DAYS <= 0.97


@pytest.mark.parametrize("true", [0.0, 3.0])
def test_what_did_not_come_and_what_came_thrice_is_told_though_stance_moves_each_row_as_far(true: float) -> None:
    rng = np.random.default_rng(6)
    days = [day(true, rng) for _ in range(100)]
    assert sum(not one.as_expected for one in days) >= 80
    assert np.median([one.share for one in days]) == pytest.approx(true, abs=0.1)
    assert {one.end for one in days} == {"front"}


def test_nothing_is_shared_where_parts_leave_it_open_whether_anything_comes() -> None:
    rng = np.random.default_rng(7)
    assert mixed(trials(EXPECTED, rng, off=1.5 / CLEAR)) is None
    assert mixed(trials({}, rng)) is None
    assert mixed({}) is None
