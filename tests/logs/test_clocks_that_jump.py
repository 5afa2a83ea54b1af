"""Rows that share a stamp: a clock that ticks in jumps tells their times by a line, one that stands still none."""

import numpy as np
import pytest

from telemetry.logs import read_log
from telemetry.logs.batches import jumps_finding, stamped_clock
from telemetry.logs.unrolling import unroll
from telemetry.model.day import LogOptions, TimeColumn

RATE_HZ, SECONDS = 500, 20
TRUE_S = np.arange(RATE_HZ * SECONDS) / RATE_HZ
MS = 1e-3


def clock_of(seconds):
    return stamped_clock(seconds, MS, range(seconds.shape[0]))


def floored(seconds, tick_s):
    return np.floor(seconds / tick_s + 1e-9) * tick_s


def stamped_at_the_end(rng):
    """Return stamps of buffers of 5 to 100 rows, each when its last row was written, up to 10 ms late."""
    rows = rng.integers(5, 100, 2000)
    which = np.repeat(np.arange(2000), rows)[: TRUE_S.shape[0]]
    last = np.minimum(np.cumsum(rows) - 1, TRUE_S.shape[0] - 1)
    return np.round(TRUE_S[last[which]] + rng.uniform(0, 0.01, 2000)[which], 3)


def strays(found, true_s=TRUE_S):
    """Return by how much times stray from the true ones within each stretch, s."""
    kept = true_s if found.stands is None else true_s[found.stands.keep]
    return max(float(np.ptp((found.clock.time_s - kept)[start:stop])) for start, stop in found.clock.segments)


@pytest.mark.parametrize("tick_s", [0.010, 0.015, 0.050, 0.1])
def test_rows_between_ticks_take_the_times_of_a_line(tick_s):
    found = clock_of(floored(TRUE_S, tick_s))
    assert found.clock.even
    assert found.clock.rate_hz == pytest.approx(RATE_HZ, rel=1e-4)
    assert strays(found) < 1e-4
    assert (jumps_finding("log", found.clock, MS, found.batches) is not None) is (tick_s > 0.02)


def test_ticks_of_a_clock_that_are_no_multiples_of_what_is_written():
    """15.625 ms in whole ms: 15 or 16, as an operating system's clock."""
    found = clock_of(floored(floored(TRUE_S, 0.015625), MS))
    assert found.clock.even
    assert strays(found) < 1e-4


@pytest.mark.parametrize("seed", range(5))
def test_buffers_of_any_length_stamped_late(seed):
    found = clock_of(stamped_at_the_end(np.random.default_rng(seed)))
    assert found.clock.even
    assert found.clock.rate_hz == pytest.approx(RATE_HZ, rel=1e-3)
    assert "ticks in jumps" in jumps_finding("log", found.clock, MS, found.batches).message


@pytest.mark.parametrize("lost_s", [0.2, 0.5, 5.0])
def test_what_is_lost_beyond_a_tick_is_a_gap(lost_s):
    true_s = np.delete(TRUE_S, np.arange(5000, 5000 + round(lost_s * RATE_HZ)))
    found = clock_of(floored(true_s, 0.05))
    assert len(found.clock.gaps) == 1
    assert found.clock.gap_s == pytest.approx(lost_s, abs=0.06)
    assert strays(found, true_s) < 1e-4


@pytest.mark.parametrize("often", [1, 4])
def test_a_clock_that_stands_and_then_is_where_the_rows_are(often):
    stamps = TRUE_S.copy()
    for begin in np.linspace(4, 14, often):
        stamps[(stamps > begin) & (stamps < begin + 2)] = begin
    found = clock_of(floored(stamps, MS))
    assert found.stands is None
    assert strays(found) < 1e-4
    assert "rows (2 s by their pace)" in jumps_finding("log", found.clock, MS, found.batches).message


@pytest.mark.parametrize("missed_s", [0.0, 1.0, 5.0])
def test_a_clock_that_stands_and_then_is_elsewhere_gives_a_gap(missed_s):
    """It stands for 2 s of rows and then jumps by less, or by more."""
    stamps = np.where(TRUE_S < 12, np.minimum(TRUE_S, 10), TRUE_S - 2 + missed_s)
    found = clock_of(stamps)
    assert (found.stands.times, found.stands.start, found.stands.stop) == (1, 5000, pytest.approx(6000, abs=1))
    assert found.clock.rate_hz == pytest.approx(RATE_HZ, rel=1e-4)
    assert found.clock.gap_s == pytest.approx(max(2.0, missed_s), abs=0.01)
    assert strays(found) < 1e-4


