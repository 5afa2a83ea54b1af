"""What a log that can't be read gets: one line that names file, place, what was found and what to do."""

import gzip
import json
import os
import re
import subprocess
import sys
import textwrap
from pathlib import Path

import numpy as np
import pytest

from telemetry.errors import LogError
from telemetry.logs import read_log, sketch_log
from telemetry.model.day import LogOptions, TimeColumn
from tests.forked import LONGEST_S, done

DAY = """
    [ride_day]
    date = 2026-05-16
    [bike.front]
    travel_mm = 170
    [sensors.fork]
    kind = "displacement"
    end = "front"
    column = "fork"
    points = [[0, 0.0], [4000, 170.0]]
    [setups.a]
    [[runs]]
    log = "good.csv"
    setup = "a"
    [[runs]]
    log = "bad.csv"
    setup = "a"
"""
GOOD = ["t_ms,fork,shock", *(f"{2 * i},{700 + i % 50},{900 - i % 30}" for i in range(400))]


def text(lines):
    return ("\n".join(lines) + "\n").encode()


def with_cells(place, share, cell):
    """Return the good log with a share of one column's cells replaced."""
    lines = list(GOOD)
    for row in range(1, 1 + round(share * (len(GOOD) - 1))):
        cells = lines[row].split(",")
        cells[place] = cell
        lines[row] = ",".join(cells)
    return text(lines)


def with_times(time_of):
    return text(["t_ms,fork,shock", *(f"{time_of(i)},{700 + i % 50},5" for i in range(400))])


