"""Where cells lie that hold no numbers: what to look for differs with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from telemetry.errors import LogError
from telemetry.logs import read_log
from telemetry.model.day import LogOptions

ROWS = 100


def written(folder: Path, bad: range | list[int], cell: str = "") -> Path:
    """Write a log of a hundred rows of which some, counted from 0, hold no number."""
    lines = ["t_ms,A0", *(f"{4 * row},{cell if row in bad else 100 + row}" for row in range(ROWS))]
    (folder / "run_1.csv").write_text("\n".join(lines) + "\n", encoding="ascii")
    return folder / "run_1.csv"


@pytest.mark.parametrize(
    ("bad", "where"),
    [
        (range(90, 100), "all at the end, from row 92 on"),
        (range(10), "all at the start, up to row 11"),
        (range(40, 45), "in one piece, from row 42 to row 46"),
        ([40], "in row 42 "),
        ([40, 60, 99], "between other rows, from row 42 to row 101"),
    ],
)
def test_missing_readings_say_where_they_lie(tmp_path: Path, bad: range | list[int], where: str) -> None:
    log = read_log(written(tmp_path, bad), needed=["A0"], options=LogOptions())
    (finding,) = [item for item in log.findings if item.code == "missing_values"]
    assert where in finding.message


def test_so_does_a_column_that_is_refused(tmp_path: Path) -> None:
    with pytest.raises(LogError, match=r"30 % of cells that are no numbers, all at the end, from row 72 on \('off'\)"):
        read_log(written(tmp_path, range(70, 100), "off"), needed=["A0"], options=LogOptions())
