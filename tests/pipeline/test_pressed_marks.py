"""Presses of a marker share the trail into sections, where every run has as many."""

from __future__ import annotations

from pathlib import Path

import pytest

import telemetry
from tests.pipeline.small_days import RATE_HZ, make_day

SENSOR = '[sensors.button]\nkind = "marker"\ncolumn = "M"\nequals = 1\n'


def day(folder: Path, presses: dict[str, tuple[float, ...]], seconds: float = 40.0) -> Path:
    made = make_day(folder, ("a", "b"), seconds=seconds, extra=SENSOR)
    for name, times in presses.items():
        lines = (made / f"{name}.csv").read_text(encoding="ascii").splitlines()
        rows = [f"{lines[0]},M"]
        for place, line in enumerate(lines[1:]):
            down = any(at <= place / RATE_HZ < at + 0.2 for at in times)
            rows.append(f"{line},{int(down)}")
        (made / f"{name}.csv").write_text("\n".join(rows) + "\n", encoding="ascii")
    return made


def test_sections_lie_between_the_presses(tmp_path: Path) -> None:
    folder = day(tmp_path / "day", {"run_1": (5.0, 15.0, 35.0), "run_2": (6.0, 16.0, 36.0)})
    found = telemetry.compare(telemetry.read_ride_day(folder))
    assert found.sections == 2
    assert found.shared_by == "2 between 3 marks"
    analysis = telemetry.analyse(telemetry.read_ride_day(folder))
    times = [row for row in analysis.runs[0].measures if row.measure == "section_time"]
    assert [row.value for row in times] == pytest.approx([10.0, 20.0])
    assert "button 1" in str(times[0].part)
    assert any(step.stage == "marks" and "5.00, 15.00, 35.00 s" in step.words for step in analysis.runs[0].history)


def test_a_missing_press_makes_no_sections_and_is_told(tmp_path: Path) -> None:
    folder = day(tmp_path / "day", {"run_1": (5.0, 15.0, 35.0), "run_2": (6.0, 36.0)})
    found = telemetry.compare(telemetry.read_ride_day(folder))
    assert "equal shares" in found.shared_by
    (note,) = [item for item in found.fairness_findings if item.code == "marks_not_alike"]
    assert "run_1 has 3, run_2 2" in note.message


def test_written_marks_still_hold_where_presses_do_not(tmp_path: Path) -> None:
    folder = day(tmp_path / "day", {"run_1": (5.0, 15.0), "run_2": (6.0,)})
    file = folder / "ride_day.toml"
    marks = "".join(
        f'[[marks]]\nrun = "{run}"\nat_s = {at}\nname = "{name}"\n'
        for run in ("run_1", "run_2")
        for at, name in ((4.0, "gate"), (30.0, "bridge"))
    )
    file.write_text(file.read_text(encoding="utf-8") + marks, encoding="utf-8")
    found = telemetry.compare(telemetry.read_ride_day(folder))
    assert found.shared_by == "1 between 2 marks"
    assert [item.code for item in found.fairness_findings].count("marks_not_alike") == 1


def test_a_marker_never_pressed_is_told(tmp_path: Path) -> None:
    folder = day(tmp_path / "day", {"run_1": (), "run_2": ()})
    analysis = telemetry.analyse(telemetry.read_ride_day(folder))
    for run in analysis.runs:
        assert "marker_not_pressed" in {finding.code for finding in run.findings}
        assert run.usable != "ride again"
