"""A hundred of the damaged days; ``python -m tests.fuzz.mutations`` tries ten thousand."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.fuzz.mutations import BAD, SECONDS, outcomes
from tests.pipeline.small_days import make_day

COUNT = 100


def test_no_damage_is_silent_slow_or_a_crash(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    original = make_day(tmp_path / "day", ("a", "b"), seconds=SECONDS)
    found = list(outcomes(range(50_000, 50_000 + COUNT), original, processes=1))
    bad = [f"{item.kind} {item.damage} (seed {item.seed}): {item.words}" for item in found if item.kind in BAD]
    assert bad == []
    assert capfd.readouterr().err == ""
    kinds = Counter(item.kind for item in found)
    assert min(kinds["refused"], kinds["told"], kinds["unmoved"], kinds["another file"]) > 5
