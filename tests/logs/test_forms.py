"""Lines that aren't bare cells read back equal: JSON lines, values with their names, a serial monitor's stamps."""

import gzip
import json

import numpy as np
import pytest

from telemetry.logs import read_log, sketch_log
from telemetry.model.day import LogOptions

COUNT = 300
ROWS = [(5 * i, 212 + 7 * i % 371, round(30.5 + 0.25 * (i % 41), 2)) for i in range(COUNT)]


def stamp(ms):
    minute, ms = divmod(ms, 60_000)
    return f"09:{12 + minute:02d}:{ms // 1000:02d}.{ms % 1000:03d}"


FORMS = {
    "JSON, compact": lambda t, a, b: json.dumps({"t_ms": t, "fork": a, "shock": b}, separators=(",", ":")),
    "JSON, blanks": lambda t, a, b: json.dumps({"t_ms": t, "fork": a, "shock": b}),
    "JSON, blanks within": lambda t, a, b: f'{{ "t_ms" : {t} , "fork" : {a} , "shock" : {b} }}',
    "JSON, other order in each second line": lambda t, a, b: json.dumps(
        dict(sorted({"t_ms": t, "fork": a, "shock": b}.items(), reverse=t % 2 == 0))
    ),
    "an array's lines": lambda t, a, b: json.dumps({"t_ms": t, "fork": a, "shock": b}) + ",",
    "colons": lambda t, a, b: f"t_ms:{t},fork:{a},shock:{b}",
    "colons and blanks": lambda t, a, b: f"t_ms: {t}, fork: {a}, shock: {b}",
    "colons and tabs": lambda t, a, b: f"t_ms:{t}\tfork:{a}\tshock:{b}",
    "equals": lambda t, a, b: f"t_ms={t};fork={a};shock={b}",
    "equals and blanks": lambda t, a, b: f"t_ms={t} fork={a} shock={b}",
    "equals between blanks": lambda t, a, b: f"t_ms = {t}, fork = {a}, shock = {b}",
    "decimal comma": lambda t, a, b: f"t_ms={t};fork={a};shock={b}".replace(".", ","),
    "decimal comma beside commas": lambda t, a, b: f"t_ms:{t}, fork:{a}, shock:{b}".replace(".", ","),
    "monitor's stamps": lambda t, a, b: f"{stamp(t)} -> t_ms:{t},fork:{a},shock:{b}",
    "a list's lines": lambda t, a, b: f"- {{t_ms: {t}, fork: {a}, shock: {b}}}",
    "a line's kind in brackets": lambda t, a, b: f"[INFO] t_ms={t} fork={a} shock={b}",
    "a stamp in brackets": lambda t, a, b: f"[{stamp(t)}] t_ms:{t},fork:{a},shock:{b}",
    "a program's log": lambda t, a, b: f"2026-05-16 {stamp(t).replace('.', ',')} INFO t_ms={t} fork={a} shock={b}",
    "monitor's stamps alone": lambda t, a, b: f"{stamp(t)} -> fork:{a},shock:{b}",
}


@pytest.mark.parametrize("head", [[], ['["t_ms", "fork", "shock"]']])
@pytest.mark.parametrize("form", [json.dumps, lambda row: json.dumps(row) + ",", lambda row: str(tuple(row))])
def test_arrays_a_line_read_back_equal(head, form, tmp_path):
    path = written(tmp_path / "run.log", [*head, *map(form, ROWS)])
    needed = ("fork", "shock") if head else (2, 3)
    assert_read(read_log(path, needed=needed, options=LogOptions()), needed)


def written(path, lines, line_end="\n"):
    data = (line_end.join(lines) + line_end).encode()
    path.write_bytes(gzip.compress(data) if path.suffix == ".gz" else data)
    return path


def assert_read(log, needed=("fork", "shock"), rows=ROWS):
    for place, column in enumerate(needed, 1):
        np.testing.assert_array_equal(log.columns[column], [row[place] for row in rows])
    assert log.rate_hz == pytest.approx(200.0, rel=1e-9)


