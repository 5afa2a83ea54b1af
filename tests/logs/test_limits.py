"""Logs made to take memory or time: read in little of both, or refused at once; larger ones in `tests.fuzz.limits`."""

from __future__ import annotations

import gzip
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from telemetry import memory
from telemetry.errors import LogError
from telemetry.logs import read_log, reading, source, text, unpacking
from telemetry.model.day import LogOptions, TimeColumn
from telemetry.model.log import Log
from tests.forked import done

OPTIONS = LogOptions(time=TimeColumn(column="t_ms", unit="ms"))
ROWS = 3000
GOOD = b"t_ms,fork,shock\n" + b"".join(b"%d,%d,%d\n" % (2 * i, 700 + i % 97, 900 - i % 89) for i in range(ROWS))
MUCH = 6_000_000


def read(path: Path, data: bytes, options: LogOptions = OPTIONS) -> Log:
    path.write_bytes(data)
    return read_log(path, needed=("fork", "shock"), options=options)


def codes(log: Log) -> list[str]:
    return [finding.code for finding in log.findings]


HELD = """
import sys
from pathlib import Path
from telemetry.errors import LogError
from telemetry.logs import read_log
from telemetry.model.day import LogOptions, TimeColumn

def held(key):
    with open("/proc/self/status") as status:
        return next(int(line.split()[1]) * 1024 for line in status if line.startswith(key))

def read(name):
    try:
        return str(read_log(Path(name), needed=("fork",), options=options).time_s.shape[0])
    except LogError as error:
        return error.found

options = LogOptions(time=TimeColumn(column="t_ms", unit="ms"))
read(sys.argv[1])
for name in sys.argv[2:]:
    Path("/proc/self/clear_refs").write_text("5")  # the peak counts from now on
    before = held("VmRSS")
    answer = read(name)
    print(name, held("VmHWM") - before, answer, sep="|")
if "pandas" in sys.modules:  # 60 MB of its own, and longer to load than a log takes to read
    sys.exit("a log was read with pandas")
"""
LITTLE = {
    "blank": b"\n",
    "CR LF": b"\r\n",
    "comments": b"#\n",
    "short": b"1,2,3\n",
    "quotes": b'""""""\n',
    "cells": b",,\n",
}
"""What a log may be made of, and hardly holds anything."""


