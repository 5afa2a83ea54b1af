"""`replayed_rows`: readings that come again bit for bit while the clock goes on."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.logs import read_log
from telemetry.logs.replays import Replay, find_replay
from telemetry.model.arrays import Floats
from telemetry.model.day import LogOptions

RATE_HZ = 500.0


def ridden(count: int, seed: int) -> Floats:
    """Return whole counts of an end at work, with a converter's noise."""
    rng = np.random.default_rng(seed)
    time = np.arange(count) / RATE_HZ
    return np.rint(2000 + 600 * np.sin(2 * np.pi * (1.1 * time + rng.uniform())) + rng.normal(0, 8, count))


def replayed(first: int, start: int, length: int, columns: int = 2, count: int = 20_000) -> list[Floats]:
    made = [ridden(count, seed) for seed in range(columns)]
    for column in made:
        column[start : start + length] = column[first : first + length].copy()
    return made


@pytest.mark.parametrize("columns", [1, 2, 5])
@pytest.mark.parametrize(("first", "start", "length"), [(0, 4000, 2500), (3111, 9007, 501), (7000, 7800, 800)])
def test_the_rows_and_where_they_stood(first: int, start: int, length: int, columns: int) -> None:
    found = find_replay(replayed(first, start, length, columns), RATE_HZ)
    assert found is not None
    assert found.start - found.first == start - first
    assert (found.start, found.stop) == pytest.approx(
        (start, start + length), abs=2
    )  # the rows beside it may chance to fit


def test_to_the_last_row() -> None:
    assert find_replay(replayed(100, 15_000, 5000), RATE_HZ) == Replay(first=100, start=15_000, stop=20_000)


@pytest.mark.parametrize("seed", range(20))
def test_a_ride_is_none(seed: int) -> None:
    assert find_replay([ridden(60_000, seed), ridden(60_000, seed + 100)], RATE_HZ) is None


def test_a_slow_ride_on_a_coarse_converter_is_none() -> None:
    coarse = np.rint(ridden(60_000, 1) / 32) * 32
    assert find_replay([coarse, np.rint(ridden(60_000, 2) / 32) * 32], RATE_HZ) is None


@pytest.mark.parametrize("length", [100, 300, 480])
def test_under_a_second_is_none(length: int) -> None:
    assert find_replay(replayed(3000, 9000, length), RATE_HZ) is None


def test_a_signal_that_repeats_itself_period_by_period_is_none() -> None:
    """400 rows a period: such a log is made, not ridden."""
    wave = np.rint(2000 + 600 * np.sin(2 * np.pi * np.arange(30_000) / 400))
    assert find_replay([wave], RATE_HZ) is None
    assert find_replay([wave, np.roll(wave, 77)], RATE_HZ) is None


def test_ends_at_rest_are_none() -> None:
    assert find_replay([np.full(20_000, 812.0), np.full(20_000, 300.0)], RATE_HZ) is None
    made = replayed(0, 0, 0)
    for column in made:
        column[2000:5000] = column[9000:12_000] = 700.0
    assert find_replay(made, RATE_HZ) is None


def test_when_only_one_column_comes_again_it_is_none() -> None:
    made = replayed(3000, 9000, 3000)
    made[1] = ridden(20_000, 9)
    assert find_replay(made, RATE_HZ) is None


@pytest.mark.parametrize("count", [0, 1, 17, 999])
def test_too_few_rows(count: int) -> None:
    assert find_replay([ridden(count, 1)], RATE_HZ) is None


def test_what_a_gap_breaks_off_is_none() -> None:
    wave = np.rint(2000 + 600 * np.sin(2 * np.pi * 0.17 * np.arange(20_000) / 50))
    gap = np.r_[0:6000, 6400:20_000]
    assert find_replay([wave[gap]], RATE_HZ, ((0, 6000), (6000, 19_600))) is None


def test_the_same_bump_twice_on_flat_ground_is_none() -> None:
    bump = np.rint(500 + 300 * np.sin(np.pi * np.arange(600) / 600) ** 2)
    flat = [np.full(length, 500.0) for length in (700, 1500, 900)]
    assert find_replay([np.concatenate([flat[0], bump, flat[1], bump, flat[2]])], RATE_HZ) is None


@pytest.mark.parametrize("length", [3000, 5000])
def test_a_log_is_told_with_rows_and_seconds(tmp_path, length: int) -> None:
    front, rear = replayed(3000, 9000, length)
    rows = [f"{2 * place},{a:.0f},{b:.0f}" for place, (a, b) in enumerate(zip(front, rear, strict=True))]
    (tmp_path / "log.csv").write_text("\n".join(["t_ms,a,b", *rows]) + "\n")
    (found,) = read_log(tmp_path / "log.csv", needed=("a", "b"), options=LogOptions()).findings
    assert (found.code, found.severity) == ("replayed_rows", "warning")
    assert found.row == pytest.approx(9002, abs=1)
    assert found.second == pytest.approx(18.0, abs=0.01)
    for words in (
        "rows 9002 to",
        "from 3002 on",
        f"{length / RATE_HZ:.1f} s from 18.00 s",
        "buffer twice",
        "ride again",
    ):
        assert words in found.message
