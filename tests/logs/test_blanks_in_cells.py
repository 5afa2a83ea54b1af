"""Blanks inside cells: dates and names hold them, and only a log parted by nothing else is parted by them."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from telemetry.logs import read_log
from telemetry.model.day import LogOptions


@pytest.mark.parametrize("delimiter", ["\t", ";", ",", "|"])
@pytest.mark.parametrize("form", ["{:%Y-%m-%d %H:%M:%S.%f}", "{:%d.%m.%Y %H:%M:%S.%f}", "{:%m/%d/%Y %I:%M:%S.%f %p}"])
@pytest.mark.parametrize("quote", ["", '"'])
def test_a_stamp_with_a_blank_stays_one_cell(delimiter, form, quote, tmp_path: Path):
    names = ["Time stamp", "Fork pot V", "Shock pot V"]
    lines = [delimiter.join(f"{quote}{name}{quote}" for name in names)]
    for row in range(3000):
        stamp = form.format(datetime(2026, 5, 16, 10, 0, row // 500, row % 500 * 2000))
        lines.append(delimiter.join(f"{quote}{cell}{quote}" for cell in (stamp, 500 + row % 97, 618.2)))
    path = tmp_path / "run.txt"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    log = read_log(path, needed=("Fork pot V", "Shock pot V"), options=LogOptions())
    np.testing.assert_array_equal(log.columns["Fork pot V"], 500.0 + np.arange(3000) % 97)
    assert log.rate_hz == pytest.approx(500.0)
    assert log.findings == ()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("lead", ["", "   ", "\t "])
def test_rows_that_begin_with_blanks_keep_their_columns_whatever_mark_stands_before(encoding, lead, tmp_path: Path):
    path = tmp_path / "run.txt"
    rows = [f"{lead}{row * 0.002:9.3f}  {row % 50:6d}   {row % 31:4d} " for row in range(2000)]
    path.write_text("\r\n".join(rows) + "\r\n", encoding=encoding)
    log = read_log(path, needed=(2, 3), options=LogOptions())
    np.testing.assert_array_equal(log.columns[2], np.arange(2000.0) % 50)
    np.testing.assert_array_equal(log.columns[3], np.arange(2000.0) % 31)
    assert log.findings == ()
