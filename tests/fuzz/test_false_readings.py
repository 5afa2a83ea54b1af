"""Eight of the false readings; ``python -m tests.fuzz.false_readings`` tries two thousand."""

from __future__ import annotations

from collections import Counter

from tests.fuzz.false_readings import outcomes_of_day

TRIES = 8


def test_false_readings_that_move_a_measure_are_told_and_clean_runs_are_not() -> None:
    found, accused = outcomes_of_day(2, TRIES)
    assert accused == []
    kinds = Counter(outcome.kind for outcome in found)
    assert kinds["told"] > 0
    assert kinds["SILENT"] == 0