@pytest.mark.parametrize("form", FORMS)
def test_values_with_their_names_read_back_equal(form, tmp_path):
    path = written(tmp_path / "run.log", [FORMS[form](*row) for row in ROWS])
    log = read_log(path, needed=("fork", "shock"), options=LogOptions())
    assert_read(log)
    assert (log.findings, log.row_of(0), log.row_of(COUNT - 1)) == ((), 1, COUNT)
    assert {"fork", "shock"} <= {column.name for column in sketch_log(path).columns}


@pytest.mark.parametrize("rest", ["{1},{2}", "{1}, {2}", "{1};{2}", "{1}\t{2}", "{1} {2}", "{1} | {2}"])
@pytest.mark.parametrize("header", [False, True])
def test_bare_cells_after_a_monitors_stamps_read_back_equal(rest, header, tmp_path):
    head = [stamp(0) + " -> " + rest.format("", "fork", "shock")] if header else []
    path = written(tmp_path / "run.log", [*head, *(f"{stamp(row[0])} -> {rest.format(*row)}" for row in ROWS)])
    needed = ("fork", "shock") if header else (2, 3)
    assert_read(read_log(path, needed=needed, options=LogOptions()), needed)


@pytest.mark.parametrize("name", ["run.log", "run.log.gz"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_rows_keep_their_numbers_and_broken_lines_are_told(name, line_end, tmp_path):
    lines = [FORMS["JSON, blanks"](*row) for row in ROWS]
    lines[100] = lines[100][:20]
    path = written(tmp_path / name, ["Logger 3", "", *lines[:150], "", *lines[150:]], line_end)
    log = read_log(path, needed=("fork", "shock"), options=LogOptions())
    assert_read(log, rows=[row for place, row in enumerate(ROWS) if place != 100])
    assert {(finding.code, finding.row) for finding in log.findings} == {("ragged_rows", 103), ("missing_values", 103)}
    assert [log.row_of(sample) for sample in (0, 99, 100, COUNT - 2)] == [3, 102, 104, COUNT + 3]


def test_nested_values_are_named_with_points_and_words_stay_words(tmp_path):
    lines = [json.dumps({"t": t, "fork": {"mm": a, "ok": True}, "acc": [a, b], "mode": 'a "b"\tc'}) for t, a, b in ROWS]
    path = written(tmp_path / "run.log", lines)
    assert [column.name for column in sketch_log(path).columns] == ["t", "fork.mm", "fork.ok", "acc.1", "acc.2", "mode"]
    assert_read(read_log(path, needed=("fork.mm", "acc.2"), options=LogOptions()), ("fork.mm", "acc.2"))


def test_a_value_that_lacks_now_and_then_is_missing_in_its_row_alone(tmp_path):
    lines = [FORMS["colons"](*row) for row in ROWS]
    lines[40] = lines[40].split(",shock")[0]
    log = read_log(written(tmp_path / "run.log", lines), needed=("fork", "shock"), options=LogOptions())
    assert_read(log, rows=[row for place, row in enumerate(ROWS) if place != 40])
    assert [(finding.code, finding.row) for finding in log.findings] == [("missing_values", 41)]


def test_long_logs_of_named_values_read_whole(tmp_path):
    rows = [(5 * i, i % 4096, i / 8) for i in range(40_000)]
    path = written(tmp_path / "run.log", [FORMS["equals"](*row) for row in rows])
    assert path.stat().st_size > 1 << 20
    assert_read(read_log(path, needed=("fork", "shock"), options=LogOptions()), rows=rows)


@pytest.mark.parametrize(
    "lines",
    [
        ["t_ms,fork", *(f"{t},{a}" for t, a, _ in ROWS)],
        ["Rate: 200", "Serial: 4711", "t_ms,fork", *(f"{t},{a}" for t, a, _ in ROWS)],
        ["time,fork", *(f"{stamp(t)},{a}" for t, a, _ in ROWS)],
    ],
)
def test_bare_cells_are_taken_as_they_are(lines, tmp_path):
    path = written(tmp_path / "run.log", lines)
    assert sketch_log(path).dialect.startswith("comma, decimal point, header in row")
    assert_read(read_log(path, needed=("fork",), options=LogOptions()), ("fork",))
