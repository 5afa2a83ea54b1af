"""The product against a plain second writing of the same definitions, on invented days in many layouts."""

from __future__ import annotations

from pathlib import Path

import pytest

import telemetry
from tests.plain.agreement import disagreements
from tests.plain.made_days import made_day

SEEDS = (1, 2, 3, 5, 6, 8, 9, 10, 11, 14, 19, 36)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_measure_is_what_the_plain_code_says(seed: int, tmp_path: Path) -> None:
    day = made_day(tmp_path, seed)
    answer = telemetry.analyse(telemetry.read_ride_day(tmp_path)).to_dict()
    assert len(answer["runs"]) == len(day.expected)
    assert list(disagreements(answer, day.expected)) == []