@pytest.mark.parametrize("begin", [True, False])
def test_rows_before_the_clock_starts_or_after_it_stops_have_no_time(begin):
    stamps = np.maximum(TRUE_S, 5) if begin else np.minimum(TRUE_S, 15)
    found = clock_of(stamps)
    assert found.stands.longest_s == pytest.approx(5.0, abs=0.01)
    assert found.clock.time_s.shape[0] == pytest.approx(15 * RATE_HZ, abs=2)
    assert (found.clock.gaps, found.clock.even) == ((), True)


def test_it_is_told_at_its_rows_and_a_stated_rate_beside_it_is_not_questioned(tmp_path):
    stamps = np.where(TRUE_S < 12, np.minimum(TRUE_S, 10), TRUE_S - 2)
    lines = [f"{1000 * second:.0f},{1000 + place % 57}" for place, second in enumerate(stamps)]
    (tmp_path / "log.csv").write_text("\n".join(["t_ms,fork", *lines]) + "\n", encoding="ascii")
    log = read_log(tmp_path / "log.csv", needed=["fork"], options=LogOptions(time=TimeColumn(column="t_ms", unit="ms")))
    told = {finding.code: finding for finding in log.findings}
    assert told.keys() == {"clock_stands", "gap"}
    assert "1 time while rows go on, the longest for 2.00 s" in told["clock_stands"].message
    assert "(rows 5002 to 6002)" in told["clock_stands"].message
    assert (told["clock_stands"].row, told["clock_stands"].second) == (5002, pytest.approx(10.0))
    assert "state rate_hz in [log]" in told["clock_stands"].message
    stated = read_log(tmp_path / "log.csv", needed=["fork"], options=LogOptions(rate_hz=float(RATE_HZ)))
    assert [finding.code for finding in stated.findings] == ["no_clock"]


@pytest.mark.parametrize("by_s", [3600.0, -3600.0, -43_200.0])
def test_a_clock_that_is_set_meanwhile(by_s):
    stamps = TRUE_S + np.where(TRUE_S >= 7, by_s, 0.0)
    found = unroll(stamps, MS)
    np.testing.assert_allclose(found.seconds, TRUE_S, atol=1e-9)
    assert (found.set_at.tolist(), found.set_by_s) == ([3499], (by_s,))
    (finding,) = found.findings("log", range(2, 2 + TRUE_S.shape[0]))
    assert (finding.code, finding.severity) == ("clock_set", "note")
    assert f"{'on' if by_s > 0 else 'back'} by {abs(by_s) / 3600:g} h in row 3502" in finding.message


@pytest.mark.parametrize("by_s", [3599.0, 3601.0, -3590.0, -7200.0, -43_000.0])
def test_a_jump_by_another_time_is_none(by_s):
    stamps = TRUE_S + np.where(TRUE_S >= 7, by_s, 0.0)
    assert unroll(stamps, MS).seconds is stamps


def test_rows_in_no_order_are_no_roll_overs():
    stamps = np.random.default_rng(3).permutation(4 * TRUE_S)
    assert unroll(stamps, MS).wraps.size == 0


@pytest.mark.parametrize("seed", range(4))
def test_whatever_shares_stamps_gives_times_that_never_fall(seed):
    """Batches of any lengths and jumps, a few of them huge, in logs of two rows and more."""
    rng = np.random.default_rng(seed)
    for _ in range(150):
        count = int(rng.choice([2, 3, 10, 16, 17, 60, 400]))
        rows = rng.choice([rng.geometric(rng.uniform(0.01, 1), count), rng.choice([1, 2, 300], count)])
        jumps = rng.choice([rng.exponential(rng.uniform(1e-4, 0.1), count), rng.choice([1e-3, 0.002, 50.0], count)])
        stamps = np.round(np.repeat(np.cumsum(jumps), rows)[:count], 4)
        if stamps[-1] > stamps[0]:
            found = stamped_clock(stamps, 1e-4, range(count))
            kept = count if found.stands is None else np.count_nonzero(found.stands.keep)
            assert found.clock.time_s.shape == (kept,)
            assert np.all(np.diff(found.clock.time_s) >= 0)
            assert np.isfinite(found.clock.rate_hz)


@pytest.mark.parametrize(("hours", "is_asked"), [(0.9, False), (1.1, True)])
def test_a_jump_of_hours_is_asked_whether_the_clock_was_set(hours, is_asked, tmp_path):
    stamps = 1000 * (TRUE_S + np.where(TRUE_S >= 7, 3600 * hours, 0.0))
    lines = [f"{stamp:.0f},{1000 + place % 57}" for place, stamp in enumerate(stamps)]
    (tmp_path / "log.csv").write_text("\n".join(["t_ms,fork", *lines]) + "\n", encoding="ascii")
    (finding,) = read_log(tmp_path / "log.csv", needed=["fork"], options=LogOptions()).findings
    assert (finding.code, finding.severity) == ("gap", "error")
    assert ("was the clock set meanwhile? Then state rate_hz" in finding.message) is is_asked
