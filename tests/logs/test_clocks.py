"""Clocks in closed form: the true rate, stretches and findings of every way a logger keeps time."""

import math
from datetime import datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from telemetry.errors import LogError
from telemetry.logs import read_log
from telemetry.model.day import LogOptions, TimeColumn

SECONDS = LogOptions(time=TimeColumn(column="time", unit="s"))
DATE_TIME = LogOptions(time=TimeColumn(column="time", unit="date_time"))


@pytest.fixture(scope="module")
def read(tmp_path_factory):
    path = tmp_path_factory.mktemp("clocks") / "log.csv"

    def reader(stamps, readings=None, *, name="time", options=None, delimiter=","):
        cells = range(100, 100 + len(stamps)) if readings is None else readings
        lines = [f"{name}{delimiter}fork", *(f"{a}{delimiter}{b}" for a, b in zip(stamps, cells, strict=True))]
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
        return read_log(path, needed=("fork",), options=options or LogOptions())

    return reader


def told(log):
    return [(finding.severity, finding.code) for finding in log.findings]


def only(log, code):
    (finding,) = (finding for finding in log.findings if finding.code == code)
    return finding


@pytest.mark.parametrize("rate", [100, 200, 250, 333, 500, 1000, 1600, 3200])
@pytest.mark.parametrize(("unit", "places"), [("s", 6), ("ms", 3), ("us", 0)])
def test_an_exact_clock_is_taken_as_it_stands(rate, unit, places, read):
    per_second = {"s": 1.0, "ms": 1e3, "us": 1e6}[unit]
    true = np.arange(2000) / rate
    log = read([f"{value * per_second:.{places}f}" for value in true], name=f"t_{unit}")
    if 1e6 % rate == 0:
        assert told(log) == []
    assert log.even
    assert log.segments == ((0, 2000),)
    assert log.rate_hz == pytest.approx(rate, rel=1e-6)
    assert log.time_s == pytest.approx(true, abs=1.1e-6)
    assert log.gap_s == 0.0


def test_stamps_in_whole_milliseconds_lie_on_a_line_and_are_told_as_rounded(read):
    true = np.arange(3000) / 333.0
    log = read([round(1e3 * value) for value in true], name="t_ms")
    assert told(log) == [("note", "rounded_clock")]
    assert log.even
    assert log.rate_hz == pytest.approx(333.0, rel=1e-4)
    assert log.time_s == pytest.approx(true, abs=1e-3)
    assert np.diff(log.time_s) == pytest.approx(np.full(2999, 1 / log.rate_hz), rel=1e-9)
    assert log.stamp_resolution_s == pytest.approx(1e-3)


@pytest.mark.parametrize(
    ("rate", "stamp_s", "duration_s"), [(500, 0.010, 30), (1000, 0.010, 20), (200, 0.050, 40), (100, 1.0, 60)]
)
def test_stamps_coarser_than_the_rows_give_the_straight_line(rate, stamp_s, duration_s, read):
    true = np.arange(rate * duration_s) / rate
    places = max(0, round(-np.log10(stamp_s) + 0.3))
    log = read([f"{np.floor(value / stamp_s + 1e-9) * stamp_s:.{places}f}" for value in true], options=SECONDS)
    assert told(log) == [("warning", "clock_jumps") if stamp_s == 0.05 else ("note", "rounded_clock")]
    assert log.even
    assert log.segments == ((0, true.shape[0]),)
    assert log.rate_hz == pytest.approx(rate, rel=1e-9)


def test_date_times_in_whole_seconds_give_the_straight_line(read):
    stamps = [f"16.05.2026 09:12:{i // 100:02d}" for i in range(5900)]
    log = read(stamps, options=LogOptions(time=TimeColumn(column="time", unit="date_time"), day_first=True))
    assert told(log) == [("note", "rounded_clock")]
    assert log.stamp_resolution_s == 1.0
    assert log.even
    assert log.rate_hz == pytest.approx(100.0, rel=1e-9)


@pytest.mark.parametrize("share", [0.08, 0.15, 0.25])
def test_jitter_beyond_the_resolution_is_uneven_and_resampled(share, read):
    rng = np.random.default_rng(7)
    true = np.arange(5000) / 500.0 + np.clip(rng.normal(0, share / 500.0, 5000), -0.45 / 500, 0.45 / 500)
    log = read([f"{value:.6f}" for value in true], options=SECONDS)
    assert told(log) == [("warning", "uneven_clock")]
    assert not log.even
    assert log.time_s == pytest.approx(true - true[0], abs=1e-6)
    assert log.rate_hz == pytest.approx(500.0, rel=1e-4)


