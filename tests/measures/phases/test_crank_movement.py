"""Movement with the cranks, from a wave of known height under trail noise."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.measures.missing import Missing
from telemetry.measures.phases.crank_movement import movement_a_turn
from telemetry.measures.phases.pedalling import Pedalled
from telemetry.measures.phases.slow import SlowClock
from tests.thresholds import threshold

CLOCK = SlowClock(100.0, ((0, 6000),))
AT_S = np.arange(6000) / 100.0
FEWEST = round(threshold("measures.phases.crank_movement.FEWEST_WINDOWS"))


def pedalled(windows: int, turn_s: float) -> Pedalled:
    starts = 1000 + 25 * np.arange(windows)
    return Pedalled(
        stretches=((1000, 1000 + 25 * windows),),
        windows=starts,
        turn_s=np.full(windows, turn_s),
        confidence="high",
        told_by="made",
    )


@pytest.mark.parametrize("noise_mm", [0.0, 3.0])
def test_movement_with_the_cranks_is_found_under_the_trail(noise_mm: float) -> None:
    turn = 2 * np.pi * AT_S / 0.8
    bob = 4.0 * np.sin(2 * turn) + 1.0 * np.cos(turn)
    rear = 45 + 0.5 * AT_S + bob + np.random.default_rng(3).normal(0.0, noise_mm, AT_S.shape)
    found = movement_a_turn(pedalled(60, 0.8), CLOCK, rear)
    assert found == pytest.approx(np.ptp(bob), rel=0.01 if not noise_mm else 0.08)


def test_a_few_windows_give_none() -> None:
    assert isinstance(movement_a_turn(pedalled(FEWEST, 0.8), CLOCK, AT_S), float)
    short = movement_a_turn(pedalled(FEWEST - 1, 0.8), CLOCK, AT_S)
    assert isinstance(short, Missing)
    assert "6 s of pedalling (at least 6 s needed)" in short.reason
