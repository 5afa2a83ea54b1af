"""Real recordings of a damper test machine, read, measured and compared as any ride day is.

Where they come from and what stands in them: ``data/damper_rig/SOURCE.md``. The rig drives a damper through sines, so
its motion is known, and it wrote down its own velocity: two witnesses that this program had no part in.
"""

from __future__ import annotations

import json
import math
import shutil
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.model.ride import Ride
from tests.cli.run_here import commanded

RIG = Path(__file__).parent / "data" / "damper_rig"
SINE = {"0 A": "mrdamper_10mm1Hz_0A", "1 A": "mrdamper_10mm1Hz_1A"}
RAW = "mrdamper_raw_15Hz0A"
CYCLE_S = 0.984  # from one upward passage of mid-stroke to the next, read off both recordings
SIX_CYCLES = {"0 A": (0.544, 6.447), "1 A": (0.744, 6.647)}  # from low to low: 5904 samples, both ends counted
RATIO = 2.5

SINE_DAY = """\
[ride_day]
date = 2022-05-13
[bike.front]
travel_mm = 30
[bike.rear]
stroke_mm = 30
ratio = 2.5
[log]
time = { column = 1, unit = "s" }
[sensors.fork]
kind = "displacement"
end = "front"
column = 2
points = [[-15, 0.0], [15, 30.0]]
[sensors.shock]
kind = "displacement"
end = "rear"
measures = "stroke"
column = 2
points = [[-15, 0.0], [15, 30.0]]
[setups."0 A"]
[setups."0 A".other]
damper_current = "0 A"
[setups."1 A"]
[setups."1 A".other]
damper_current = "1 A"
"""

RAW_DAY = """\
[ride_day]
date = 2022-05-25
[bike.front]
travel_mm = 20
[bike.rear]
travel_mm = 20
[sensors.measured]
kind = "displacement"
end = "front"
column = "CHANNEL0"
points = [[0.1, 0.0], [-0.9, 10.0]]
[sensors.command]
kind = "displacement"
end = "rear"
measures = "travel"
column = "CHANNEL2"
points = [[0.1, 0.0], [-0.9, 10.0]]
[setups.rig]
[[runs]]
log = "mrdamper_raw_15Hz0A.txt"
setup = "rig"
"""


def run_table(current: str) -> str:
    start_s, end_s = SIX_CYCLES[current]
    return f'[[runs]]\nlog = "{SINE[current]}.txt"\nsetup = "{current}"\nstart_s = {start_s}\nend_s = {end_s}\n'


@pytest.fixture(scope="module")
def sine_day(tmp_path_factory: pytest.TempPathFactory) -> telemetry.RideDay:
    folder = tmp_path_factory.mktemp("sine")
    for name in SINE.values():
        shutil.copy(RIG / f"{name}.txt", folder)
    text = SINE_DAY + "".join(run_table(current) for current in SINE)
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    return telemetry.read_ride_day(folder)


@pytest.fixture(scope="module")
def raw_day(tmp_path_factory: pytest.TempPathFactory) -> telemetry.RideDay:
    folder = tmp_path_factory.mktemp("raw")
    shutil.copy(RIG / f"{RAW}.txt", folder)
    (folder / "ride_day.toml").write_text(RAW_DAY, encoding="utf-8")
    return telemetry.read_ride_day(folder)