def test_little_jitter_is_resampled_without_a_word(read):
    rng = np.random.default_rng(7)
    true = np.arange(5000) / 500.0 + np.clip(rng.normal(0, 0.02 / 500, 5000), -1e-4, 1e-4)
    log = read([f"{value:.6f}" for value in true], options=SECONDS)
    assert told(log) == []
    assert not log.even


def test_gaps_part_the_log_and_count_in_no_share(read):
    first, second, third = np.arange(1000), np.arange(1500, 3000), np.arange(3100, 5000)
    true = np.concatenate([first, second, third]) / 500.0
    log = read([f"{1e3 * value:.0f}" for value in true], name="t_ms")
    assert log.segments == ((0, 1000), (1000, 2500), (2500, 4400))
    assert log.rate_hz == pytest.approx(500.0, rel=1e-9)
    assert log.gap_s == pytest.approx(501 / 500 + 101 / 500)
    assert log.even
    assert told(log) == [("warning", "gap")]
    gap = only(log, "gap")
    assert (gap.row, gap.second) == (1001, pytest.approx(999 / 500))
    assert "2 gaps" in gap.message
    assert log.time_s == pytest.approx(true, abs=1e-9)


@pytest.mark.parametrize(("missing", "is_gap"), [(8, False), (9, False), (10, True), (11, True)])
def test_a_step_over_twenty_ms_is_a_gap(missing, is_gap, read):
    kept = np.concatenate([np.arange(1000), np.arange(1000 + missing, 2000)])  # step: (missing + 1) x 2 ms
    log = read(2 * kept, name="t_ms")
    assert (len(log.segments) == 2) is is_gap
    assert ("gap" in [code for _, code in told(log)]) is is_gap


@pytest.mark.parametrize(("missing", "is_gap"), [(1, False), (2, False), (3, True)])
def test_at_low_rates_a_step_over_three_mean_steps_is_a_gap(missing, is_gap, read):
    kept = np.concatenate([np.arange(500), np.arange(500 + missing, 1000)])  # step: (missing + 1) x 10 ms
    log = read(10 * kept, name="t_ms")
    assert (len(log.segments) == 2) is is_gap


@pytest.mark.parametrize(("gap_rows", "severity"), [(900, "warning"), (1100, "error")])
def test_gaps_over_a_fifth_of_the_time_are_an_error(gap_rows, severity, read):
    kept = np.concatenate([np.arange(2000), np.arange(2000 + gap_rows, 4000 + gap_rows)])
    log = read(2 * kept, name="t_ms")
    assert only(log, "gap").severity == severity
    assert log.gap_s == pytest.approx((gap_rows + 1) * 2e-3)


def test_scraps_under_a_quarter_of_a_second_count_as_gap(read):
    kept = np.concatenate([np.arange(1000), np.arange(1500, 1600), np.arange(2000, 3000)])
    log = read(2 * kept, name="t_ms")
    assert log.segments == ((0, 1000), (1100, 2100))
    assert log.gap_s == pytest.approx(1001 * 2e-3)


def test_scraps_under_sixteen_rows_count_as_gap(read):
    kept = np.concatenate([np.arange(500), np.arange(550, 565), np.arange(600, 1100)])
    log = read(40 * kept, name="t_ms")  # 25 a second: 15 rows last 0.56 s
    assert log.segments == ((0, 500), (515, 1015))


def test_a_gap_in_a_rounded_clock_keeps_both_lines(read):
    rows = np.concatenate([np.arange(3000), np.arange(4000, 7000)])
    true = rows / 333.0
    log = read([round(1e3 * value) for value in true], name="t_ms")
    assert log.even
    assert sorted(code for _, code in told(log)) == ["gap", "rounded_clock"]
    assert log.time_s == pytest.approx(true, abs=1.1e-3)


