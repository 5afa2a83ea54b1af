"""`slow_rate`: a log below 200 rows a second gives travel, its speeds carry a warning."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.trust.one_run import Day, assert_says, codes, ridden, the_one, told, working


@pytest.mark.parametrize("rate_hz", [198.0, 125.0, 100.0, 50.0])
def test_below_200(tmp_path: Path, rate_hz: float) -> None:
    travel = working(40.0, rate_hz=rate_hz)
    run = ridden(tmp_path, travel, travel, Day(rate_hz=rate_hz))
    finding = the_one(run, "slow_rate")
    assert finding.severity == "warning"
    assert_says(finding, "run_1", f"{rate_hz:.0f} rows a second", "limit 200", "speeds", "log faster")
    assert run.usable == "with care"
    assert run.value("compression_speed_p95", "front") is not None


@pytest.mark.parametrize("rate_hz", [200.0, 250.0, 500.0])
def test_from_200_on(tmp_path: Path, rate_hz: float) -> None:
    travel = working(40.0, rate_hz=rate_hz)
    assert not told(ridden(tmp_path, travel, travel, Day(rate_hz=rate_hz)), "slow_rate")


def test_stamps_rounded_to_milliseconds_do_not_make_200_slow(tmp_path: Path) -> None:
    travel = working(40.0, rate_hz=200.02)
    run = ridden(tmp_path, travel, travel, Day(rate_hz=200.02))
    assert codes(run, "warning", "error") == set()
