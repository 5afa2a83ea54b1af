"""Eight of the false readings; ``python -m tests.fuzz.false_readings`` tries two thousand."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.fuzz import false_readings
from tests.fuzz.false_readings import SETUPS, SimulatedDay, outcomes_of_day, scenario_text

TRIES, ABBA = 8, 12


def test_false_readings_that_move_a_measure_are_told_and_clean_runs_are_not() -> None:
    found, accused = outcomes_of_day(2, TRIES)
    assert accused == []
    kinds = Counter(outcome.kind for outcome in found)
    assert kinds["told"] > 0
    assert kinds["fair"] == TRIES // 4
    assert kinds["SILENT"] == kinds["ACCUSED"] == 0


def test_a_strong_change_of_damping_alone_accuses_no_sensor(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Rebound and compression at both ends, in the order ABBA."""
    first, second = ("\n".join(changes) for changes in zip(*SETUPS[-2:], strict=True))
    monkeypatch.setattr(false_readings, "SETUPS", ((first, second),))
    assert second in scenario_text(ABBA)
    made = SimulatedDay(tmp_path / "day", ABBA)
    assert [run.setup for run in made.day.runs] == ["oil_20", "oil_8", "oil_8", "oil_20"]
    assert [item for run in made.studied for item in run.findings if item.severity != "note"] == []
