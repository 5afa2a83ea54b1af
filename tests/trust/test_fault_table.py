"""A run of either trail and each of its faults; ``python -m tests.benchmarks.fault_table`` tries 102 of each."""

from __future__ import annotations

import pytest

from tests.benchmarks.fault_table import Batch, Condition, counted
from tests.benchmarks.made_faults import FAULTS, Trail

CODES = tuple({fault.code: None for fault in FAULTS})


@pytest.mark.parametrize(("trail", "rate_hz", "noise_mm"), [("bumps", 200.0, 0.25), ("jumps", 200.0, 0.05)])
def test_every_fault_is_told_and_the_clean_run_is_not(trail: Trail, rate_hz: float, noise_mm: float) -> None:
    condition = Condition(trail=trail, rate_hz=rate_hz, noise_mm=noise_mm)
    found = counted(Batch(condition=condition, runs=4, seed=7001, codes=CODES, spoilt=1))
    assert found.wrong == ()
    assert (found.warned, found.clean) == (0, 4)
    assert sum(tried for _, tried in found.caught.values()) == sum(fault.trail == trail for fault in FAULTS)