@pytest.fixture(scope="module", params=list(SINE))
def current(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def columns(current: str) -> np.ndarray:
    """The recording's time, displacement, velocity and force, read without this program."""
    return np.loadtxt(RIG / f"{SINE[current]}.txt").T


@pytest.fixture(scope="module")
def ride(sine_day: telemetry.RideDay, current: str) -> Ride:
    return telemetry.load_ride(sine_day, SINE[current])


@pytest.fixture(scope="module")
def analysis(sine_day: telemetry.RideDay) -> telemetry.Analysis:
    return telemetry.analyse(sine_day)


@pytest.fixture(scope="module")
def values(analysis: telemetry.Analysis) -> dict[tuple[str, str, str], float]:
    return {(row.setup, row.measure, row.end): row.value for row in analysis.measures.itertuples()}


@pytest.fixture(scope="module")
def raw_columns() -> np.ndarray:
    """Both channels of the raw recording, split by hand, mm by the authors' scale of 10."""
    lines = (RIG / f"{RAW}.txt").read_text(encoding="ascii").splitlines()[7:]
    return 10 * np.array([[float(cell) for cell in line.split(",")[2:5:2]] for line in lines]).T


def codes(ride: Ride) -> list[str]:
    return [finding.code for finding in ride.findings]


class TestSine:
    """A sine of nominally 10 mm and 1 Hz under two damper currents."""

    def test_a_log_without_a_header_gives_every_row_on_the_rigs_clock(self, ride: Ride, columns: np.ndarray) -> None:
        assert ride.rate_hz == pytest.approx(1000, rel=1e-9)
        assert ride.segments == ((0, 7000),)
        assert np.abs(ride.time_s - columns[0]).max() < 1e-9
        assert codes(ride) == []

    def test_travel_is_the_rigs_displacement(self, ride: Ride, columns: np.ndarray) -> None:
        assert np.abs(ride.front.cleaned_mm - (columns[1] + 15)).max() < 1e-12
        assert np.abs(ride.front.travel_mm - (columns[1] + 15)).max() < 0.01
        assert np.abs(ride.rear.cleaned_mm - RATIO * (columns[1] + 15)).max() < 1e-9

    def test_speed_is_the_rigs_velocity(self, ride: Ride, columns: np.ndarray) -> None:
        """The rig differences backwards: its velocity belongs half a sample earlier than ours.

        Of speeds up to 62.6 mm/s the low-pass takes out 0.2 mm/s of noise at most; at the cut ends, where the filter
        has one side only, 0.1 s are left out.
        """
        halfway = (ride.front.speed_mm_s[1:] + ride.front.speed_mm_s[:-1]) / 2
        apart = (halfway - columns[2, 1:])[100:-100]
        assert np.abs(apart).max() < 0.2
        assert math.sqrt(np.mean(apart**2)) < 0.05

    def test_wheel_speed_at_the_rear_is_the_rigs_velocity_times_the_ratio(self, ride: Ride) -> None:
        assert np.abs(ride.rear.speed_mm_s - RATIO * ride.front.speed_mm_s).max() < 1e-6

    def test_six_cycles_are_six_hits_and_the_frequency(
        self, values: dict[tuple[str, str, str], float], current: str
    ) -> None:
        assert values[current, "riding_time", "both"] == pytest.approx(6 * CYCLE_S, abs=1e-6)
        for measure in ("strokes_per_min", "hits_per_min", "deep_hits_per_min"):
            assert values[current, measure, "front"] == pytest.approx(60 / CYCLE_S, rel=1e-6)
        assert values[current, "strokes_per_min", "front"] == pytest.approx(60, rel=0.02)  # nominally 1 Hz

    def test_amplitude_is_the_rigs(
        self, values: dict[tuple[str, str, str], float], columns: np.ndarray, current: str
    ) -> None:
        inside = (columns[0] >= SIX_CYCLES[current][0]) & (columns[0] <= SIX_CYCLES[current][1])
        stroke_mm = np.ptp(columns[1, inside])
        assert values[current, "hit_length_p50", "front"] == pytest.approx(stroke_mm, abs=0.02)
        assert values[current, "hit_length_p50", "rear"] == pytest.approx(RATIO * stroke_mm, abs=0.05)
        assert values[current, "hit_length_p50", "front"] / 2 == pytest.approx(10, rel=0.04)  # less the moving mean's
        assert values[current, "travel_max", "front"] == pytest.approx(
            100 * (columns[1, inside].max() + 15) / 30, abs=0.01
        )
        assert values[current, "dynamic_sag", "front"] == pytest.approx(
            100 * (columns[1, inside].mean() + 15) / 30, abs=0.01
        )

    def test_peak_speed_is_two_pi_f_a(self, values: dict[tuple[str, str, str], float], current: str) -> None:
        sine = 2 * math.pi / CYCLE_S * values[current, "hit_length_p50", "front"] / 2
        for measure in ("compression_speed_p50", "compression_speed_p95", "rebound_speed_p50", "rebound_speed_p95"):
            assert values[current, measure, "front"] == pytest.approx(sine, rel=0.015)
        shaft = values[current, "shaft_compression_speed_p95", "rear"]
        assert shaft == pytest.approx(values[current, "compression_speed_p95", "front"], rel=1e-6)

    def test_under_six_seconds_there_are_no_ten_a_minute(self, analysis: telemetry.Analysis) -> None:
        absent = {(row.measure, row.end): row.reason for row in analysis.runs[0].absent}
        assert "5.9 s of riding" in absent["compression_speed_10_per_min", "front"]
        assert "8 s of riding" in absent["strongest_slow_frequency", "rear"]

    def test_the_rigs_two_currents_move_alike_and_nothing_is_called_changed(self, sine_day: telemetry.RideDay) -> None:
        """Seven times the force, the same driven motion: whoever reads motion alone must see no difference."""
        comparison = telemetry.compare(sine_day)
        results = comparison.results.set_index(["measure", "end"])
        assert "one run of each" in results.loc[("dynamic_sag", "front"), "reason"]
        assert results.loc[("compression_speed_10_per_min", "front"), "verdict"] == "undecided"
        assert not set(results["verdict"]) & {"changed", "unchanged"}
        runs = telemetry.analyse(sine_day).runs
        for measure, most in (("dynamic_sag", 0.2), ("hit_depth_p95", 0.05), ("compression_speed_p95", 0.1)):
            assert runs[0].value(measure, "front") == pytest.approx(runs[1].value(measure, "front"), abs=most)
        assert [row.words for row in comparison.setup_differences if "current" in row.key]


class TestRaw:
    """The acquisition program's own file: seven lines above the data, events in some rows, stamps in words."""

    @pytest.fixture(scope="class")
    @classmethod
    def ride(cls, raw_day: telemetry.RideDay) -> Ride:
        return telemetry.load_ride(raw_day, RAW)

    def test_the_file_is_as_it_was_written(self) -> None:
        raw = (RIG / f"{RAW}.txt").read_bytes()
        assert raw.startswith(b"Header Size:  7\r\n")
        assert raw.count(b"\r\n") == raw.count(b"\n") == 8007
        assert b"DAQ Start\r\n" in raw

    def test_the_header_is_found_under_its_seven_lines(self, ride: Ride) -> None:
        read = next(step for step in ride.history if step.stage == "read")
        assert "header in row 7" in read.words
        assert read.parameters["rows"] == 8000

    def test_stamps_in_words_run_at_a_thousand_rows_a_second(self, ride: Ride) -> None:
        assert ride.rate_hz == pytest.approx(1000, rel=1e-9)
        assert np.abs(ride.time_s - np.arange(8000) / 1000).max() < 1e-9
        assert ride.segments == ((0, 8000),)

    def test_the_row_with_an_event_is_told_and_its_readings_are_used(self, ride: Ride, raw_columns: np.ndarray) -> None:
        ragged = [finding for finding in ride.findings if finding.code == "ragged_rows"]
        assert [(finding.row, finding.severity) for finding in ragged] == [(8, "warning")]
        assert "more or fewer cells than the others (5), the first is row 8" in ragged[0].message
        assert ride.front.cleaned_mm[0] == pytest.approx(1 - raw_columns[0, 0], abs=1e-12)

    def test_both_position_channels_are_read(self, ride: Ride, raw_columns: np.ndarray) -> None:
        for signal, column in zip((ride.front, ride.rear), raw_columns, strict=True):
            assert np.abs(signal.cleaned_mm - (1 - column)).max() < 1e-12
            assert np.abs(signal.travel_mm - signal.cleaned_mm).max() < 0.05

    def test_the_damper_follows_its_command(self, ride: Ride) -> None:
        """What is measured comes later than what was commanded and falls short of it."""
        command, measured = ride.rear.travel_mm, ride.front.travel_mm
        moving = slice(3000, None)
        lags = np.arange(0, 60)
        fit = [np.corrcoef(command[3000 - lag : 8000 - lag], measured[moving])[0, 1] for lag in lags]
        best = int(np.argmax(fit))
        assert 0 < best < 59
        assert fit[best] > 0.999
        assert np.ptp(measured[moving]) < np.ptp(command[moving])

    def test_too_slow_a_motion_to_be_riding_is_said_and_not_measured(self, raw_day: telemetry.RideDay) -> None:
        """Rest, then a sine that stays under 20 mm/s for most of the recording: standing, by definition."""
        run = telemetry.analyse(raw_day).runs[0]
        assert "not_riding" in {finding.code for finding in run.findings}
        assert run.usable == "ride again"
        assert run.measures == ()


class TestCommands:
    def test_analyse_prints_what_the_library_measures(
        self, sine_day: telemetry.RideDay, values: dict[tuple[str, str, str], float]
    ) -> None:
        code, output, _ = commanded("analyse", sine_day.path, "--json")
        assert code == 0
        told = {
            (run["setup"], row["measure"], row["end"]): row["value"]
            for run in json.loads(output)["runs"]
            for row in run["measures"]
        }
        assert told == values

    def test_check_calls_the_sine_usable_with_care(self, sine_day: telemetry.RideDay) -> None:
        code, output, _ = commanded("check", sine_day.folder, "--json")
        assert code == 0
        assert [run["usable"] for run in json.loads(output)["runs"]] == ["with care", "with care"]

    def test_compare_decides_nothing_from_one_run_of_each(self, sine_day: telemetry.RideDay) -> None:
        code, output, _ = commanded("compare", sine_day.path, "--json")
        assert code == 0
        answer = json.loads(output)
        assert (answer["baseline"], answer["candidates"]) == ("0 A", ["1 A"])
        assert {row["verdict"] for row in answer["results"]} <= {"undecided", None}

    def test_a_day_whose_only_run_cannot_be_used_is_refused_in_one_line(self, raw_day: telemetry.RideDay) -> None:
        code, output, errors = commanded("analyse", raw_day.path, "--json")
        assert (code, output) == (2, "")
        assert RAW in errors
        assert "Traceback" not in errors

    @pytest.mark.parametrize("name", [RAW, SINE["1 A"]])
    def test_a_new_day_is_drafted_from_a_recording_as_it_lies(self, tmp_path: Path, name: str) -> None:
        shutil.copy(RIG / f"{name}.txt", tmp_path)
        code, _, _ = commanded("new", tmp_path)
        assert code == 0
        draft = (tmp_path / "ride_day.toml").read_text(encoding="utf-8")
        assert f'log = "{name}.txt"' in draft