def test_no_packed_log_takes_over_twenty_times_its_unpacked_size(tmp_path: Path) -> None:
    good = tmp_path / "good.csv"
    good.write_bytes(GOOD)
    for name, line in LITTLE.items():
        data = GOOD + line * (MUCH // len(line))
        (tmp_path / f"{name}.csv.gz").write_bytes(gzip.compress(data, compresslevel=1, mtime=0))
    (tmp_path / "utf.csv.gz").write_bytes(gzip.compress((GOOD + b"\n" * (MUCH // 2)).decode().encode("utf-16"), 1))
    logs = sorted(tmp_path.glob("*.gz"))
    ended = subprocess.run(
        [sys.executable, "-c", HELD, str(good), *map(str, logs)], capture_output=True, text=True, check=False
    )
    assert ended.returncode == 0, ended.stderr
    found = {
        Path(name).name: (int(held), answer)
        for name, held, answer in (line.split("|") for line in ended.stdout.splitlines())
    }
    assert len(found) == len(logs)
    assert {name: held / MUCH for name, (held, _) in found.items() if held > 20 * MUCH} == {}
    assert {found[f"{name}.csv.gz"][1] for name in ("blank", "CR LF", "comments", "utf")} == {str(ROWS)}


@pytest.mark.parametrize("size", ["4", "100MB", "GB", "-4GB", "4 XB", "nan GB", ""])
def test_a_ceiling_that_is_none_is_refused_in_one_line(size: str) -> None:
    command = [sys.executable, "-c", "from telemetry.cli import main; main()", "check", ".", f"--max-memory={size}"]
    ended = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (ended.returncode, ended.stdout) == (2, "")
    assert (
        ended.stderr == f"telemetry: --max-memory: found {size!r}; expected a size from 0.5 GB on with its unit, "
        "such as 4GB or 800MB\n"
    )


MORE = 100_000_000
ROOM = f"""
import resource
from pathlib import Path
from telemetry import memory
ceiling = int(Path("/proc/self/statm").read_text().split()[1]) * resource.getpagesize() + 500_000_000
memory.state_ceiling(ceiling)
first = memory.room()
more = bytearray(b"1") * {MORE}
then = memory.room()
memory.state_ceiling(1)
print(ceiling, first, then, memory.room())
"""


class TestRoom:
    def test_half_of_what_is_free_without_a_ceiling(self) -> None:
        memory.state_ceiling(None)
        free = next(
            int(line.split()[1]) * 1024
            for line in Path("/proc/meminfo").read_text(encoding="ascii").splitlines()
            if line.startswith("MemAvailable")
        )
        room = memory.room()
        assert room is not None
        assert room == pytest.approx(free / 2, rel=0.3)  # other programs run meanwhile

    def test_what_a_ceiling_leaves_beyond_what_is_held(self) -> None:
        """Of a process of its own: nothing else takes or gives back memory there."""
        ceiling, first, then, none = map(int, done(code=ROOM).stdout.split())
        assert first < ceiling
        assert first - then == pytest.approx(MORE, rel=0.1)
        assert none == 0


NASTY = "\n".join(
    [
        "# made by hand",
        "t_ms,fork,shock,note",
        *(
            {
                5: f"{2 * i},{700 + i % 97},{900 - i % 89}",
                7: f'{2 * i},"{700 + i % 97}",{900 - i % 89},"a, b"',
                11: f"{2 * i},{700 + i % 97},{900 - i % 89},ok,5,6\n\n   \n# a word",
                13: f"{2 * i},err,{900 - i % 89},°",
                17: f'{2 * i},"{700 + i % 97},{900 - i % 89},ok',
                19: f"{2 * i},{700 + i % 97},,ok",
            }.get(i % 23, f"{2 * i},{700 + i % 97},{900 - i % 89},ok")
            for i in range(1500)
        ),
        "t_ms,fork,shock,note",
        *(f"{2 * i},{700 + i % 97},{900 - i % 89},ok" for i in range(1500, 3000)),
        "",
    ]
)


@pytest.mark.parametrize("size", [600, 4096, 50_001])
@pytest.mark.parametrize(
    "written",
    [
        NASTY.encode,
        lambda: NASTY.replace("\n", "\r\n").encode(),
        lambda: NASTY.replace("\n", "\r").encode(),
        lambda: NASTY.encode("utf-16"),
        lambda: NASTY.encode("cp1252"),
        lambda: gzip.compress(NASTY.replace(",", "\t").encode()),
    ],
    ids=["LF", "CR LF", "CR", "UTF-16", "cp1252", "packed"],
)
def test_a_log_reads_the_same_however_it_is_cut_into_pieces(
    written: Callable[[], bytes], size: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = read(tmp_path / "log.csv", written())
    monkeypatch.setattr(text, "PIECE_BYTES", size)
    cut = read(tmp_path / "log.csv", written())
    assert {name: column.tolist() for name, column in cut.columns.items()} == {
        name: column.tolist() for name, column in whole.columns.items()
    }
    assert cut.time_s.tolist() == whole.time_s.tolist()
    assert cut.source_rows is not None
    assert whole.source_rows is not None
    assert cut.source_rows.tolist() == whole.source_rows.tolist()
    assert [finding.message for finding in cut.findings] == [finding.message for finding in whole.findings]
    assert set(codes(whole)) >= {"ragged_rows", "missing_values", "repeated_header"}
    lines = NASTY.splitlines()
    for place in (0, 700, -1):  # rows are the file's own
        row = lines[int(whole.source_rows[place]) - 1].replace('"', "").split(",")
        assert (float(row[1]), float(row[2])) == (whole.columns["fork"][place], whole.columns["shock"][place])


class TestPastSaving:
    def test_a_large_log_of_words_is_refused_by_rows_from_all_over_it(self, tmp_path: Path) -> None:
        data = GOOD + b"1234,err,5\n" * 1_000_000
        with pytest.raises(
            LogError,
            match=r"column 'fork', in 64 places all over it: found 9[0-9] % of cells that are no numbers \('err'\)",
        ):
            read(tmp_path / "log.csv", data)

    def test_what_is_sound_for_the_most_part_is_read_to_its_end(self, tmp_path: Path) -> None:
        rows = [b"%d,%s,5\n" % (2 * i, b"err" if i % 6 == 0 else b"700") for i in range(900_000)]
        log = read(tmp_path / "log.csv", b"t_ms,fork,shock\n" + b"".join(rows))
        assert log.time_s.shape == (750_000,)
        (lost,) = [finding.message for finding in log.findings if finding.code == "missing_values"]
        assert "lacks 150000 of 900000 readings (17 %, refused above 20 %)" in lost
        assert "between other rows, from row 2 to row 899996 ('err')" in lost

    def test_a_large_log_whose_clock_stands_is_refused_by_them_too(self, tmp_path: Path) -> None:
        with pytest.raises(LogError, match=r"column 't_ms'.*the same time in every row"):
            read(tmp_path / "log.csv", b"t_ms,fork,shock\n" + b"17,700,5,\n" * 20_000 + b"17,700,5\n" * 1_200_000)

    def test_rows_too_many_for_the_memory_are_refused_by_them(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(reading, "ALWAYS_SAMPLED_BYTES", 1 << 20)
        monkeypatch.setattr(reading, "SAMPLED_BYTES", 1 << 20)
        monkeypatch.setattr(memory, "room", lambda: 50_000_000)
        monkeypatch.setattr(text.LogText, "pieces", lambda *_: pytest.fail("read beyond a sample"))
        with pytest.raises(LogError, match=r"readings that take 0\.2[0-9] GB of memory, with 0\.05 GB to take"):
            read(tmp_path / "log.csv", GOOD + b"9000,700,900\n" * 1_200_000)

    def test_more_memory_than_in_reason_for_a_packed_size_is_refused(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(reading, "PACKED_LEAST", 1_000)
        data = b"fork,shock\n" + b"1,2\n" * 200_000
        options = LogOptions(rate_hz=1000)
        assert read(tmp_path / "log.csv", data, options).time_s.shape == (200_000,)
        with pytest.raises(LogError, match=r"readings that take .* expected a log that fits in memory\. Unpack it"):
            read(tmp_path / "log.csv.gz", gzip.compress(data), options)


class TestLongLines:
    @pytest.mark.parametrize("before", [0, 1, 60, ROWS])
    @pytest.mark.parametrize("letter", [b"a", b"1", b" ", b'"'])
    def test_a_line_no_row_has_is_named_with_its_row(self, before: int, letter: bytes, tmp_path: Path) -> None:
        lines = GOOD.splitlines(keepends=True)
        long = letter * 400_000
        with pytest.raises(LogError, match=rf"^log\.csv, row {before + 1}: found a line of over 256 kB; expected rows"):
            read(tmp_path / "log.csv", b"".join([*lines[:before], long, b"\n", *lines[before:]]))
        with pytest.raises(LogError, match=rf"^log\.csv, row {before + 1}: found a line of over 256 kB; expected rows"):
            read(tmp_path / "log.csv", b"".join([*lines[:before], long * 8]))

    def test_so_is_one_of_too_many_cells(self, tmp_path: Path) -> None:
        with pytest.raises(LogError, match=r"row 1: found a line of over 256 kB \(300001 cells\)"):
            read(tmp_path / "log.csv", (b"1," * 300_000 + b"1\n") * 3)

    @pytest.mark.parametrize(("columns", "refused"), [(4096, False), (4097, True)])
    def test_columns_are_counted(self, columns: int, refused: bool, tmp_path: Path) -> None:
        names = b",".join([b"t_ms", b"fork", b"shock", *(b"c%d" % number for number in range(columns - 3))])
        rows = [b"%d,%d,%d" % (2 * i, 700 + i % 97, 900 - i % 89) + b",1" * (columns - 3) for i in range(120)]
        data = b"\n".join([names, *rows]) + b"\n"
        if refused:
            with pytest.raises(LogError, match=r"row 1: found over 4096 cells in a row; expected 4096 columns at most"):
                read(tmp_path / "log.csv", data)
        else:
            assert read(tmp_path / "log.csv", data).columns["shock"].shape == (120,)


class TestPacked:
    def test_many_parts_are_one_log(self, tmp_path: Path) -> None:
        lines = GOOD.splitlines(keepends=True)
        parts = [gzip.compress(b"".join(lines[start : start + 7])) for start in range(0, len(lines), 7)]
        log = read(tmp_path / "log.csv.gz", b"".join(parts))
        assert log.time_s.shape == (ROWS,)
        padded = gzip.compress(b"").join(part + bytes(700) for part in parts)
        assert read(tmp_path / "log.csv.gz", padded).columns["fork"].tolist() == log.columns["fork"].tolist()

    @pytest.mark.parametrize("after", [b"x", b"\x1f\x8b", gzip.compress(GOOD)[:-1], gzip.compress(GOOD)[:200]])
    def test_what_follows_and_is_no_whole_part_is_damage(self, after: bytes, tmp_path: Path) -> None:
        with pytest.raises(LogError, match=r"a damaged \.gz file"):
            read(tmp_path / "log.csv.gz", gzip.compress(GOOD) + after)

    def test_a_wrong_check_sum_is_damage(self, tmp_path: Path) -> None:
        packed = bytearray(gzip.compress(GOOD))
        packed[-6] ^= 1
        with pytest.raises(LogError, match=r"a damaged \.gz file"):
            read(tmp_path / "log.csv.gz", bytes(packed))

    def test_parts_without_end_are_refused(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(unpacking, "MOST_MEMBERS", 50)
        packed = gzip.compress(GOOD)
        assert read(tmp_path / "log.csv.gz", packed + gzip.compress(b"") * 49).time_s.shape == (ROWS,)
        with pytest.raises(LogError, match="gzip data in over 50 parts"):
            read(tmp_path / "log.csv.gz", packed + gzip.compress(b"") * 50)

    def test_more_than_a_gigabyte_is_refused_while_it_is_unpacked(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(source, "LARGEST_UNPACKED", 1_000_000)
        assert read(tmp_path / "log.csv.gz", gzip.compress(GOOD)).time_s.shape == (ROWS,)
        with pytest.raises(LogError, match="more than 1 GB when unpacked"):
            read(tmp_path / "log.csv.gz", gzip.compress(GOOD + b"\n" * 2_000_000))

    def test_every_piece_of_what_is_packed_tightly_comes_out(self, tmp_path: Path) -> None:
        """What one read of packed bytes holds may be many pieces."""
        data = b"".join(b"%d\n" % (i % 10) for i in range(3_000_000))
        (tmp_path / "x.gz").write_bytes(gzip.compress(data))
        assert b"".join(unpacking.unpacked(tmp_path / "x.gz", "x.gz")) == data
