"""The handbook's worked example: its day is read, and the bench says what stands beside it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import telemetry
from telemetry.bench.one_end import end_of
from telemetry.bench.stated import stated_of
from telemetry.telling.bench import against_lines

PAGE = Path(__file__).parents[2] / "docs" / "bench.md"


def test_the_worked_example_gives_the_figures_beside_it(tmp_path: Path) -> None:
    text = PAGE.read_text(encoding="utf-8")
    example, *_ = re.findall(r"```toml\n(.*?)```", text, re.DOTALL)
    (tmp_path / "ride_day.toml").write_text(example, encoding="utf-8")
    day = telemetry.read_ride_day(tmp_path)
    ends = [end_of(stated_of(day, setup, "front")) for setup in day.setups.values()]
    told = [float(figure) for figure in re.findall(r"(\d+) N(?!/)", text[text.index("Pressed once and fast") :])]
    legs = [end.lower_legs for end in ends if end.lower_legs is not None]
    springs = [end.springs for end in ends if end.springs is not None]
    assert len(legs) == len(springs) == 2
    apart = springs[0].fast.total_n[-1] - springs[1].fast.total_n[-1]
    early = springs[0].slow.total_n[30] - springs[1].slow.total_n[30]
    found = [legs[0].sides_n[0], legs[1].sides_n[0], sum(legs[0].sides_n) - sum(legs[1].sides_n), apart, early]
    assert [round(figure) for figure in found] == told[: len(found)]
    (printed,) = re.findall(r"```text\n(.*?)```", text, re.DOTALL)
    assert [line for line in against_lines(telemetry.bench_of(day)) if line] == printed.splitlines()
    masses = [end.masses.sag_mm for end in ends if end.masses is not None]
    assert masses[1] - masses[0] == pytest.approx(0.5, abs=0.1)
