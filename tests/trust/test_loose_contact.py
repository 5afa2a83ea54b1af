"""`loose_contact`: steps no wheel makes that are no spikes; `contact_lost_often` over four of them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.trust.one_run import RATE_HZ, assert_says, ridden, the_one, told, working

REAR = working(40.0)


def lost(places: tuple[int, ...], samples: int, level_mm: float = 155.0) -> np.ndarray:
    """Return working travel in which contact is lost for so many samples, the readings at one level."""
    travel = working(40.0)
    for place in places:
        travel[place : place + samples] = level_mm
    return travel


@pytest.mark.parametrize("samples", [4, 10, 100])
def test_a_loss_longer_than_a_spike_is_a_warning(tmp_path: Path, samples: int) -> None:
    run = ridden(tmp_path, lost((1230,), samples), REAR)
    finding = the_one(run, "loose_contact")
    assert (finding.severity, finding.end) == ("warning", "front")
    assert finding.row == 2 + 1230
    assert finding.second == pytest.approx(1230 / RATE_HZ)
    assert_says(finding, "run_1", "front", "2 steps", "10 m/s", f"{1230 / RATE_HZ:.2f} s", "check plug, cable")
    assert run.usable == "with care"


@pytest.mark.parametrize(("losses", "code"), [(2, "loose_contact"), (3, "contact_lost_often")])
def test_more_than_two_losses_forbid_a_verdict(tmp_path: Path, losses: int, code: str) -> None:
    places = tuple(1230 + 400 * n for n in range(losses))
    run = ridden(tmp_path, lost(places, 8), REAR)
    assert the_one(run, code).severity == "warning"
    assert not told(run, "contact_lost_often" if losses == 2 else "loose_contact")
    assert run.measures


def test_what_is_left_of_spikes_forbids_none(tmp_path: Path) -> None:
    """Four samples each: undone within five."""
    places = tuple(1230 + 400 * n for n in range(8))
    run = ridden(tmp_path, lost(places, 4), REAR)
    assert "16 steps" in the_one(run, "loose_contact").message


@pytest.mark.parametrize("samples", [1, 2, 3])
def test_a_spike_that_is_taken_out_is_none(tmp_path: Path, samples: int) -> None:
    run = ridden(tmp_path, lost((120 + 200 * 6,), samples), REAR)
    assert told(run, "spikes")
    assert not told(run, "loose_contact")