@pytest.mark.parametrize(("bits", "unit", "step"), [(16, "ms", 2), (16, "us", 1000), (32, "us", 1000), (32, "ms", 2)])
@pytest.mark.parametrize("offset", [0, 1, 777])
def test_a_counter_that_rolls_over_is_unrolled(bits, unit, step, offset, read):
    count = 3000 if bits == 32 else 70_000
    counter = (2**bits - 2000 * step + offset + step * np.arange(count)) % 2**bits
    log = read(counter, readings=np.arange(count) % 997, name=f"t_{unit}")
    assert told(log) == [("note", "clock_wrapped")]
    assert only(log, "clock_wrapped").row == 2 + np.flatnonzero(np.diff(counter) < 0)[0] + 1
    scale = {"ms": 1e-3, "us": 1e-6}[unit]
    assert log.time_s == pytest.approx(step * scale * np.arange(count), abs=1e-9)
    assert log.rate_hz == pytest.approx(1 / (step * scale), rel=1e-9)


@pytest.mark.parametrize(("name", "per_count", "digits"), [("t_s", 1e-6, 6), ("t_ms", 1e-3, 3), ("t_ms", 1e-3, 0)])
def test_a_counter_of_microseconds_in_a_larger_unit_rolls_over_at_its_own_count(name, per_count, digits, read):
    """2**32 us are 4294.967296 s: common practice of microcontrollers, no source."""
    counter = (2**32 - 4_000_000 + 2000 * np.arange(5000)) % 2**32
    log = read(
        [f"{math.floor(value * per_count * 10**digits) / 10**digits:.{digits}f}" for value in counter], name=name
    )
    assert {code for _, code in told(log)} <= {"clock_wrapped", "rounded_clock"}
    assert only(log, "clock_wrapped").row == 2 + np.flatnonzero(np.diff(counter) < 0)[0] + 1
    assert log.time_s == pytest.approx(0.002 * np.arange(5000), abs=1.1e-3)


@pytest.mark.parametrize("back_s", [0.1, 65.0, 70.0, 4290.0, 4300.0])
def test_a_step_back_that_no_counter_takes_stays_one(back_s, read):
    times = 5000 + 0.002 * np.arange(4000)
    times[2000:] -= back_s
    assert [code for _, code in told(read([f"{value:.3f}" for value in times], name="t_s"))] == ["clock_backwards"]


