"""A marker's presses are found whatever the logger writes for one, each once."""

from __future__ import annotations

import gzip
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from telemetry.errors import LogError
from telemetry.logs import read_log
from telemetry.logs.presses import presses_s
from telemetry.model.day import LogOptions
from telemetry.model.sensor import MarkerSensor

RATE_HZ = 100


def write(path: Path, cells: list[str], delimiter: str = ",", decimal: str = ".") -> Path:
    rows = [delimiter.join(["t", "A0", "M"])]
    for place, cell in enumerate(cells):
        time, travel = f"{place / RATE_HZ:.2f}", f"{20 + place % 7 + 0.5:.1f}"
        rows.append(delimiter.join([time.replace(".", decimal), travel.replace(".", decimal), cell]))
    text = "\n".join(rows) + "\n"
    if path.suffix == ".gz":
        path.write_bytes(gzip.compress(text.encode()))
    else:
        path.write_text(text, encoding="utf-8")
    return path


def found(path: Path, equals: float | str, column: str = "M") -> list[float]:
    marker = MarkerSensor(name="button", column=column, equals=equals)
    return read_log(path, needed=["A0"], options=LogOptions(), markers=[marker]).presses["button"].tolist()


def cells(down: str, up: str, *presses: tuple[int, int]) -> list[str]:
    return [down if any(a <= place < b for a, b in presses) else up for place in range(600)]


@pytest.mark.parametrize(("down", "up"), [("1", "0"), ("1.0", "0.0"), ("1", ""), ("1.00", "0"), ("+1", "-1")])
def test_a_number_however_it_is_written(tmp_path: Path, down: str, up: str) -> None:
    path = write(tmp_path / "run.csv", cells(down, up, (100, 130), (300, 301)))
    assert found(path, 1.0) == pytest.approx([1.0, 3.0])


@pytest.mark.parametrize(("down", "up"), [("LAP", ""), ("LAP", "lap"), ("pressed", "LAPSE")])
def test_a_text_letter_by_letter(tmp_path: Path, down: str, up: str) -> None:
    path = write(tmp_path / "run.csv", cells(down, up, (100, 130)))
    assert found(path, down) == pytest.approx([1.0])


def test_decimal_commas(tmp_path: Path) -> None:
    path = write(tmp_path / "run.csv", cells("2,5", "0,0", (200, 210)), ";", ",")
    assert found(path, 2.5) == pytest.approx([2.0])


def test_packed_logs(tmp_path: Path) -> None:
    path = write(tmp_path / "run.csv.gz", cells("1", "0", (200, 210)))
    assert found(path, 1.0) == pytest.approx([2.0])


def test_a_bouncing_button_is_pressed_once(tmp_path: Path) -> None:
    path = write(tmp_path / "run.csv", cells("1", "0", (100, 103), (105, 108), (110, 140), (155, 200)))
    assert found(path, 1.0) == pytest.approx([1.0, 1.55])


def test_down_in_the_first_row_is_no_press(tmp_path: Path) -> None:
    path = write(tmp_path / "run.csv", cells("1", "0", (0, 50), (300, 310)))
    assert found(path, 1.0) == pytest.approx([3.0])
    assert found(write(tmp_path / "stuck.csv", cells("1", "0", (0, 600))), 1.0) == []


def test_a_press_in_a_row_that_is_left_out_counts_for_the_next(tmp_path: Path) -> None:
    path = write(tmp_path / "run.csv", cells("1", "0", (300, 310)))
    lines = path.read_text(encoding="utf-8").splitlines()
    for place in range(300, 304):
        time, _, mark = lines[place + 1].split(",")
        lines[place + 1] = f"{time},,{mark}"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert found(path, 1.0) == pytest.approx([3.04])


def test_a_column_that_is_not_there_is_named(tmp_path: Path) -> None:
    path = write(tmp_path / "run.csv", cells("1", "0", (300, 310)))
    with pytest.raises(LogError, match="'N'"):
        found(path, 1.0, "N")


@given(st.lists(st.booleans(), min_size=1, max_size=300))
def test_presses_rise_and_keep_their_distance(pressed: list[bool]) -> None:
    times = np.arange(len(pressed)) / 20.0
    at = presses_s(np.array(pressed), times)
    assert np.all(np.diff(at) >= 0.5)
    for moment in at:
        place = round(moment * 20)
        assert pressed[place]
        assert not pressed[place - 1]
