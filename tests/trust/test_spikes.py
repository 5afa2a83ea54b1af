"""`spikes`: a note, or a warning over 0.1 % of samples."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.trust.one_run import assert_says, codes, ridden, the_one, told, working

REAR = working(40.0)
STEP_MM = 10_000 / 250  # a step of 10 m/s


def spiked(places: list[int], samples: int = 1, height_mm: float = 50.0) -> np.ndarray:
    """Return working travel with spikes of so many samples."""
    travel = working(40.0)
    for place in places:
        travel[place : place + samples] += height_mm
    return travel


def test_one_spike_is_a_note(tmp_path: Path) -> None:
    run = ridden(tmp_path, spiked([120]), REAR)
    finding = the_one(run, "spikes")
    assert (finding.severity, finding.end) == ("note", "front")
    assert finding.second == pytest.approx(120 / 250, abs=1e-9)
    assert finding.row == 2 + 120
    assert_says(finding, "run_1", "front", "1 sample in spikes", "0.01 %", "limit 0.1 %", "0.48 s", "check plug, cable")
    assert run.usable == "good"


@pytest.mark.parametrize(("height_mm", "expected"), [(STEP_MM + 2, True), (STEP_MM - 2, False)])
def test_only_steps_over_10_m_s(tmp_path: Path, height_mm: float, *, expected: bool) -> None:
    assert bool(told(ridden(tmp_path, spiked([150], 1, height_mm), REAR), "spikes")) is expected


def test_the_spike_is_taken_out_of_the_measures(tmp_path: Path) -> None:
    run, plain = ridden(tmp_path / "a", spiked([120], 3, 90.0), REAR), ridden(tmp_path / "b", working(40.0), REAR)
    assert run.value("travel_max", "front") == pytest.approx(plain.value("travel_max", "front"), abs=0.1)
    assert "beyond_travel" not in codes(run)


def test_the_shocks_spikes_are_judged_at_the_wheel(tmp_path: Path) -> None:
    finding = the_one(ridden(tmp_path, working(40.0), spiked([150], 2, STEP_MM + 2)), "spikes")
    assert finding.end == "rear"
