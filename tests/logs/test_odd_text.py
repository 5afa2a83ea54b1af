"""Text that swallows, doubles or hides rows: stray quotes, doubled line ends, long prefaces, a header elsewhere."""

from __future__ import annotations

import codecs
import gzip
from pathlib import Path

import numpy as np
import pytest

from telemetry.encodings import text_encoding
from telemetry.errors import LogError
from telemetry.logs import read_log
from telemetry.model.day import LogOptions
from telemetry.model.log import Log

COUNT = 3000
ROWS = [f"{2 * row},{100 + row % 997},{row % 89}" for row in range(COUNT)]
HEADER = "t_ms,fork,shock"


def read(path: Path, text: str | bytes, options: LogOptions | None = None) -> Log:
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_log(path, needed=("fork", "shock"), options=options or LogOptions())


def joined(rows: list[str], end: str = "\n", header: str = HEADER) -> str:
    return end.join([header, *rows]) + end


def told(log: Log) -> list[str]:
    return [finding.code for finding in log.findings]


@pytest.mark.parametrize("place", [40, 1500, 2998])
@pytest.mark.parametrize("before", ["", "1", "12,", '"12","', "12,34,"])
def test_a_stray_quote_costs_its_own_row_alone(tmp_path: Path, place: int, before: str) -> None:
    rows = ROWS.copy()
    rows[place] = f'{before}"' + rows[place].removeprefix(before) if before in ("", "1") else f'{before}"5'
    log = read(tmp_path / "log.csv", joined(rows))
    kept = COUNT - log.time_s.shape[0]
    assert kept <= 1
    assert kept == 0 or told(log)  # a row that is left out is told
    assert log.columns["fork"][-1] == 100 + (COUNT - 1) % 997


def test_two_stray_quotes_far_apart_swallow_nothing(tmp_path: Path) -> None:
    rows = ROWS.copy()
    for place in (1000, 2000):
        first, second, third = rows[place].split(",")
        rows[place] = f'{first},"{second},{third}'
    log = read(tmp_path / "log.csv", joined(rows))
    (lost,) = [finding for finding in log.findings if finding.code == "missing_values"]
    assert "lacks 2 of 3000 readings" in lost.message
    assert lost.row == 1002
    assert log.time_s.shape[0] == COUNT - 2


def test_quoted_cells_are_read_as_ever(tmp_path: Path) -> None:
    rows = [",".join(f'"{cell}"' for cell in row.split(",")) for row in ROWS]
    log = read(tmp_path / "log.csv", joined(rows))
    assert told(log) == []
    np.testing.assert_array_equal(log.columns["shock"], np.arange(COUNT) % 89)


@pytest.mark.parametrize("packed", [False, True])
def test_line_ends_translated_twice(tmp_path: Path, *, packed: bool) -> None:
    data = joined(ROWS, "\r\r\n").encode()
    log = read(tmp_path / ("log.csv.gz" if packed else "log.csv"), gzip.compress(data) if packed else data)
    assert told(log) == []
    assert log.time_s.shape[0] == COUNT
    assert log.row_of(0) == 2


@pytest.mark.parametrize("lines", [10, 399, 401, 900])
@pytest.mark.parametrize("form", ["setting {}: value {}", "{} = {}", "# note {} {}", "channel;{};{};x;y"])
def test_a_long_preface(tmp_path: Path, lines: int, form: str) -> None:
    preface = [form.format(line, line) for line in range(lines)]
    log = read(tmp_path / "log.csv", "\n".join([*preface, HEADER, *ROWS]) + "\n")
    assert told(log) == []
    assert log.time_s.shape[0] == COUNT
    assert log.row_of(0) == lines + 2


def test_a_preface_that_looks_like_rows_needs_its_header_pinned(tmp_path: Path) -> None:
    preface = [f"{line},{line},{line}" for line in range(700)]
    text = "\n".join([*preface, HEADER, *ROWS]) + "\n"
    with pytest.raises(LogError, match=r"no column 'fork'|no header"):
        read(tmp_path / "log.csv", text)
    log = read(tmp_path / "log.csv", text, LogOptions(header_row=701))
    assert log.time_s.shape[0] == COUNT


def test_a_pinned_header_beyond_the_first_rows_is_told(tmp_path: Path) -> None:
    with pytest.raises(LogError, match=r"no row 9999 among the first .*header_row"):
        read(tmp_path / "log.csv", joined(ROWS[:100]), LogOptions(header_row=9999))


def test_a_first_line_of_70_kb(tmp_path: Path) -> None:
    log = read(tmp_path / "log.csv", "x" * 70_000 + "\n" + joined(ROWS))
    assert log.time_s.shape[0] == COUNT


@pytest.mark.parametrize("header", ["t_ms,shock,fork", "n,t_ms,fork,shock", "shock,fork,t_ms"])
def test_a_header_again_in_another_order_is_refused_with_its_row(tmp_path: Path, header: str) -> None:
    with pytest.raises(
        LogError, match=r"log\.csv, row 1502: found the header again, with the columns in another order"
    ):
        read(tmp_path / "log.csv", joined([*ROWS[:1500], header, *ROWS[1500:]]))


def test_the_same_header_again_is_a_note(tmp_path: Path) -> None:
    assert told(read(tmp_path / "log.csv", joined([*ROWS[:1500], HEADER, *ROWS[1500:]]))) == ["repeated_header"]


def test_a_cell_of_thousands_of_letters_is_shown_short(tmp_path: Path) -> None:
    rows = ROWS.copy()
    rows[900] = f"1800,{'z' * 5000},3"
    (lost,) = read(tmp_path / "log.csv", joined(rows)).findings
    assert len(lost.message) < 300
    assert "'zzzz" in lost.message


def test_a_clock_cell_that_is_no_time_is_shown(tmp_path: Path) -> None:
    rows = [f"09:00:{row / 500:06.3f},{row % 97},{row % 89}" for row in range(COUNT)]
    rows[900] = "noon,5,5"
    (lost,) = read(tmp_path / "log.csv", joined(rows, header="time,fork,shock")).findings
    assert "'noon'" in lost.message
    assert lost.row == 902


@pytest.mark.parametrize(
    "name", ["hex", "rot13", "base64", "zlib", "undefined", "idna", "punycode", "", "x" * 300, "utf-8\0", "no such"]
)
def test_a_codec_that_is_no_text_encoding_is_refused(tmp_path: Path, name: str) -> None:
    assert text_encoding(name) is None
    with pytest.raises(LogError, match="a text encoding"):
        read(tmp_path / "log.csv", joined(ROWS), LogOptions(encoding=name))


@pytest.mark.parametrize("name", ["utf-8", "utf-16", "utf-32-be", "cp1252", "latin-1", "cp037", "shift_jis", "utf-7"])
def test_text_encodings_are_known_by_any_of_their_names(tmp_path: Path, name: str) -> None:
    assert text_encoding(name) == codecs.lookup(name).name
    log = read(tmp_path / "log.csv", joined(ROWS).encode(name), LogOptions(encoding=name))
    assert log.time_s.shape[0] == COUNT
