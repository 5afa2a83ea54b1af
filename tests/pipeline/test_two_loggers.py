"""Runs of two loggers measure what one logger would have measured, or say what they can't."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.errors import CallError, LogError
from telemetry.model.analysis import Analysis
from telemetry.simulation.day_made import make_day
from telemetry.simulation.scenario import read_scenario
from tests.simulation.small_scenario import changed, scenario_file

TWO = ("ground_speed = true\n", "two_loggers = true\n")
ALIKE = {
    "dynamic_sag": 0.002,
    "travel_p95": 0.004,
    "hit_depth_p95": 0.004,
    "compression_speed_p95": 0.03,
    "rebound_speed_p95": 0.03,
    "riding_time": 0.005,
}


def analysed(folder: Path, *changes: tuple[str, str], clock: str = "") -> Analysis:
    folder.mkdir(parents=True)
    with_clock = ("[logger.fork]", f"{clock}[logger.fork]")
    text = changed(("pushes = false\n", ""), with_clock, *changes)
    make_day(read_scenario(scenario_file(folder, text)), folder / "day")
    return telemetry.analyse(telemetry.read_ride_day(folder / "day"))


def clock(drift_ppm: float, late_s: float, rate_hz: float = 500) -> str:
    return f"[logger.rear_clock]\ndrift_ppm = {drift_ppm}\nswitched_on_s = {late_s}\nrate_hz = {rate_hz}\n"


@pytest.fixture(scope="module")
def one_logger(tmp_path_factory: pytest.TempPathFactory) -> Analysis:
    return analysed(tmp_path_factory.mktemp("one") / "day", ("ground_speed = true\n", ""))


@pytest.mark.parametrize(
    ("drift_ppm", "late_s", "rate_hz"), [(0.0, 0.0, 480), (150.0, 0.1, 500), (-150.0, 0.05, 500), (80.0, 0.1, 400)]
)
def test_pushes_join_two_clocks(
    tmp_path: Path, one_logger: Analysis, drift_ppm: float, late_s: float, rate_hz: float
) -> None:
    found = analysed(tmp_path / "two", TWO, clock=clock(drift_ppm, late_s, rate_hz))
    for run, single in zip(found.runs, one_logger.runs, strict=True):
        (told,) = [finding for finding in run.findings if finding.code == "loggers_joined"]
        assert told.severity == "note"
        step = next(step for step in run.history if step.stage == "joining")
        assert step.parameters["drift_ppm"] == pytest.approx(-drift_ppm, abs=60)  # 20 s are short to tell a drift
        for row in single.measures:
            if row.measure in ALIKE:
                value = run.value(row.measure, row.end)
                assert value == pytest.approx(row.value, rel=ALIKE[row.measure]), (row.measure, row.end)
        absent = {(row.measure, row.end): row.reason for row in run.absent}
        assert "too far apart" in absent["ground_speed", "both"]
        assert run.value("compression_speed_ratio", "both") is not None


def test_a_file_for_each_sensor_of_one_logger_is_one_clock(tmp_path: Path, one_logger: Analysis) -> None:
    found = analysed(tmp_path / "two", TWO, clock=clock(0.0, 0.0))
    for run, single in zip(found.runs, one_logger.runs, strict=True):
        (told,) = [finding for finding in run.findings if finding.code == "loggers_joined"]
        assert "offset +0.000 s, drift +0 ppm, by the stamps" in told.message
        for measure in ("ground_speed", "compression_speed_ratio"):
            assert run.value(measure, "both") == pytest.approx(single.value(measure, "both"), rel=0.01)


def test_without_pushes_each_end_is_measured_and_nothing_between_them(tmp_path: Path) -> None:
    found = analysed(tmp_path / "two", TWO, ("[day]\n", "[day]\npushes = false\n"), clock=clock(50.0, 1.0))
    for run in found.runs:
        (told,) = [finding for finding in run.findings if finding.code == "loggers_not_joined"]
        assert told.severity == "warning"
        absent = {(row.measure, row.end): row.reason for row in run.absent}
        for measure in ("ground_speed", "airborne_time", "rebound_speed_ratio", "compression_speed_ratio"):
            assert "joined roughly only" in absent[measure, "both"]
        sags = [run.value("dynamic_sag", end) or 0.0 for end in ("front", "rear")]
        assert run.value("sag_difference", "both") == pytest.approx(sags[0] - sags[1])
        assert run.value("dynamic_sag", "front") is not None
        assert run.value("dynamic_sag", "rear") is not None
    compared = telemetry.compare(telemetry.read_ride_day(tmp_path / "two" / "day"))
    differences = {row.measure: row.difference for row in compared.verdicts.results if row.end == "both"}
    assert differences["sag_difference"] is not None
    assert differences["compression_speed_ratio"] is None


def with_marker(folder: Path, at_s: tuple[float, ...], drift: float, late_s: float) -> None:
    """Wire a button to both logs of the first run."""
    for name, rate, offset in (("run_1_front.csv", 1.0, 0.0), ("run_1_rear.csv", 1 + drift, late_s)):
        path = folder / name
        lines = path.read_text(encoding="utf-8").splitlines()
        times = [float(line.split(",")[0]) for line in lines[1:]]
        unit = 1000.0 if times[-1] > 1000 else 1.0
        start = times[0]
        rows = [f"{lines[0]},button"]
        for line, stamp in zip(lines[1:], times, strict=True):
            here = (stamp - start) / unit / rate + offset
            rows.append(f"{line},{int(any(at <= here < at + 0.1 for at in at_s))}")
        path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    file = folder / "ride_day.toml"
    sensor = '[sensors.button]\nkind = "marker"\ncolumn = "button"\nequals = 1\n'
    file.write_text(file.read_text(encoding="utf-8") + sensor, encoding="utf-8")


def test_a_common_marker_joins_them_closely_enough_for_ground_speed(tmp_path: Path, one_logger: Analysis) -> None:
    analysed(tmp_path / "two", TWO, ("[day]\n", "[day]\npushes = false\n"), clock=clock(0.0, 0.0))
    folder = tmp_path / "two" / "day"
    text = (folder / "ride_day.toml").read_text(encoding="utf-8")
    second = text.index("[[runs]]", text.index("[[runs]]") + 1)
    (folder / "ride_day.toml").write_text(text[:second] + text[text.index("[[static]]") :], encoding="utf-8")
    with_marker(folder, (2.0, 9.0, 16.0), 0.0, 0.0)
    run = telemetry.analyse(telemetry.read_ride_day(folder)).runs[0]
    (told,) = [finding for finding in run.findings if finding.code == "loggers_joined"]
    assert "3 presses of marker 'button'" in told.message
    assert run.value("ground_speed", "both") == pytest.approx(
        one_logger.runs[0].value("ground_speed", "both"), rel=0.04
    )


def test_a_log_of_two_rides_is_not_stretched_over_one(tmp_path: Path, one_logger: Analysis) -> None:
    """Its first pushes and its last are of two rides: a line through both would double every speed."""
    analysed(tmp_path / "two", TWO, clock=clock(0.0, 0.0))
    folder = tmp_path / "two" / "day"
    header, *rows = (folder / "run_1_rear.csv").read_text(encoding="utf-8").splitlines()
    cells = [row.split(",", 1) for row in rows]
    later = float(cells[-1][0]) + float(cells[1][0]) - float(cells[0][0])
    again = [f"{float(stamp) + later:.10g},{int(rest) + place % 2}" for place, (stamp, rest) in enumerate(cells)]
    (folder / "run_1_rear.csv").write_text("\n".join([header, *rows, *again]) + "\n", encoding="utf-8")
    run = telemetry.analyse(telemetry.read_ride_day(folder)).runs[0]
    (told,) = [finding for finding in run.findings if finding.code == "loggers_not_joined"]
    assert "shake" in told.message
    usual = one_logger.runs[0].value("compression_speed_p95", "rear")
    assert run.value("compression_speed_p95", "rear") == pytest.approx(usual, rel=0.05)


def test_an_error_names_the_log_it_is_in(tmp_path: Path) -> None:
    analysed(tmp_path / "two", TWO, clock=clock(0.0, 0.0))
    folder = tmp_path / "two" / "day"
    (folder / "run_1_rear.csv").write_text("t_ms,B7\n0,1\n4,2\n", encoding="utf-8")
    (error,) = telemetry.analyse(telemetry.read_ride_day(folder)).unread
    assert isinstance(error, LogError)
    assert "run_1_rear.csv: found no column" in error.line


def test_one_run_can_be_loaded(tmp_path: Path) -> None:
    analysed(tmp_path / "two", TWO, clock=clock(100.0, 0.05))
    folder = tmp_path / "two" / "day"
    day = telemetry.read_ride_day(folder)
    ride = telemetry.load_ride(day, "run_1")
    assert ride.front.travel_mm.shape == ride.rear.travel_mm.shape == ride.time_s.shape
    lines = (folder / "run_1_rear.csv").read_text(encoding="utf-8").splitlines()
    still = [lines[0], *(",".join([line.split(",")[0], "900"]) for line in lines[1:])]
    (folder / "run_1_rear.csv").write_text("\n".join(still) + "\n", encoding="utf-8")
    alone = telemetry.load_ride(day, "run_1")
    assert set(alone.ends) == {"front"}
    assert alone.front.travel_mm.mean() == pytest.approx(ride.front.travel_mm.mean(), abs=0.1)
    assert {item.end for item in alone.findings if item.severity == "error"} == {"rear"}
    front = [still[0].replace("A1", "A0"), *still[1:]]
    (folder / "run_1_front.csv").write_text("\n".join(front) + "\n", encoding="utf-8")
    with pytest.raises(CallError, match="nothing joins the clocks"):
        telemetry.load_ride(day, "run_1")


def test_rows_of_the_rear_are_those_of_its_own_log(tmp_path: Path) -> None:
    """A hundred broken readings in a row of the rear's log are told with that log's row."""
    analysed(tmp_path / "two", TWO, clock=clock(0.0, 0.0, 400))
    path = tmp_path / "two" / "day" / "run_1_rear.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    first = 3000
    for place in range(first, first + 4):
        cells = lines[place].split(",")
        cells[1] = "4095"
        lines[place] = ",".join(cells)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    run = telemetry.analyse(telemetry.read_ride_day(tmp_path / "two" / "day")).runs[0]
    rows = [finding.row for finding in run.findings if finding.end == "rear" and finding.row is not None]
    assert any(np.abs(row - (first + 1)) <= 5 for row in rows), run.findings


def test_clocks_that_drift_more_than_crystals_do_are_warned_of(tmp_path: Path) -> None:
    found = analysed(tmp_path / "two", TWO, clock=clock(700.0, 0.0))
    for run in found.runs:
        (told,) = [finding for finding in run.findings if finding.code == "loggers_drift"]
        assert told.severity == "warning"
        assert "limit 200 ppm" in told.message


@pytest.mark.parametrize(("share", "severity"), [(1.0, None), (0.76, "warning"), (0.5, "error")])
def test_a_rear_log_that_covers_part_of_the_ride_is_told(
    tmp_path: Path, one_logger: Analysis, share: float, severity: str | None
) -> None:
    analysed(tmp_path / "two", TWO, clock=clock(0.0, 0.0))
    folder = tmp_path / "two" / "day"
    with_marker(folder, (1.0, 5.0), 0.0, 0.0)
    header, *rows = (folder / "run_1_rear.csv").read_text(encoding="utf-8").splitlines()
    kept = rows[: round(share * len(rows))]
    (folder / "run_1_rear.csv").write_text("\n".join([header, *kept]) + "\n", encoding="utf-8")
    text = (folder / "ride_day.toml").read_text(encoding="utf-8")
    second = text.index("[[runs]]", text.index("[[runs]]") + 1)
    file = text[:second] + text[text.index("[[static]]") :]
    (folder / "ride_day.toml").write_text(file, encoding="utf-8")
    run = telemetry.analyse(telemetry.read_ride_day(folder)).runs[0]
    told = [finding for finding in run.findings if finding.code == "loggers_overlap"]
    assert [finding.severity for finding in told] == ([] if severity is None else [severity])
    assert run.without == ("without its rear" if severity == "error" else "")
    assert bool(run.value("dynamic_sag", "rear")) is (severity != "error")
    if severity == "error":
        whole = one_logger.runs[0]
        for measure, end in (("riding_time", "both"), ("travel_p95", "front")):
            assert run.value(measure, end) == pytest.approx(whole.value(measure, end), rel=0.03)
    assert all("the rear's log lacks" in finding.message and "error above 20 %" in finding.message for finding in told)
    left = "only the front is measured" if severity == "error" else "only what both logs cover is measured"
    assert all(left in finding.message for finding in told)


@pytest.mark.parametrize("end", ["front", "rear"])
def test_a_logger_whose_clock_steps_back_leaves_the_other_end(tmp_path: Path, one_logger: Analysis, end: str) -> None:
    analysed(tmp_path / "two", TWO, clock=clock(0.0, 0.0))
    path = tmp_path / "two" / "day" / f"run_1_{end}.csv"
    header, *rows = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join([header, *rows[:3000], *rows[2000:]]) + "\n", encoding="utf-8")
    file = tmp_path / "two" / "day" / "ride_day.toml"
    run = telemetry.analyse(telemetry.read_ride_day(file)).runs[0]
    left = "rear" if end == "front" else "front"
    if end == "front":  # start_s and end_s are of its clock
        assert run.usable == "ride again"
        lines = file.read_text(encoding="utf-8").splitlines()
        unbound = (line for line in lines if not line.startswith(("start_s", "end_s")))
        file.write_text("\n".join(unbound) + "\n", encoding="utf-8")
        run = telemetry.analyse(telemetry.read_ride_day(file)).runs[0]
    assert run.without == f"without its {end}"
    assert {gone.reason for gone in run.absent if gone.end == end} == {"clock_backwards"}
    assert run.value("travel_p95", left) == pytest.approx(one_logger.runs[0].value("travel_p95", left), rel=0.02)
