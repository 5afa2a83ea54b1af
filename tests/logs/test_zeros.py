"""Zero bytes to the end of a log: the logger lost power before it closed the file, and the rows before are good."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from telemetry.errors import LogError
from telemetry.logs import read_log, sketch_log
from telemetry.model.day import LogOptions, TimeColumn
from telemetry.model.finding import Finding
from telemetry.model.log import Log

OPTIONS = LogOptions(time=TimeColumn(column="t_ms", unit="ms"))
ROWS = 3000
GOOD = b"t_ms,fork\n" + b"".join(b"%d,%d\n" % (2 * i, 700 + i % 97) for i in range(ROWS))


def read(path: Path, data: bytes) -> Log:
    path.write_bytes(data)
    return read_log(path, needed=("fork",), options=OPTIONS)


def zeros_of(log: Log) -> Finding:
    (found,) = [finding for finding in log.findings if finding.code == "zeros_at_end"]
    return found


@pytest.mark.parametrize("count", [1, 511, 70_000, 5_000_000])
def test_the_rows_before_are_used_and_it_is_said(count: int, tmp_path: Path) -> None:
    log = read(tmp_path / "log.csv", GOOD + bytes(count))
    assert log.columns["fork"].tolist() == [700 + i % 97 for i in range(ROWS)]
    assert [(finding.code, finding.severity, finding.row) for finding in log.findings] == [
        ("zeros_at_end", "warning", ROWS + 2)
    ]
    assert f"log.csv: from row {ROWS + 2} on there are zero bytes only" in zeros_of(log).message


@pytest.mark.parametrize("cut", [1, 2, 5, 9])
def test_the_row_they_cut_is_not_read(cut: int, tmp_path: Path) -> None:
    """Its last cell may have lost digits: 2048 cut short reads 20."""
    log = read(tmp_path / "log.csv", GOOD[:-cut] + bytes(4096))
    assert log.time_s.shape == (ROWS - 1,)
    assert log.columns["fork"][-1] == 700 + (ROWS - 2) % 97
    assert zeros_of(log).row == ROWS + 1


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-8-sig", "utf-32", "cp1252"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("packed", [False, True])
def test_in_every_encoding_packed_or_not(encoding: str, end: str, packed: bool, tmp_path: Path) -> None:
    data = GOOD.decode().replace("\n", end).encode(encoding) + bytes(6_000)
    log = read(tmp_path / "log.csv", gzip.compress(data) if packed else data)
    assert log.time_s.shape == (ROWS,)
    assert zeros_of(log).row == ROWS + 2


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_the_zero_that_ends_a_letter_is_none_of_them(encoding: str, tmp_path: Path) -> None:
    log = read(tmp_path / "log.csv", GOOD.decode().encode(encoding))
    assert log.time_s.shape == (ROWS,)
    assert log.findings == ()


def test_a_hole_that_is_most_of_the_file_costs_nothing(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(GOOD)
    with path.open("ab") as file:
        file.truncate(1 << 28)
    log = read_log(path, needed=("fork",), options=OPTIONS)
    assert log.time_s.shape == (ROWS,)
    assert "268.4 MB of them" in zeros_of(log).message
    assert sketch_log(path).rows == ROWS


@pytest.mark.parametrize("size", [600, 100_000, 3_000_000])
def test_zeros_between_rows_spoil_the_row_they_stand_in(size: int, tmp_path: Path) -> None:
    half = GOOD.index(b"\n3000,") + 1
    log = read(tmp_path / "log.csv", GOOD[:half] + bytes(size) + GOOD[half:])
    assert log.time_s.shape == (ROWS - 1,)
    (told,) = log.findings
    assert (told.code, told.row) == ("missing_values", 1502)


@pytest.mark.parametrize("count", [1, 100, 1 << 20])
@pytest.mark.parametrize("read_it", [lambda path: read_log(path, needed=("fork",), options=OPTIONS), sketch_log])
def test_zeros_and_nothing_else_are_named(count: int, read_it, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(bytes(count))
    with pytest.raises(LogError, match=r"^log\.csv: found zero bytes and nothing else; .* lost power"):
        read_it(path)
    path.write_bytes(gzip.compress(bytes(count)))
    with pytest.raises(LogError, match=r"^log\.csv: found zero bytes and nothing else; .* lost power"):
        read_it(path)


def test_so_are_a_header_and_zeros(tmp_path: Path) -> None:
    with pytest.raises(LogError, match=r"no row of readings, then zero bytes; .* lost power"):
        read(tmp_path / "log.csv", b"t_ms,fork\n" + bytes(1 << 20))
