"""`one_row_alone`: what a slow log shows in one row alone counts, and is said."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from telemetry.trust.one_row import alone_past
from tests.thresholds import threshold
from tests.trust.one_run import FRONT_FULL_MM, Day, assert_says, codes, ridden, the_one, told, working

ALONE_MM = threshold("trust.one_row.ALONE_SHARE") * FRONT_FULL_MM


def with_peak(rate_hz: float, *readings_mm: float) -> np.ndarray:
    """Return travel that works, with these readings about 20 s."""
    travel = working(40.0, rate_hz=rate_hz)
    at = round(20 * rate_hz)
    travel[at : at + len(readings_mm)] = readings_mm
    return travel


@pytest.mark.parametrize("rate_hz", [50.0, 100.0, 190.0])
def test_a_bottom_out_of_one_row_counts_and_is_said(tmp_path: Path, rate_hz: float) -> None:
    """A hit that the rows around show, too: no glitch."""
    travel = with_peak(rate_hz, 90.0, 130.0, 159.0, 140.0, 118.0, 100.0, 85.0)
    run = ridden(tmp_path, travel, working(40.0, rate_hz=rate_hz), Day(rate_hz=rate_hz))
    finding = the_one(run, "one_row_alone")
    assert (finding.severity, finding.end) == ("warning", "front")
    assert finding.second == pytest.approx(20 + 2 / rate_hz)
    assert_says(finding, "run_1", "156.8 mm", "once in one row alone", "159.0 mm", "19.0 mm above", "log faster")
    assert run.value("bottom_outs", "front") == 1.0


def test_two_rows_are_not_one_and_200_rows_a_second_not_slow(tmp_path: Path) -> None:
    for place, (rate_hz, rows) in enumerate([(100.0, (159.0, 158.5)), (200.0, (159.0,))]):
        travel = with_peak(rate_hz, 90.0, 130.0, *rows, 140.0, 118.0, 100.0, 85.0)
        run = ridden(tmp_path / str(place), travel, working(40.0, rate_hz=rate_hz), Day(rate_hz=rate_hz))
        assert not told(run, "one_row_alone")
        assert run.value("bottom_outs", "front") == 1.0


@pytest.mark.parametrize(("above_mm", "is_told"), [(ALONE_MM - 0.1, False), (ALONE_MM + 0.1, True)])
def test_a_deepest_point_stands_so_far_above_the_rows_beside_it(
    tmp_path: Path, above_mm: float, *, is_told: bool
) -> None:
    travel = with_peak(100.0, 95.0, 110.0, 120.0, 120.0 + above_mm, 118.0, 105.0, 90.0)
    run = ridden(tmp_path, travel, working(40.0, rate_hz=100.0), Day(rate_hz=100.0))
    assert bool(told(run, "one_row_alone")) is is_told


def test_a_glitch_to_full_scale_is_neither_a_bottom_out_nor_a_fast_return(tmp_path: Path) -> None:
    """Two rows at 100 a second: a return of a few hundred mm/s was read as faster, bottom-outs from none as two."""
    clean = working(40.0, rate_hz=100.0)
    spoilt = clean.copy()
    for place in (700, 1333, 1900, 2222, 2801, 3333):
        spoilt[place : place + 2] = 159.0
    before = ridden(tmp_path / "clean", clean, clean, Day(rate_hz=100.0))
    after = ridden(tmp_path / "spoilt", spoilt, clean, Day(rate_hz=100.0))
    assert codes(after) - codes(before) == {"slow_glitches", "spikes"}
    for measure in ("bottom_outs", "hard_bottom_outs"):
        assert after.value(measure, "front") == before.value(measure, "front") == 0.0
    for measure in ("rebound_speed_p95", "rebound_speed_10_per_min", "dynamic_sag", "travel_max"):
        assert after.value(measure, "front") == pytest.approx(before.value(measure, "front"), rel=5e-3)


def test_beside_a_gap_a_sample_has_one_neighbour() -> None:
    travel = np.array([0.0, 160.0, 160.0, 0.0, 160.0, 0.0, 160.0])
    assert alone_past(travel, 157.0, ((0, 7),)) == [4, 6]
    assert alone_past(travel, 157.0, ((0, 2), (2, 7))) == [1, 2, 4, 6]
