"""Rows that lack a reading are left out, and still took their time."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from telemetry.logs import read_log
from telemetry.model.day import LogOptions
from telemetry.model.log import Log


def written(path: Path, lacking: set[int], stamp: str | None) -> Log:
    """Write 2 s of a 500 Hz log that lacks some readings, and read it; `stamp` formats ms, None: no clock."""
    lines = ["t_ms;A0" if stamp else "A0"]
    for row in range(1000):
        reading = "" if row in lacking else str(100 + row)
        lines.append(f"{row * 2:{stamp}};{reading}" if stamp else reading or "nan")
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return read_log(path, needed=["A0"], options=LogOptions(rate_hz=None if stamp else 500.0))


@pytest.mark.parametrize("stamp", ["d", ".3f", None], ids=["whole_ms", "us", "no_clock"])
def test_a_few_lacking_rows_move_no_other_row(tmp_path: Path, stamp: str | None) -> None:
    log = written(tmp_path / "run.csv", {200, 201, 640}, stamp)
    assert log.rate_hz == pytest.approx(500.0)
    assert log.segments == ((0, 997),)
    assert not log.even  # the three holes need filling
    np.testing.assert_allclose(log.time_s, (log.columns["A0"] - 100) / 500, atol=1e-9)
    assert {found.code for found in log.findings} == {"missing_values"} | (set() if stamp else {"no_clock"})


@pytest.mark.parametrize("stamp", ["d", None], ids=["clock", "no_clock"])
def test_a_long_stretch_of_lacking_rows_is_a_gap(tmp_path: Path, stamp: str | None) -> None:
    log = written(tmp_path / "run.csv", set(range(400, 550)), stamp)
    assert log.segments == ((0, 400), (400, 850))
    assert log.gap_s == pytest.approx(0.302)
    assert log.time_s[400] == pytest.approx(1.1)
    assert "gap" in {found.code for found in log.findings}


def test_rows_of_another_sensor_in_between_do_not_upset_the_clock(tmp_path: Path) -> None:
    """A slow sensor's own rows lack the fork's reading; without them the clock is a straight line again."""
    rows = [(2.0 * k, f"{k}") for k in range(1000)] + [(200.0 * k + 0.5, "") for k in range(10)]
    lines = ["t_ms;A0", *(f"{time:.1f};{reading}" for time, reading in sorted(rows))]
    path = tmp_path / "run.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    log = read_log(path, needed=["A0"], options=LogOptions())
    assert log.even
    assert log.rate_hz == pytest.approx(500.0)


def test_stamps_coarser_than_rows_make_still_readings_no_copies(tmp_path: Path) -> None:
    lines = ["t_ms;A0"]
    for row in range(2000):
        reading = "" if 900 <= row < 908 else str(5 if row < 600 else row)
        lines.append(f"{row // 2};{reading}")
    path = tmp_path / "run.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    log = read_log(path, needed=["A0"], options=LogOptions())
    assert log.time_s.shape == (1992,)
    assert log.rate_hz == pytest.approx(2000.0, rel=1e-3)
    assert {found.code for found in log.findings} == {"missing_values", "rounded_clock"}


@pytest.mark.parametrize("row", [40, 9000])
def test_a_sector_of_zeros_spoils_its_row_and_no_other(tmp_path, row):
    lines = ["t_ms,A0", *(f"{2 * place},{900 + place % 50}" for place in range(12_000))]
    lines[row - 1] = lines[row - 1][:1] + "\0" * 512 + lines[row - 1][1:]
    path = tmp_path / "log.csv"
    path.write_text("\n".join(lines) + "\n", encoding="ascii")
    log = read_log(path, needed=("A0",), options=LogOptions())
    (finding,) = log.findings
    assert (finding.code, finding.row) == ("missing_values", row)
    assert log.columns["A0"].shape == (11_999,)
    assert "\0" not in finding.message