def damaged(data):
    packed = bytearray(gzip.compress(data, mtime=0))
    packed[len(packed) // 2] ^= 0xFF
    return bytes(packed)


BAD = {
    "empty": (b"", "an empty file"),
    "blank": (b"\n\n  \n\n", "no rows"),
    "comments only": (b"# a\n# b\n", "no rows"),
    "header only": (b"t_ms,fork,shock\n", "no row of readings"),
    "header only, cr lf": (b"t_ms,fork,shock\r\n", "no row of readings"),
    "words only": (b"t_ms,fork\nnone,none\n" * 30, "no row of readings"),
    "one row": (text(GOOD[:2]), "no column that runs like a clock|1 whole row;"),
    "binary": (bytes(range(256)) * 40, "binary data"),
    "binary without zeros": (bytes(byte for byte in range(1, 256)) * 40, "binary data"),
    "picture": (b"\x89PNG\r\n\x1a\n" + np.random.default_rng(1).bytes(4000), "binary data"),
    "archive": (b"PK\x03\x04" + np.random.default_rng(2).bytes(4000), "binary data"),
    "no such column": (
        text(line.replace("fork", "Forkk") for line in GOOD),
        "no column 'fork'; expected one of t_ms, Forkk, shock. Did you mean 'Forkk'",
    ),
    "column twice": (text(line.replace("shock", "fork") for line in GOOD), "2 columns named 'fork'"),
    "no header": (text(GOOD[1:]), "no header, so no column 'fork'"),
    "cells empty": (with_cells(1, 0.25, ""), "column 'fork', row 2: found 25 % of cells that are no numbers"),
    "cells words": (with_cells(1, 0.25, "err"), "are no numbers, all at the start, up to row 101 .'err'"),
    "cells nan": (with_cells(1, 1.0, "nan"), "100 % of cells that are no numbers"),
    "clock constant": (with_times(lambda _: 17), "no column that runs like a clock|the same time in every row"),
    "clock descending": (with_times(lambda i: 9000 - 2 * i), "no column that runs like a clock|backwards throughout"),
    "gzip cut short": (gzip.compress(text(GOOD) * 50, mtime=0)[:-300], "a damaged .gz file"),
    "gzip damaged": (damaged(text(GOOD) * 50), "a damaged .gz file"),
    "gzip of nothing": (gzip.compress(b"", mtime=0), "no rows|an empty file"),
    "gzip of bytes": (gzip.compress(bytes(range(256)) * 40, mtime=0), "binary data"),
    "zeros only": (bytes(5000), "zero bytes and nothing else"),
    "a header and zeros": (b"t_ms,fork,shock\n" + bytes(5000), "no row of readings, then zero bytes"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_log_that_cannot_be_read_is_refused_in_one_line(name, tmp_path):
    data, expected = BAD[name]
    path = tmp_path / "bad.csv"
    path.write_bytes(data)
    with pytest.raises(LogError, match=r"^bad\.csv\b.*found .*expected ") as caught:
        read_log(path, needed=("fork",), options=LogOptions())
    assert re.search(expected, caught.value.line)
    assert "\n" not in caught.value.line
    assert caught.value.remedy


@pytest.mark.parametrize(
    ("time_of", "expected"),
    [(lambda _: 17, "the same time in every row"), (lambda i: 9000 - 2 * i, "time that runs backwards throughout")],
)
@pytest.mark.parametrize("unit", ["ms", None])
def test_a_named_clock_that_does_not_run_is_refused(time_of, expected, unit, tmp_path):
    path = tmp_path / "bad.csv"
    path.write_bytes(with_times(time_of))
    with pytest.raises(LogError, match=expected):
        read_log(path, needed=("fork",), options=LogOptions(time=TimeColumn(column="t_ms", unit=unit)))


def test_a_named_clock_of_words_is_refused_by_its_column_and_row(tmp_path):
    path = tmp_path / "bad.csv"
    path.write_bytes(with_cells(0, 0.25, "late"))
    with pytest.raises(LogError, match=r"bad\.csv, column 't_ms', row 2: found 25 % of cells that are no numbers"):
        read_log(path, needed=("fork",), options=LogOptions(time=TimeColumn(column="t_ms", unit="ms")))


def test_a_clock_whose_unit_cannot_be_told_asks_for_it(tmp_path):
    path = tmp_path / "bad.csv"
    path.write_bytes(text(["time,fork", *(f"{7e7 * i:.0f},{i}" for i in range(100))]))
    with pytest.raises(LogError, match="State the unit"):
        read_log(path, needed=("fork",), options=LogOptions())


def test_a_fifth_of_bad_cells_is_still_read(tmp_path):
    path = tmp_path / "bad.csv"
    path.write_bytes(with_cells(1, 0.2, "err"))
    log = read_log(path, needed=("fork",), options=LogOptions())
    assert log.columns["fork"].shape == (320,)


@pytest.mark.parametrize("number", [0, 4, -1])
def test_a_column_number_outside_the_log_is_refused(number, tmp_path):
    path = tmp_path / "bad.csv"
    path.write_bytes(text(GOOD))
    with pytest.raises(LogError, match=f"column {number}; expected a number from 1 to 3"):
        read_log(path, needed=(number,), options=LogOptions())


def test_an_unknown_encoding_is_refused(tmp_path):
    path = tmp_path / "bad.csv"
    path.write_bytes(text(GOOD))
    with pytest.raises(LogError, match="encoding 'utf-99'"):
        read_log(path, needed=("fork",), options=LogOptions(encoding="utf-99"))


def test_a_gz_name_without_gzip_data_is_refused(tmp_path):
    path = tmp_path / "bad.csv.gz"
    path.write_bytes(text(GOOD))
    with pytest.raises(LogError, match=r"bad\.csv\.gz: found no gzip data"):
        read_log(path, needed=("fork",), options=LogOptions())


def test_gzip_data_without_a_gz_name_is_read(tmp_path):
    path = tmp_path / "log.csv"
    path.write_bytes(gzip.compress(text(GOOD), mtime=0))
    assert read_log(path, needed=("fork",), options=LogOptions()).columns["fork"].shape == (400,)


@pytest.mark.parametrize("kind", ["missing", "folder", "fifo", "link to nothing", "device"])
def test_what_is_no_ordinary_file_is_refused_without_waiting(kind, tmp_path):
    path = tmp_path / "bad.csv"
    if kind == "folder":
        path.mkdir()
    elif kind == "fifo":
        os.mkfifo(path)
    elif kind == "link to nothing":
        path.symlink_to(tmp_path / "gone.csv")
    elif kind == "device":
        path.symlink_to("/dev/zero")
    found = {"folder": "a folder", "fifo": "no ordinary file", "device": "no ordinary file"}.get(kind, "no such file")
    for attempt in (lambda: read_log(path, needed=("fork",), options=LogOptions()), lambda: sketch_log(path)):
        with pytest.raises(LogError, match=rf"^bad\.csv: found {found}"):
            attempt()


def assert_one_line(ended, *words):
    assert ended.returncode == 2, ended.stderr
    (line,) = ended.stderr.splitlines()
    assert "Traceback" not in line
    for word in words:
        assert word in line


@pytest.fixture
def day(tmp_path):
    (tmp_path / "ride_day.toml").write_text(textwrap.dedent(DAY), encoding="utf-8")
    (tmp_path / "good.csv").write_bytes(text(GOOD))
    return tmp_path


@pytest.mark.parametrize(
    ("command", "name"),
    [("check", "empty"), ("analyse", "binary"), ("check", "no such column"), ("analyse", "gzip damaged")],
)
def test_the_command_says_one_line_and_leaves_with_2_also_among_good_logs(command, name, day):
    (day / "bad.csv").write_bytes(BAD[name][0])
    ended = done(command, day, "--json")
    assert_one_line(ended, "bad.csv", "expected")
    if command == "check":
        told = {run["log"]: run["findings"] for run in json.loads(ended.stdout)["runs"]}
        assert [finding["code"] for finding in told["bad.csv"]] == ["log_unreadable"]
        assert all(finding["code"] != "log_unreadable" for finding in told["good.csv"])


@pytest.mark.parametrize("kind", ["missing", "fifo"])
def test_the_command_refuses_what_is_no_file(kind, day):
    if kind == "fifo":
        os.mkfifo(day / "bad.csv")
    ended = done("analyse", day, "--json")
    assert ended.returncode == 2
    (line,) = ended.stderr.splitlines()
    assert "bad.csv" in line
    assert "Traceback" not in line


def test_a_log_bigger_than_memory_is_refused_before_it_is_read(day):
    with (day / "bad.csv").open("wb") as file:
        file.write(text(GOOD))
        for _ in range(40):
            file.write(b"9000,700,900\n" * 80_000)
    assert_one_line(done("analyse", day, "--json", "--max-memory", "500MB"), "bad.csv", "fits in memory")


LITTLE_LEFT = """
import resource, sys
from pathlib import Path
from telemetry.errors import LogError
from telemetry.logs import read_log
from telemetry.model.day import LogOptions

good, bad = map(Path, sys.argv[1:])
read_log(good, needed=("fork",), options=LogOptions())
held = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
resource.setrlimit(resource.RLIMIT_AS, (held + (60 << 20),) * 2)
try:
    read_log(bad, needed=("fork",), options=LogOptions())
except LogError as error:
    print(error.line)
"""


def test_a_packed_log_bigger_than_memory_is_refused_in_words(day):
    with gzip.open(day / "bad.csv", "wb", compresslevel=1) as file:
        file.write(b"t_ms,fork,shock\n")
        for start in range(0, 3_000_000, 50_000):
            file.write(b"".join(b"%d,%d,100000000\n" % (2 * i, i % 4000) for i in range(start, start + 50_000)))
    words = [sys.executable, "-c", LITTLE_LEFT, str(day / "good.csv"), str(day / "bad.csv")]
    ended = subprocess.run(words, capture_output=True, text=True, timeout=LONGEST_S, check=False)
    assert ended.stderr == ""
    assert re.match(r"bad\.csv: found (too little memory|readings that take [0-9.]+ GB of memory)", ended.stdout)


def test_a_broken_letter_in_a_row_of_too_many_cells_is_told_and_prints_nothing(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """The parser can't hand on a row it can't decode, and would leave it out without a word."""
    path = tmp_path / "run.csv"
    rows = [f"{place * 4},{100 + place % 50}".encode() for place in range(500)]
    rows[200] = b"800,\xbc5,17"
    path.write_bytes(b"t_ms,A0\n" + b"\n".join(rows) + b"\n")
    log = read_log(path, needed=["A0"], options=LogOptions())
    assert {finding.code for finding in log.findings} >= {"ragged_rows"}
    assert [finding.row for finding in log.findings if finding.code == "ragged_rows"] == [202]
    assert capfd.readouterr().err == ""
