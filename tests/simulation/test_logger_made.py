"""The whole logger: readings at true instants, faults where asked and nowhere else, the same bytes from a seed."""

from __future__ import annotations

import gzip
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from telemetry.errors import CallError
from telemetry.simulation.body import Place
from telemetry.simulation.clock_made import Clock
from telemetry.simulation.faults import Faults, moments
from telemetry.simulation.inertial_made import MadeInertial
from telemetry.simulation.log_text import log_text, packed, write_columns
from telemetry.simulation.logger import MadeLogger, log_columns, write_log
from telemetry.simulation.sensors_made import MadeSpeed
from telemetry.simulation.signals import Signals
from tests.simulation.made_signals import FORK, RATE_HZ, SHOCK, constant, logger, swinging

COLUMNS = {axis: axis for axis in ("ax", "ay", "az", "gx", "gy", "gz")}


def rng(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


def fork_mm(readings: np.ndarray) -> np.ndarray:
    return (readings - FORK.points[0][0]) / FORK.counts_a_mm


def true_fork_mm(time_s: np.ndarray) -> np.ndarray:
    return 80 + 40 * np.sin(2 * np.pi * 1.7 * time_s) + 20 * np.sin(2 * np.pi * 7.3 * time_s)


@pytest.mark.parametrize("drift_ppm", [0.0, 3000.0])
def test_readings_are_those_of_the_true_instants(drift_ppm: float) -> None:
    made = logger(unit="us", jitter_share=0.2, drift_ppm=drift_ppm, switched_on_s=1.25, start_s=100.0)
    columns = log_columns(made, swinging(), rng())
    true_s = 1.25 + (columns["t_ms"] * 1e-6 - 100.0) / (1 + drift_ppm * 1e-6)
    error = fork_mm(columns["A0"]) - true_fork_mm(true_s)
    half_a_count = 0.5 / FORK.counts_a_mm
    assert np.max(np.abs(error)) < half_a_count + 0.005  # a microsecond's motion, and lines between samples
    stroke = 30 + 15 * np.sin(2 * np.pi * 1.9 * true_s) + 10 * np.sin(2 * np.pi * 6.1 * true_s)
    error = (columns["A1"] - SHOCK.points[0][0]) / SHOCK.counts_a_mm - stroke
    assert np.max(np.abs(error)) < -0.5 / SHOCK.counts_a_mm + 0.005


def test_play_and_offset_reach_the_log() -> None:
    time_s = np.arange(round(20 * RATE_HZ)) / RATE_HZ
    slow = 80 + 40 * np.sin(2 * np.pi * 0.5 * time_s)
    signals = Signals(time_s=time_s, fork_travel_mm=slow, shock_stroke_mm=np.zeros_like(slow))
    loose = replace(logger(), displacement=(replace(FORK, hysteresis_mm=2.0, offset_mm=3.0),))
    columns = log_columns(loose, signals, rng())
    at_s = columns["t_ms"] / 1000
    behind = 80 + 40 * np.sin(np.pi * at_s) - fork_mm(columns["A0"])
    sinking, rising = np.cos(np.pi * at_s) > 0.5, np.cos(np.pi * at_s) < -0.5
    settled = at_s > 1
    assert np.allclose(behind[settled & sinking], 1.0 - 3.0, atol=0.03)
    assert np.allclose(behind[settled & rising], -1.0 - 3.0, atol=0.03)


def test_two_loggers_each_with_its_own_clock_log_the_same_bike() -> None:
    signals = swinging(60.0)
    front = MadeLogger(clock=Clock(rate_hz=500.0, unit="us", column="t"), displacement=(FORK,))
    late = Clock(rate_hz=400.0, unit="us", column="t", drift_ppm=400.0, switched_on_s=2.0, start_s=7.0)
    again = MadeLogger(clock=late, displacement=(replace(FORK, column="B0"),))
    first, second = log_columns(front, signals, rng()), log_columns(again, signals, rng())
    own = second["t"] * 1e-6 - 7.0
    apart = own - (own / (1 + 400e-6))
    assert apart[-1] == pytest.approx(58 * 400e-6, rel=1e-3)
    at = np.interp(2.0 + own - apart, first["t"] * 1e-6, fork_mm(first["A0"]))
    assert np.max(np.abs(at - fork_mm(second["B0"]))) < 0.15
    unaligned = np.interp(2.0 + own, first["t"] * 1e-6, fork_mm(first["A0"]))
    assert np.max(np.abs(unaligned - fork_mm(second["B0"]))[-2000:]) > 5


def test_gaps_lose_exactly_their_rows() -> None:
    gaps = ((3.0, 0.5), (10.001, 1.0))
    whole = log_columns(logger(), swinging(), rng())
    holed = log_columns(logger(Faults(gaps=gaps)), swinging(), rng())
    time_s = whole["t_ms"] / 1000
    kept = np.ones(time_s.shape, dtype=bool)
    for start, length in gaps:
        kept &= (time_s < start - 1e-9) | (time_s >= start + length - 1e-9)
    assert np.count_nonzero(~kept) == 250 + 500
    for column, readings in whole.items():
        assert np.array_equal(holed[column], readings[kept])


def test_dropouts_come_as_often_and_last_as_long_as_asked() -> None:
    faults = Faults(dropout_rate_per_min=20.0, dropout_s=0.1)
    found = [log_columns(logger(faults), constant(40.0), rng(seed))["t_ms"] for seed in range(20)]
    step = np.concatenate([np.diff(stamp) for stamp in found])
    lost = step[step > 3]
    mean = 20 * 20
    assert abs(lost.size - mean) < 4 * np.sqrt(mean) + 0.1 * 20 * mean / 60  # Poisson, fewer where two overlap
    assert np.median(lost) == pytest.approx(102, abs=2)
    assert np.all(step[step <= 3] == 2)


def test_spikes_are_single_samples_of_the_asked_size_and_touch_nothing_else() -> None:
    faults = Faults(spikes_per_min=30.0, spike_counts=900.0)
    whole = log_columns(logger(), swinging(60.0), rng())
    spiked = log_columns(logger(faults), swinging(60.0), rng())
    assert np.array_equal(whole["t_ms"], spiked["t_ms"])
    for column in ("A0", "A1"):
        jump = spiked[column] - whole[column]
        assert set(np.abs(jump[jump != 0])) == {900.0}
        assert 30 - 4 * np.sqrt(30) < np.count_nonzero(jump) < 30 + 4 * np.sqrt(30)
    assert not np.array_equal(np.flatnonzero(spiked["A0"] - whole["A0"]), np.flatnonzero(spiked["A1"] - whole["A1"]))


def test_a_spike_stays_in_the_converters_range() -> None:
    faults = Faults(spikes_per_min=600.0, spike_counts=3000.0)
    columns = log_columns(logger(faults), constant(20.0), rng())
    assert columns["A0"].max() == columns["A0"].min() + 3000
    huge = log_columns(logger(Faults(spikes_per_min=600.0, spike_counts=9000.0)), constant(20.0), rng())
    assert {huge["A0"].min(), huge["A0"].max()} <= {0.0, 631.0, 4095.0}


def test_moments_are_a_poisson_process() -> None:
    drawn = [moments(12.0, 10.0, 70.0, rng(seed)) for seed in range(2000)]
    number = np.array([found.size for found in drawn])
    assert number.mean() == pytest.approx(12, abs=4 * np.sqrt(12 / 2000))
    assert number.var() == pytest.approx(12, rel=0.15)
    assert np.concatenate(drawn).mean() == pytest.approx(40, abs=1)


def test_turning_one_fault_on_leaves_every_other_reading() -> None:
    noisy = replace(logger(), displacement=(replace(FORK, noise_mm=0.3), replace(SHOCK, noise_mm=0.3)))
    still_noisy = replace(noisy, faults=Faults(spikes_per_min=20.0, spike_counts=500.0))
    before, after = log_columns(noisy, swinging(), rng()), log_columns(still_noisy, swinging(), rng())
    assert 0 < np.count_nonzero(before["A0"] != after["A0"]) < 20


def test_all_sensors_stand_in_the_order_of_the_file() -> None:
    imu = MadeInertial(place=Place(), columns=COLUMNS)
    made = replace(logger(), inertial=(imu,), speed=MadeSpeed(column="v", unit="km/h"))
    columns = log_columns(made, swinging(), rng())
    assert list(columns) == ["t_ms", "A0", "A1", *COLUMNS, "v"] == list(made.decimals())
    time_s = columns["t_ms"] / 1000
    assert np.allclose(columns["az"], 1 + 3 * np.sin(4 * np.pi * time_s) / 9.80665, atol=1e-3)
    assert np.allclose(columns["v"], 3.6 * (6 + np.sin(time_s / 3)), atol=1e-4)


def test_nothing_is_filtered_before_it_is_sampled() -> None:
    time_s = np.arange(int(20 * RATE_HZ)) / RATE_HZ
    fast = 80 + 10 * np.sin(2 * np.pi * 480 * time_s)  # at 500 Hz it folds down to 20 Hz
    signals = Signals(time_s=time_s, fork_travel_mm=fast, shock_stroke_mm=np.zeros_like(fast))
    read = fork_mm(log_columns(logger(), signals, rng())["A0"])
    spectrum = np.abs(np.fft.rfft(read[:5000] - read[:5000].mean())) / 2500
    assert np.argmax(spectrum) == 200  # 20 Hz in 10 s
    assert spectrum[200] == pytest.approx(10, rel=0.02)


def test_a_missing_signal_and_too_short_a_log_are_refused() -> None:
    made = replace(logger(), inertial=(MadeInertial(place=Place(), columns=COLUMNS),))
    with pytest.raises(ValueError, match="column 'ax': found no motion of the frame"):
        log_columns(made, constant(5.0, 1.0), rng())
    with pytest.raises(ValueError, match="column 'v': found no ground speed"):
        log_columns(replace(logger(), speed=MadeSpeed(column="v")), constant(5.0, 1.0), rng())
    with pytest.raises(
        ValueError, match="0 rows left of a log from 90 s on, where signals last from 0 to 1 s: it takes two"
    ):
        log_columns(logger(switched_on_s=90.0), constant(5.0, 1.0), rng())
    with pytest.raises(ValueError, match="0 rows left"):
        log_columns(logger(Faults(gaps=((0.0, 5.0),))), constant(5.0, 1.0), rng())


def test_columns_need_names_of_their_own_and_a_logger_a_sensor() -> None:
    with pytest.raises(ValueError, match="found 3 columns under 2 names"):
        MadeLogger(clock=Clock(rate_hz=500.0), displacement=(FORK, FORK))
    with pytest.raises(ValueError, match="found no sensor"):
        MadeLogger(clock=Clock(rate_hz=500.0))
    with pytest.raises(ValueError, match=r"Faults\.dropout_s: found 11"):
        Faults(dropout_s=11.0)
    with pytest.raises(ValueError, match=r"Faults\.gaps: found"):
        Faults(gaps=((1.0, -1.0),))


@pytest.mark.parametrize("name", ["log.csv", "log.csv.gz"])
def test_the_same_seed_writes_the_same_bytes_under_any_name(name: str, tmp_path: Path) -> None:
    made = replace(logger(jitter_share=0.1), displacement=(replace(FORK, noise_mm=0.2), SHOCK))
    first, again, other = (tmp_path / f"{place}_{name}" for place in range(3))
    write_log(first, made, swinging(), rng(4))
    write_log(again, made, swinging(), rng(4))
    write_log(other, made, swinging(), rng(5))
    assert first.read_bytes() == again.read_bytes()
    assert first.read_bytes() != other.read_bytes()


def test_a_packed_log_unpacks_to_the_plain_one_and_tells_neither_time_nor_name() -> None:
    text = b"t_ms,A0\n0,1\n"
    data = packed(text)
    assert gzip.decompress(data) == text
    assert data[3] == 0  # no file name, no comment
    assert data[4:8] == bytes(4)  # no time


def test_text_has_the_asked_decimals_and_no_negative_zero() -> None:
    columns = {"t": np.array([0.0, 0.5]), "n": np.array([-0.2, 3.0]), "x": np.array([-0.0004, 1.23456])}
    assert log_text(columns, {"t": 6, "n": 0, "x": 2}) == "t,n,x\n0.000000,0,0.00\n0.500000,3,1.23\n"


def test_what_is_no_log_is_refused(tmp_path: Path) -> None:
    good = np.zeros(2)
    with pytest.raises(ValueError, match="column 'x', reading 1: found nan"):
        log_text({"x": np.array([0.0, np.nan])}, {"x": 0})
    with pytest.raises(ValueError, match="expected one length"):
        log_text({"x": good, "y": np.zeros(3)}, {"x": 0, "y": 0})
    with pytest.raises(ValueError, match="found column name 'a,b'"):
        log_text({"a,b": good}, {"a,b": 0})
    with pytest.raises(CallError, match=r"a name in \.csv or \.csv\.gz"):
        write_columns(tmp_path / "log.txt", {"x": good}, {"x": 0})
    with pytest.raises(CallError, match="no folder"):
        write_columns(tmp_path / "nowhere" / "log.csv", {"x": good}, {"x": 0})


def test_signals_are_checked() -> None:
    time_s = np.arange(5) / 1000
    flat = np.zeros(5)
    with pytest.raises(ValueError, match="signal shock_stroke_mm: found shape"):
        Signals(time_s=time_s, fork_travel_mm=flat, shock_stroke_mm=flat[:3])
    with pytest.raises(ValueError, match=r"fork_travel_mm: found a value that is no finite number at sample 2"):
        Signals(time_s=time_s, fork_travel_mm=np.array([0, 0, np.nan, 0, 0]), shock_stroke_mm=flat)
    with pytest.raises(ValueError, match="signal time_s: found uneven"):
        Signals(time_s=time_s**2, fork_travel_mm=flat, shock_stroke_mm=flat)