def test_after_a_step_back_no_more_is_said_of_the_clock(read):
    stamps = np.concatenate([2 * np.arange(1000), 1000 + 2 * np.arange(3000)])
    assert told(read(stamps, np.arange(4000) // 2, name="t_ms")) == [("error", "clock_backwards")]


@pytest.mark.parametrize("every", [3, 4, 7, 11])
@pytest.mark.parametrize("step_ms", [2, 4, 5])
def test_rows_lost_in_turn_are_no_rounded_clock(every, step_ms, read):
    """Stamps of whole ms step by one base step or two, which rounding never does to an even clock."""
    kept = [row for row in range(6000) if row % every]
    log = read([step_ms * row for row in kept], name="t_ms")
    assert told(log) == [("warning", "uneven_clock")]
    assert log.time_s == pytest.approx(np.array(kept) * step_ms / 1000 - step_ms / 1000, abs=1e-9)


@pytest.mark.parametrize("rate", [333, 428.57, 480, 600, 700, 857.14])
def test_a_rate_that_doesnt_fit_whole_milliseconds_is_rounded(rate, read):
    log = read([math.floor(1000 * row / rate) for row in range(6000)], name="t_ms")
    assert told(log) == [("note", "rounded_clock")]
    assert log.rate_hz == pytest.approx(rate, rel=1e-3)


def test_a_log_of_which_every_row_stands_twice(read):
    stamps = np.repeat(2 * np.arange(3000), 2)
    log = read(stamps, np.repeat(np.arange(3000) % 997, 2), name="t_ms")
    assert "3000 rows repeat" in only(log, "repeated_rows").message
    assert log.rate_hz == pytest.approx(500.0, rel=1e-9)


class TestARateBesideAClock:
    """`rate_contradicted`: the clock isn't read by, but questions the rate."""

    @pytest.mark.parametrize(("stated", "expected"), [(500.0, False), (509.0, False), (511.0, True), (250.0, True)])
    def test_over_2_percent_apart(self, stated, expected, read):
        log = read(2 * np.arange(3000), name="t_ms", options=LogOptions(rate_hz=stated))
        assert (("warning", "rate_contradicted") in told(log)) is expected
        assert log.rate_hz == stated
        if expected:
            assert "'t_ms' tells 500" in only(log, "rate_contradicted").message

    def test_stamps_of_the_day_too(self, read):
        stamps = [f"09:12:{row / 500:06.3f}" for row in range(3000)]
        assert ("warning", "rate_contradicted") in told(read(stamps, options=LogOptions(rate_hz=1000.0)))

    @pytest.mark.parametrize("stamps", [["on"] * 3000, [""] * 3000, ["5"] * 3000, list(range(3000, 0, -1))])
    def test_a_clock_that_cant_be_read_says_nothing(self, stamps, read):
        assert told(read(stamps, name="t_ms", options=LogOptions(rate_hz=500.0))) == [("note", "no_clock")]

    def test_a_count_of_rows_is_no_clock(self, read):
        log = read(range(3000), np.arange(3000) % 97, name="sample", options=LogOptions(rate_hz=500.0))
        assert told(log) == [("note", "no_clock")]


def test_a_clock_that_steps_back_is_an_error_with_its_row(read):
    stamps = np.concatenate([2 * np.arange(1000), 1500 + 2 * np.arange(1000)])
    log = read(stamps, name="t_ms")
    back = only(log, "clock_backwards")
    assert (back.severity, back.row, back.second) == ("error", 1002, pytest.approx(1.998))
    assert "0.498 s" in back.message
    assert np.all(np.diff(log.time_s) >= 0)


def test_a_logger_that_starts_again_from_zero_is_no_roll_over(read):
    stamps = np.concatenate([2 * np.arange(1000), 2 * np.arange(1000)])
    assert ("error", "clock_backwards") in told(read(stamps, name="t_ms"))


def test_repeated_rows_are_left_out_and_told(read):
    stamps, readings = list(range(0, 4000, 2)), list(range(2000))
    for place in (500, 1200, 1201):
        stamps.insert(place, stamps[place - 1])
        readings.insert(place, readings[place - 1])
    log = read(stamps, readings, name="t_ms")
    repeated = only(log, "repeated_rows")
    assert (repeated.severity, repeated.row) == ("warning", 502)
    assert "3 rows" in repeated.message
    np.testing.assert_array_equal(log.columns["fork"], np.arange(2000.0))
    assert log.rate_hz == pytest.approx(500.0, rel=1e-9)
    assert [log.row_of(sample) for sample in (499, 500, 1999)] == [501, 503, 2004]


def test_equal_readings_under_coarse_stamps_are_no_repeated_rows(read):
    stamps = [10 * (i // 5) for i in range(3000)]
    log = read(stamps, [i // 50 for i in range(3000)], name="t_ms")
    assert told(log) == [("note", "rounded_clock")]
    assert log.columns["fork"].shape == (3000,)


@pytest.mark.parametrize(
    ("form", "first"),
    [
        ("2026-05-16T09:12:{:06.3f}", datetime(2026, 5, 16, 9, 12)),
        ("2026-05-16 09:12:{:06.3f}", datetime(2026, 5, 16, 9, 12)),
        ("2026-05-16T09:12:{:06.3f}Z", datetime(2026, 5, 16, 9, 12)),
        ("2026-05-16T09:12:{:06.3f}+02:00", datetime(2026, 5, 16, 9, 12)),
        ("2026/05/16 09:12:{:06.3f}", datetime(2026, 5, 16, 9, 12)),
        ("05/16/2026 09:12:{:06.3f} AM", datetime(2026, 5, 16, 9, 12)),
        ("05/16/2026 09:12:{:06.3f} PM", datetime(2026, 5, 16, 21, 12)),
        ("05/16/2026 12:12:{:06.3f} AM", datetime(2026, 5, 16, 0, 12)),
        ("05/16/2026 12:12:{:06.3f} PM", datetime(2026, 5, 16, 12, 12)),
        ("16/05/2026 09:12:{:06.3f}", datetime(2026, 5, 16, 9, 12)),
        ("16.05.2026 09:12:{:06.3f}", datetime(2026, 5, 16, 9, 12)),
        ("16-05-2026 9:12:{:06.3f}", datetime(2026, 5, 16, 9, 12)),
        ("5/16/26 9:12:{:06.3f}", datetime(2026, 5, 16, 9, 12)),
        ("16-May-2026 09:12:{:06.3f}", datetime(2026, 5, 16, 9, 12)),
        ("16. Mai 2026 09:12:{:06.3f}", datetime(2026, 5, 16, 9, 12)),
        ("May 16 2026 9:12:{:06.3f} PM", datetime(2026, 5, 16, 21, 12)),
        ("2026-May-16T09:12:{:06.3f}", datetime(2026, 5, 16, 9, 12)),
        ("20260516T0912{:06.3f}", datetime(2026, 5, 16, 9, 12)),
        ("20260516T0912{:06.3f}Z", datetime(2026, 5, 16, 9, 12)),
        ("20260516 0912{:06.3f}", datetime(2026, 5, 16, 9, 12)),
        ("09:12:{:06.3f}", None),
        ("12:{:06.3f}", None),
        ("9:12:{:06.3f} PM", None),
    ],
)
@pytest.mark.parametrize("found_out", [True, False])
def test_date_times_in_every_form(form, first, found_out, read):
    true = 2.5 + np.arange(2000) * 0.004
    options = LogOptions() if found_out else DATE_TIME
    log = read([form.format(value) for value in true], options=options)
    assert told(log) == []
    assert log.first_stamp == (None if first is None else first.replace(second=2, microsecond=500_000))
    assert log.rate_hz == pytest.approx(250.0, rel=1e-9)
    assert log.time_s == pytest.approx(true - 2.5, abs=1e-9)
    assert log.stamp_resolution_s == pytest.approx(1e-3)


def test_a_decimal_comma_in_a_date_time(read):
    stamps = [
        f"16.05.2026 09:12:{i / 100:06.3f}".replace(".", ",").replace("16,05,2026", "16.05.2026") for i in range(900)
    ]
    log = read(stamps, delimiter=";")
    assert log.rate_hz == pytest.approx(100.0, rel=1e-9)
    assert log.stamp_resolution_s == pytest.approx(1e-2)


@pytest.mark.parametrize(
    ("cell", "day_first", "first"),
    [
        ("02/03/2026", True, datetime(2026, 3, 2)),
        ("02/03/2026", False, datetime(2026, 2, 3)),
        ("02/03/2026", None, datetime(2026, 2, 3)),
        ("02.03.2026", None, datetime(2026, 3, 2)),  # dots: the day stands first by custom
        ("02.03.2026", False, datetime(2026, 2, 3)),
    ],
)
def test_day_first_settles_a_date_that_could_be_either(cell, day_first, first, read):
    stamps = [f"{cell} 00:00:{i / 100:06.3f}" for i in range(900)]
    options = LogOptions(time=TimeColumn(column="time", unit="date_time"), day_first=day_first)
    assert read(stamps, options=options).first_stamp == first


def test_a_month_of_sixteen_is_refused_with_the_key_that_mends_it(read):
    options = LogOptions(time=TimeColumn(column="time", unit="date_time"), day_first=False)
    with pytest.raises(LogError, match=r"date 16/05/2026; expected a day of the calendar.*day_first"):
        read([f"16/05/2026 00:00:{i / 100:06.3f}" for i in range(900)], options=options)


@pytest.mark.parametrize("form", ["{h:02d}:{m:02d}:{s:06.3f}", "2026-05-{d:02d} {h:02d}:{m:02d}:{s:06.3f}"])
@pytest.mark.parametrize("lost", [None, 1500])
def test_clock_times_run_on_over_midnight(form, lost, read):
    whole = 86_400 - 15 + np.arange(3000) / 100.0
    stamps = [
        form.format(d=16 + int(t // 86_400), h=int(t // 3600 % 24), m=int(t // 60 % 60), s=round(t % 60, 3))
        for t in whole
    ]
    if lost is not None:
        stamps[lost] = ""
    log = read(stamps)
    kept = np.delete(whole, [] if lost is None else [lost])
    assert told(log) == ([] if lost is None else [("warning", "missing_values")])
    assert log.time_s == pytest.approx(kept - whole[0], abs=1e-9)


def test_a_fraction_may_stand_after_a_colon(read):
    for form, digits in (("{}:{:03d}", 3), ("{}:{:06d}", 6)):
        stamps = [form.format(f"23:59:{50 + i // 250:02d}", i % 250 * 4 * 10 ** (digits - 3)) for i in range(2000)]
        log = read(stamps)
        assert told(log) == []
        assert log.time_s == pytest.approx(np.arange(2000) * 0.004, abs=1e-9)


@pytest.mark.parametrize("starts_anew", [True, False])
def test_minutes_and_seconds_run_on_over_the_hour(starts_anew, read):
    """What a spreadsheet leaves of clock times once it has shown them as mm:ss.0 and saved them."""
    whole_ds = 3590 * 10 + np.arange(300)
    minutes = whole_ds // 600 % (60 if starts_anew else 1000)
    stamps = [f"{m:02d}:{ds % 600 / 10:04.1f}" for m, ds in zip(minutes.tolist(), whole_ds.tolist(), strict=True)]
    log = read(np.repeat(stamps, 20).tolist())
    assert told(log) == [("note", "rounded_clock")]
    assert log.rate_hz == pytest.approx(200.0, rel=5e-3)


@pytest.mark.parametrize("found_out", [True, False])
def test_days_as_spreadsheets_count_them(found_out, read):
    """46158 is 2026-05-16 where 1 is 1900-01-01 and 1900 has a 29th of February: ECMA-376-1, 18.17.4.1, from memory."""
    stamps = [f"{46158.375 + i / 500 / 86400:.10f}" for i in range(3000)]
    log = read(stamps, options=LogOptions() if found_out else LogOptions(time=TimeColumn(column="time", unit="days")))
    assert told(log) == []
    assert log.rate_hz == pytest.approx(500.0, rel=1e-4)
    assert log.time_s == pytest.approx(np.arange(3000) / 500, abs=2e-5)
    assert log.first_stamp == datetime(2026, 5, 16, 9)


def test_steps_that_may_be_of_two_units_are_refused(read):
    for step in (2e5, 5e-5):
        with pytest.raises(LogError, match="State the unit"):
            read([f"{i * step:.6f}" for i in range(1000)])


@pytest.mark.parametrize(("unit", "scale", "places"), [("ms", 1e3, 0), ("us", 1e6, 0), ("ns", 1e9, 0), ("s", 1.0, 3)])
def test_seconds_since_1970_in_any_unit(unit, scale, places, read):
    start = 1_778_922_720.250
    stamps = [f"{(start + i / 500) * scale:.{places}f}" for i in range(3000)]
    for options in (LogOptions(), LogOptions(time=TimeColumn(column="time", unit=unit))):
        log = read(stamps, options=options)
        assert told(log) == []
        assert log.rate_hz == pytest.approx(500.0, rel=1e-6)
        assert log.time_s == pytest.approx(np.arange(3000) / 500, abs=2e-6)
        assert log.first_stamp == datetime.fromtimestamp(start)  # noqa: DTZ006 - a logger's clock has no zone


def test_a_log_without_a_clock_takes_the_stated_rate(read):
    log = read([0] * 1000, options=LogOptions(rate_hz=400.0))
    assert told(log) == [("note", "no_clock")]
    assert log.rate_hz == 400.0
    assert log.even
    assert log.time_s == pytest.approx(np.arange(1000) / 400)
    assert log.stamp_resolution_s is None


def test_without_a_clock_a_dropped_row_keeps_its_time(read):
    readings = [str(100 + i) for i in range(2000)]
    readings[700] = ""
    for row in range(1000, 1100):
        readings[row] = ""
    log = read([0] * 2000, readings, options=LogOptions(rate_hz=500.0))
    kept = np.delete(np.arange(2000), [700, *range(1000, 1100)])
    assert log.time_s == pytest.approx(kept / 500.0, abs=1e-9)
    assert log.segments == ((0, 999), (999, 1899))
    assert log.gap_s == pytest.approx(101 / 500)
    assert {code for _, code in told(log)} == {"no_clock", "missing_values", "gap"}


def test_without_a_clock_rows_too_few_to_clean_make_no_stretch(read):
    assert read([0] * 12, options=LogOptions(rate_hz=500.0)).segments == ()


@pytest.mark.parametrize(
    ("name", "step", "true_step_s"),
    [
        ("t_ns", 2e5, 2e-4),
        ("timestamp", 2e6, 2e-3),
        ("Time [min]", 0.00025, 0.015),
        ("t_ms", 2, 2e-3),
        ("time", 2, 2e-3),
        ("time [us]", 2000, 2e-3),
        ("time", 2000, 2e-3),
        ("Time (s)", 0.002, 2e-3),
    ],
)
def test_the_unit_is_found_by_name_or_by_what_loggers_write(name, step, true_step_s, read):
    log = read([f"{step * i:.9g}" for i in range(3000)], name=name)
    assert log.rate_hz == pytest.approx(1 / true_step_s, rel=1e-4)


def test_a_pinned_unit_wins(read):
    log = read([2 * i for i in range(1000)], name="t_ms", options=LogOptions(time=TimeColumn(column="t_ms", unit="us")))
    assert log.rate_hz == pytest.approx(500_000.0, rel=1e-9)


def test_a_sample_counter_is_no_clock(tmp_path):
    lines = ["sample,t,fork", *(f"{i},{i * 0.002:.3f},{i % 7}" for i in range(500))]
    (tmp_path / "log.csv").write_text("\n".join(lines), encoding="utf-8")
    assert read_log(tmp_path / "log.csv", needed=("fork",), options=LogOptions()).rate_hz == pytest.approx(500.0)


@settings(max_examples=40)
@given(
    rate=st.floats(50, 1000),
    start=st.floats(0, 1e4),
    count=st.integers(700, 3000),
    resolution=st.sampled_from([1e-3, 1e-4, 1e-6]),
    gap=st.one_of(st.none(), st.floats(0.5, 30.0)),
)
def test_any_rounded_clock_gives_back_rate_times_and_gap(rate, start, count, resolution, gap, read):
    true = start + np.arange(count) / rate
    if gap is not None:
        true[count // 2 :] += gap
    stamps = [f"{np.round(value / resolution) * resolution:.6f}" for value in true]
    log = read(stamps, options=SECONDS)
    halves = ((0, count),) if gap is None else ((0, count // 2), (count // 2, count))
    assert log.even
    assert log.segments == halves
    assert log.rate_hz == pytest.approx(rate, rel=2.1 * resolution * len(halves) * rate / (count - 2) + 1e-9)
    assert log.time_s == pytest.approx(true - true[0], abs=2.1 * resolution)
    codes = {code for _, code in told(log)}
    assert codes <= {"rounded_clock", "gap"}
    assert ("gap" in codes) is (gap is not None)


@pytest.mark.parametrize(("unit", "step"), [("s", 1.0), ("ms", 0.001), ("us", 5_000_000.0)])
def test_a_rate_no_logger_has_is_questioned(tmp_path, unit, step):
    path = tmp_path / "run.csv"
    rows = [f"{place * step:.6f},{100 + place % 50}" for place in range(400)]
    path.write_text("t,A0\n" + "\n".join(rows) + "\n", encoding="utf-8")
    options = LogOptions(time=TimeColumn(column="t", unit=unit))
    log = read_log(path, needed=["A0"], options=options)
    (finding,) = [finding for finding in log.findings if finding.code == "odd_rate"]
    assert finding.severity == "error"
    assert "is the clock's unit right?" in finding.message


@pytest.mark.parametrize(
    ("step", "units"), [(100, "us.*10000 .*ms.*10 "), (200, "us.*5000 .*ms.*5 "), (0.1, "ms.*10000 .*s.*10 ")]
)
def test_a_step_of_two_units_is_asked_for(step, units, read):
    stamps = [f"{step * at:g}" for at in range(300)]
    with pytest.raises(LogError, match=rf"steps of {step} .*{units}"):
        read(stamps)


def test_a_clock_that_stands_still_is_not_asked_for_its_unit(read):
    with pytest.raises(LogError, match=r"no steps forward in time column 'time'.*rate_hz"):
        read(["7"] * 300, options=LogOptions(time=TimeColumn(column="time")))


def test_without_a_clock_the_columns_looked_at_are_named(tmp_path):
    path = tmp_path / "run.csv"
    path.write_text("on,fork\n" + "".join(f"{at % 2},{500 + at % 37}\n" for at in range(300)))
    with pytest.raises(LogError, match="no column that runs like a clock among 'on', 'fork'"):
        read_log(path, needed=["fork"], options=LogOptions())


@pytest.mark.parametrize("before", ["lap,", ""])
def test_a_column_that_runs_like_a_clock_under_another_name_is_asked_for_with_its_unit(before, tmp_path):
    """A tick may last 1 ms, or 1/1024 s: taken for ms a log was 2.3 % off."""
    path, lap = tmp_path / "run.csv", before and "1,"
    path.write_text(f"{before}ticks,fork\n" + "".join(f"{lap}{5 * at},{500 + at % 37}\n" for at in range(300)))
    asked = r"If 'ticks' is one, state it: \[log\] time = \{ column = 'ticks', unit = \"ms\" \(200 rows a second\) \}"
    with pytest.raises(LogError, match=asked):
        read_log(path, needed=["fork"], options=LogOptions())
