"""`zero_shift` within a run: an end tops out at one level before, at another after."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from telemetry.model.analysis import RunAnalysis
from tests.trust.one_run import RATE_HZ, ridden, told, working

SECONDS = 40.0


def topping_out(levels_mm: list[float], seed: int = 1) -> np.ndarray:
    """Return travel that comes to rest for 0.2 s at each level in turn, evenly over the run."""
    travel = working(SECONDS, middle_mm=60.0) + 0.05 * np.random.default_rng(seed).standard_normal(
        round(SECONDS * RATE_HZ)
    )
    every, ramp, rest = travel.shape[0] // (len(levels_mm) + 1), 25, 50
    for number, level in enumerate(levels_mm, 1):
        at = number * every
        travel[at - ramp : at] = np.linspace(travel[at - ramp], level, ramp)
        travel[at : at + rest] = level
        travel[at + rest : at + rest + ramp] = np.linspace(level, travel[at + rest + ramp], ramp)
    return travel


def slips(run: RunAnalysis) -> list[str]:
    """Return the severities of findings of a slip, front."""
    return [item.severity for item in told(run, "zero_shift") if "slipped during the run" in item.message]


REAR = working(SECONDS)


@pytest.mark.parametrize(("by_mm", "severity"), [(2.5, "warning"), (-2.5, "warning"), (5.0, "error"), (-5.0, "error")])
def test_a_level_that_moves_is_a_slip(tmp_path: Path, by_mm: float, severity: str) -> None:
    """160 mm of travel: an error from 3.2 mm on. Levels before lie well above 0, that the later ones stay in range."""
    run = ridden(tmp_path, topping_out([6.0] * 4 + [6.0 + by_mm] * 4), REAR)
    assert slips(run) == [severity]
    message = next(item for item in told(run, "zero_shift") if "slipped" in item.message)
    assert message.second is not None
    assert SECONDS * 4 / 9 < message.second < SECONDS * 5 / 9
    assert f"{by_mm:+.2f}".replace("-", "−")[:4] in message.message


def test_two_levels_by_turns_are_none(tmp_path: Path) -> None:
    assert slips(ridden(tmp_path, topping_out([3.0, 8.0] * 4), REAR)) == []
