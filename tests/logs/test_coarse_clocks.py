"""Stamps of whole seconds, whole or with their fraction beside them, give the rows' rate; a clock that stands none."""

import numpy as np
import pytest

from telemetry.errors import LogError
from telemetry.logs import read_log, sketch_log
from telemetry.logs.clock import make_clock
from telemetry.model.day import LogOptions, TimeColumn

RATE_HZ, COUNT = 203.7, 2500
SECONDS = 1_600_000_000.37 + np.arange(COUNT) / RATE_HZ
PARTS = {"ms": 1e3, "us": 1e6, "ns": 1e9}


def log_of(tmp_path, names, columns):
    rows = zip(*columns, 1000 + np.arange(COUNT) % 57, strict=True)
    path = tmp_path / "run.csv"
    path.write_text("\n".join([",".join([*names, "fork"]), *(",".join(map(str, row)) for row in rows)]) + "\n")
    return path


def dates(seconds):
    return [f"2026-05-16 09:12:{int(second) % 60:02d}" for second in seconds - SECONDS[0] + 0.37]


@pytest.mark.parametrize("form", ["number", "date"])
def test_whole_seconds_give_the_rate_by_their_ticks(form, tmp_path):
    stamps = np.floor(SECONDS).astype(int) if form == "number" else dates(SECONDS)
    path = log_of(tmp_path, ["time"], [stamps])
    log = read_log(path, needed=["fork"], options=LogOptions())
    assert log.rate_hz == pytest.approx(RATE_HZ, rel=1e-3)
    assert [finding.code for finding in log.findings] == ["rounded_clock"]
    assert sketch_log(path).columns[0].time_unit == ("s" if form == "number" else "date_time")
    stated = read_log(path, needed=["fork"], options=LogOptions(rate_hz=RATE_HZ))
    assert [finding.code for finding in stated.findings] == ["no_clock"]


@pytest.mark.parametrize("phase", np.linspace(0, 0.99, 7))
@pytest.mark.parametrize("gap_s", [0.0, 7.0])
def test_ticks_cut_off_by_the_ends_or_a_gap_do_not_count(phase, gap_s):
    seconds = phase + np.arange(4000) / RATE_HZ
    seconds[2000:] += gap_s
    assert make_clock(np.floor(seconds), 1.0).rate_hz == pytest.approx(RATE_HZ, rel=2e-3)


@pytest.mark.parametrize(
    ("names", "unit"),
    [
        (("sec", "usec"), "us"),
        (("s", "ms"), "ms"),
        (("timestamp", "micros"), "us"),
        (("header.stamp.secs", "header.stamp.nsecs"), "ns"),
        (("time_ms", "time_s"), "ms"),
        (("datetime", "millis"), "ms"),
    ],
)
@pytest.mark.parametrize("pinned", [False, True])
def test_seconds_and_their_fraction_in_two_columns_are_joined(names, unit, pinned, tmp_path):
    whole = dates(SECONDS) if names[0] == "datetime" else np.floor(SECONDS).astype(int)
    parts = np.floor(SECONDS % 1 * PARTS[unit]).astype(int)
    first = names[0] if names[0] != "time_ms" else names[1]
    columns = [whole, parts] if first == names[0] else [parts, whole]
    path = log_of(tmp_path, names, columns)
    time = TimeColumn(column=first, unit="date_time" if first == "datetime" else "s") if pinned else None
    log = read_log(path, needed=["fork"], options=LogOptions(time=time))
    assert log.rate_hz == pytest.approx(RATE_HZ, rel=1e-4)
    assert {finding.code for finding in log.findings} <= {"rounded_clock"}
    assert log.first_stamp.microsecond == pytest.approx(370_000, abs=1_000)
    proposals = {column.name: column.proposal for column in sketch_log(path).columns}
    assert [proposals[name] for name in sorted(names, key=lambda name: name != first)] == ["time", "counter"]


def test_two_clocks_that_both_run_on_are_not_added_up(tmp_path):
    since = SECONDS - SECONDS[0]
    path = log_of(tmp_path, ["time_s", "time_ms"], [np.floor(since).astype(int), np.round(since * 1e3).astype(int)])
    for time in (None, TimeColumn(column="time_ms", unit="ms")):
        log = read_log(path, needed=["fork"], options=LogOptions(time=time))
        assert log.rate_hz == pytest.approx(RATE_HZ, rel=1e-3)


@pytest.mark.parametrize("unit", ["s", "ms", "us"])
def test_a_clock_that_changes_once_is_none(unit, tmp_path):
    path = log_of(tmp_path, ["on"], [(np.arange(COUNT) > 900).astype(int)])
    with pytest.raises(LogError, match=r"changes once in 2500 rows.*rate_hz"):
        read_log(path, needed=["fork"], options=LogOptions(time=TimeColumn(column="on", unit=unit)))


