"""Friction bands of settle recordings: their interval, their difference, what they make of a sag reading."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from telemetry.bench.friction import LEVEL, Settles, friction_changes, welch
from tests.cli.run_here import commanded
from tests.pipeline.setup_days import BAND_MM, make_setup_day

BEFORE = Settles(compressed_mm=(49.1, 47.8, 48.6), extended_mm=(40.2, 41.5))
AFTER = Settles(compressed_mm=(46.3, 46.9, 45.8, 46.4), extended_mm=(43.1, 42.2, 42.9))
TRUE_GROUPS = ((48, 0.7), (40, 1.0), (46, 0.3), (43, 0.6))


def test_a_bands_interval_is_that_of_welchs_test() -> None:
    found = welch(BEFORE.groups)
    test = stats.ttest_ind(BEFORE.compressed_mm, BEFORE.extended_mm, equal_var=False)
    expected = test.confidence_interval(confidence_level=LEVEL)
    assert found.value == pytest.approx(np.mean(BEFORE.compressed_mm) - np.mean(BEFORE.extended_mm))
    assert (found.low, found.high) == pytest.approx((expected.low, expected.high))


def test_a_single_settle_of_a_side_gives_no_interval() -> None:
    found = welch(Settles(compressed_mm=(48.0,), extended_mm=(41.0, 41.5)).groups)
    assert (found.value, found.low, found.high) == (pytest.approx(6.75), None, None)


def test_after_a_service_less_before_has_the_scatter_of_all_four() -> None:
    """Against draws of four normal groups: the interval holds the true difference in 90 %."""
    chance = np.random.default_rng(5)
    held = 0
    for _ in range(600):
        groups = [tuple(chance.normal(mean, sd, 4).tolist()) for mean, sd in TRUE_GROUPS]
        first = Settles(compressed_mm=groups[0], extended_mm=groups[1])
        other = Settles(compressed_mm=groups[2], extended_mm=groups[3])
        (change,) = friction_changes({("front", None): first}, {("front", None): other}, "after")
        assert change.difference_mm.low is not None
        assert change.difference_mm.high is not None
        held += change.difference_mm.low <= (46 - 43) - (48 - 40) <= change.difference_mm.high
    assert 0.87 < held / 600 < 0.94


def test_bands_of_another_load_are_not_compared() -> None:
    assert friction_changes({("front", "seated"): BEFORE}, {("front", None): AFTER}, "after") == ()


def test_recordings_give_the_band_and_half_of_it_to_a_sag_reading(tmp_path: Path) -> None:
    folder = make_setup_day(tmp_path)
    done = commanded("bench", folder, "--json")
    assert (done.returncode, done.stderr) == (0, "")
    setup = json.loads(done.stdout)["setups"]["a"]
    for end in ("front", "rear"):
        (band,) = setup[end]["friction"]["bands"]
        assert band["band_mm"]["value"] == pytest.approx(BAND_MM[end], abs=0.1)
        assert band["band_mm"]["low"] is None
        assert band["sag_reading_plus_minus_mm"] == pytest.approx(BAND_MM[end] / 2, abs=0.05)
    assert "Friction at rest" in commanded("bench", folder).stdout
