"""A run of either trail and each of its faults; ``python -m tests.benchmarks.fault_table`` tries 102 of each."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.benchmarks.fault_table import FAULTS, Batch, Condition, counted
from tests.benchmarks.made_faults import Trail

HANDBOOK = Path(__file__).parents[2] / "docs" / "findings.md"
CODES = tuple({fault.code: None for fault in FAULTS})


@pytest.mark.parametrize(("trail", "rate_hz", "noise_mm"), [("bumps", 200.0, 0.25), ("jumps", 200.0, 0.05)])
def test_every_fault_is_told_and_the_clean_run_is_not(trail: Trail, rate_hz: float, noise_mm: float) -> None:
    condition = Condition(trail=trail, rate_hz=rate_hz, noise_mm=noise_mm)
    found = counted(Batch(condition=condition, runs=4, seed=7001, codes=CODES, spoilt=1))
    assert found.wrong == ()
    assert (found.warned, found.clean) == (0, 4)
    assert sum(tried for _, tried in found.caught.values()) == sum(fault.trail == trail for fault in FAULTS)


def test_the_handbook_has_a_row_of_each_fault() -> None:
    rows = re.findall(
        r"(?m)^\| (.+) \| (?:`(\w+)`|read right) \| (\w+) \| \d+ of \d+ \|$", HANDBOOK.read_text(encoding="utf-8")
    )
    assert rows == [(fault.words, fault.code, fault.least) for fault in FAULTS]