def test_rows_stamped_a_buffer_at_a_time_lie_on_the_line_of_its_jumps(tmp_path):
    path = log_of(tmp_path, ["t_ms"], [np.arange(COUNT) // 300 * 1500])
    log = read_log(path, needed=["fork"], options=LogOptions())
    assert log.rate_hz == pytest.approx(200.0)
    (finding,) = log.findings
    assert finding.code == "clock_jumps"
    assert "stands for up to 300 rows (1.5 s by their pace)" in finding.message


def test_a_refused_clock_names_the_column_that_runs_like_one(tmp_path):
    path = log_of(tmp_path, ["lap", "micros"], [np.ones(COUNT, dtype=int), np.arange(COUNT) * 5000])
    with pytest.raises(LogError, match=r"column 'lap': found the same time in every row.*'micros' runs like one"):
        read_log(path, needed=["fork"], options=LogOptions(time=TimeColumn(column="lap", unit="ms")))


@pytest.mark.parametrize(
    ("step", "stated", "says"),
    [
        (1e6 / 200, "ms", "column = 't', unit = \"us\" (200 rows a second)"),
        (2, "s", 'unit = "ms" (500 rows a second)'),
        (0.002, "ms", 'unit = "s" (500 rows a second)'),
        (1 / 20.5, "ms", "20500 rows a second by column 't'"),
        (1e-6, "ms", "no unit makes a logger's rate of it"),
    ],
)
def test_an_odd_rate_says_in_which_unit_it_would_be_a_loggers(step, stated, says, tmp_path):
    path = log_of(tmp_path, ["t"], [np.round(np.arange(COUNT) * step, 9)])
    log = read_log(path, needed=["fork"], options=LogOptions(time=TimeColumn(column="t", unit=stated)))
    (finding,) = [finding for finding in log.findings if finding.code == "odd_rate"]
    assert "rows a second by column 't' (5 to 20000 are expected)" in finding.message
    assert says in finding.message


@pytest.mark.parametrize("step", [60, 100, 150_000, 0.1])
def test_a_step_of_two_units_is_asked(step, tmp_path):
    path = log_of(tmp_path, ["time"], [np.round(np.arange(COUNT) * step, 3)])
    with pytest.raises(LogError, match=r'State the unit: .* unit = "\w+" \(\d+ rows a second\) or "\w+" \('):
        read_log(path, needed=["fork"], options=LogOptions())


@pytest.mark.parametrize(
    ("name", "column"),
    [
        ("on", np.arange(COUNT) > 40),
        ("lap", 1 + np.arange(COUNT) // 20),
        ("battery", np.round(40 + np.arange(COUNT) / 900, 1)),
        ("temp", np.round(20 + np.arange(COUNT) / 2000, 2)),
        ("odo_m", np.arange(COUNT) * 3),
        ("cnt", np.arange(COUNT)),
        ("", np.arange(COUNT)),
        ("", np.round(40 + np.arange(COUNT) / 900, 1)),
    ],
)
def test_what_only_rises_is_no_clock(name, column, tmp_path):
    """Flags, laps, levels, distances and numbers of rows: the last of these was read as ms, a battery as seconds."""
    path = log_of(tmp_path, [name], [column.astype(int) if column.dtype == bool else column])
    with pytest.raises(LogError, match="no column that runs like a clock among"):
        read_log(path, needed=[2], options=LogOptions())


@pytest.mark.parametrize(("name", "place"), [("Zeit", 0), ("temps", 1), ("ms", 1), ("us", 1), ("", 0)])
def test_a_clock_is_known_by_its_name_in_other_words_and_by_a_unit_alone(name, place, tmp_path):
    columns, names = [np.arange(COUNT) * 5000, 500 + np.arange(COUNT) % 91], [name, "shock"]
    if name == "ms":
        columns[0] = np.arange(COUNT) * 5
    if place:
        columns.reverse(), names.reverse()
    log = read_log(log_of(tmp_path, names, columns), needed=["fork"], options=LogOptions())
    assert log.rate_hz == pytest.approx(200.0)


@pytest.mark.parametrize("name", ["seconds", "time", "Zeit [s]"])
def test_stamps_of_whole_seconds_that_stand_through_the_first_rows_are_a_clock(name, tmp_path):
    """At 500 rows a second the first 400 rows, by which a clock is looked for, are of one second."""
    log = read_log(log_of(tmp_path, [name], [np.arange(COUNT) // 500]), needed=[2], options=LogOptions())
    assert log.rate_hz == pytest.approx(500.0, rel=1e-3)
