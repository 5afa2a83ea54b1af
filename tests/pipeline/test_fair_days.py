"""Whole days on disk: what was noted, recorded and logged reaches the judgement of fairness."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.telling.day import naming
from telemetry.telling.fairness import compared_over
from tests.pipeline.small_days import make_day, trail, write_log

FOCUS = 'focus = ["dynamic_sag:front"]\n'


def noted(folder: Path, of_runs: Mapping[str, str]) -> Path:
    """Write lines into the tables of some runs."""
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    for run, lines in of_runs.items():
        text = text.replace(f'log = "{run}.csv"\n', f'log = "{run}.csv"\n{lines}\n')
    file.write_text(text, encoding="utf-8")
    return folder


def compared(folder: Path) -> telemetry.Comparison:
    return telemetry.compare(telemetry.read_ride_day(folder))


def messages(comparison: telemetry.Comparison, code: str) -> list[str]:
    return [item.message for item in comparison.fairness_findings if item.code == code]


def codes(comparison: telemetry.Comparison) -> set[str]:
    return {item.code for item in comparison.fairness_findings if item.severity != "note"}


def test_a_plain_day_has_nothing_against_it(tmp_path: Path) -> None:
    comparison = compared(make_day(tmp_path, "abbaab"))
    assert codes(comparison) == set()
    assert comparison.to_dict()["put_on"] == {"a": 2, "b": 2}
    assert compared_over(comparison).endswith("Put on: setup a twice, setup b twice")
    assert comparison.summaries["b"].headline.startswith("Air pressure, front: 6 → 7 bar")
    assert all(run.day == 1 and run.order_in_day is None for run in comparison.runs_used)
    assert comparison.to_dict()["runs_used"][0] == {"run": "run_1", "setup": "a", "order": 1}


def test_two_days_without_a_setup_on_both_give_numbers_and_no_verdict(tmp_path: Path) -> None:
    folder = noted(make_day(tmp_path, "aabb"), {"run_3": "date = 2026-05-23", "run_4": "date = 2026-05-23"})
    comparison = compared(folder)
    assert comparison.fairness_findings[0].code == "day_differs"
    assert [(run.day, run.order_in_day) for run in comparison.runs_used] == [(1, 1), (1, 2), (2, 1), (2, 2)]
    results = [row for row in comparison.to_dict()["results"] if row["difference"] is not None]
    assert results
    assert {row["verdict"] for row in results} == {None}
    assert all(row["reason"].startswith("day_differs") for row in results)


def test_two_days_with_a_setup_on_both_are_compared(tmp_path: Path) -> None:
    stamps = ("2026-05-16T09:00:00", "2026-05-16T10:00:00", "2026-05-17T09:00:00", "2026-05-17T10:00:00")
    lines = {f"run_{number}": f"started_at = {stamp}" for number, stamp in enumerate(stamps, 1)}
    comparison = compared(noted(make_day(tmp_path, "abba"), lines))
    assert "day_differs" not in codes(comparison)
    assert [run.day for run in comparison.runs_used] == [1, 1, 2, 2]
    assert any(row["verdict"] is not None for row in comparison.to_dict()["results"])


def test_what_is_noted_of_a_run_counts_and_a_run_left_out_does_not(tmp_path: Path) -> None:
    lines = {
        "run_2": 'air_temperature_c = 20\nlever_rear = "firm"\nrider = "R2"\npressure_after_front_bar = 6.5',
        "run_3": "air_temperature_c = 20",
        "run_5": 'air_temperature_c = 40\nrider = "R3"\ntrail_state = "snow"\nleave_out = "fell"',
    }
    folder = noted(make_day(tmp_path, "abbaa"), lines)
    text = (folder / "ride_day.toml").read_text(encoding="utf-8")
    told = 'date = 2026-05-16\nair_temperature_c = 15\nrider = "R1"\ntrail_state = "dry"'
    text = text.replace("date = 2026-05-16", told)
    text += '[setups.a.rear]\nlever = "open"\n[setups.b.rear]\nlever = "open"\n'
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    comparison = compared(folder)
    expected = {"temperature_differs", "lever_differs", "rider_differs", "pressure_lost", "run_not_usable"}
    assert codes(comparison) == expected | {"put_on_once"}
    assert comparison.summaries["b"].headline.startswith("Setup b against setup a: ")
    assert comparison.summaries["b"].left_out == "Left out: run_5 (fell)"
    assert comparison.to_dict()["left_out"] == [{"run": "run_5", "setup": "a", "end": None, "reason": "fell"}]
    assert "20.0 °C and setup a at 15.0 °C" in messages(comparison, "temperature_differs")[0]
    assert "'firm' in run_2" in messages(comparison, "lever_differs")[0]
    assert "6.5 bar after the run and 7 bar in setup b" in messages(comparison, "pressure_lost")[0]


def test_imperial_spellings_are_judged_in_bar(tmp_path: Path) -> None:
    """1 psi = 0.0689476 bar (NIST SP 811): 7 bar are 101.53 psi; 99 psi are 6.826 bar, 2.5 % less."""
    comparison = compared(noted(make_day(tmp_path, "abba"), {"run_2": "pressure_after_front_psi = 99"}))
    assert "6.826 bar after the run and 7 bar in setup b, −2.5 %" in messages(comparison, "pressure_lost")[0]


def test_a_run_with_another_calibration(tmp_path: Path) -> None:
    lines = {"run_3": "sensors = { fork = { points = [[100, 0.0], [3310, 160.0]] } }"}
    (message,) = messages(compared(noted(make_day(tmp_path, "abba"), lines)), "sensors_differ")
    assert "front travel was read otherwise in run_3 than in run_1 (calibration points" in message


def test_a_run_logged_at_another_rate(tmp_path: Path) -> None:
    folder = make_day(tmp_path, "abba")
    log = folder / "run_2.csv"
    head, *rows = log.read_text().splitlines()
    log.write_text("\n".join([head, *(row for place, row in enumerate(rows) if place % 2 == 0)]) + "\n")
    (message,) = messages(compared(folder), "rate_differs")
    assert "run_2 was logged at 125.0 rows a second and run_1 at 250.0" in message


def test_ground_speed_from_a_sensor(tmp_path: Path) -> None:
    sensor = '[sensors.hub]\nkind = "ground_speed"\ncolumn = "v"\nunit = "m/s"\n'
    folder = make_day(tmp_path, "abba", extra=sensor)
    for number, speed in enumerate((8.0, 8.3, 8.3, 8.0), 1):
        log = folder / f"run_{number}.csv"
        head, *rows = log.read_text().splitlines()
        log.write_text("\n".join([f"{head},v", *(f"{row},{speed}" for row in rows)]) + "\n")
    (message,) = messages(compared(folder), "ground_speed_differs")
    assert "8.30 m/s and setup a at 8.00 m/s on average, +3.7 % (limit 3 %, by a speed sensor)" in message


def test_friction_bands_come_from_settle_recordings(tmp_path: Path) -> None:
    tables = []
    still = np.zeros(1000)
    for setup, band in (("a", 4.0), ("b", 5.5)):
        for side, way in ((1, "compressed"), (-1, "extended")):
            name = f"settle_{setup}_{way}.csv"
            write_log(tmp_path / name, still + 45 + side * band / 2, still + 18)
            tables.append(f'[[static]]\nlog = "{name}"\nkind = "settle"\nsetup = "{setup}"\nfrom = "{way}"\n')
    (message,) = messages(compared(make_day(tmp_path, "abba", extra="".join(tables))), "friction_differs")
    assert "the front's friction band is 5.5 mm with setup b and 4.0 mm with setup a, +1.5 mm (limit 1.0 mm" in message


def test_a_setup_is_held_against_the_bikes_own_geometry(tmp_path: Path) -> None:
    folder = make_day(tmp_path, "abba", extra="[bike.geometry]\naxle_to_crown_mm = 572\n")
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace("[setups.b.front]\n", "[setups.b.front]\naxle_to_crown_mm = 582\n")
    file.write_text(f"{text}\n[setups.b.bike]\nhead_angle_deg = 63.5\n", encoding="utf-8")
    (message,) = messages(compared(folder), "geometry_differs")
    assert "axle to crown, front 572 → 582 mm" in message
    assert "head angle 64 → 63.5°" in message


def begun(folder: Path, first: dt.datetime) -> Path:
    """Give every log date-time stamps; the first begins at `first`, each an hour after the one before."""
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace('column = "t_ms", unit = "ms"', 'column = "when"')
    file.write_text(text, encoding="utf-8")
    for hour, log in enumerate(sorted(folder.glob("run_*.csv"))):
        _, *rows = log.read_text().splitlines()
        cells = [row.split(",") for row in rows]
        start = first + dt.timedelta(hours=hour)
        lines = [f"{(start + dt.timedelta(milliseconds=int(t))).isoformat()},{a},{b}" for t, a, b in cells]
        log.write_text("when,A0,A1\n" + "\n".join(lines) + "\n")
    return folder


@pytest.mark.parametrize(("named_at", "late"), [("09:59:59", False), ("10:00:01", True)])
def test_naming_is_held_against_the_logs_clock(tmp_path: Path, named_at: str, late: bool) -> None:
    wish = f"[comparison]\n{FOCUS}named_at = 2026-05-16T{named_at}\n"
    comparison = compared(begun(make_day(tmp_path, "abba", extra=wish), dt.datetime(2026, 5, 16, 10)))
    found = messages(comparison, "focus_named_late")
    assert bool(found) is late
    if late:
        assert "run_1 began at 2026-05-16 10:00:00 (its log's clock" in found[0]
    assert not messages(comparison, "naming_not_judged")


def test_a_loggers_clock_that_was_never_set_judges_nothing(tmp_path: Path) -> None:
    wish = f"[comparison]\n{FOCUS}named_at = 2026-05-16T08:00:00\n"
    comparison = compared(begun(make_day(tmp_path, "abba", extra=wish), dt.datetime(2000, 1, 1)))
    (note,) = messages(comparison, "naming_not_judged")
    assert "neither started_at nor an absolute stamp" in note


def test_started_at_counts_before_the_logs_clock_and_a_run_left_out_counts_too(tmp_path: Path) -> None:
    wish = f"[comparison]\n{FOCUS}named_at = 2026-05-16T08:30:00\n"
    folder = begun(make_day(tmp_path, "abbaa", extra=wish), dt.datetime(2026, 5, 16, 10))
    lines = {f"run_{number}": f"started_at = 2026-05-16T{7 + number:02}:00:00" for number in range(1, 6)}
    lines["run_1"] += '\nleave_out = "sighting"'
    (message,) = messages(compared(noted(folder, lines)), "focus_named_late")
    assert "run_1 began at 2026-05-16 08:00:00 (started_at" in message


def test_what_was_named_is_told_with_its_time(tmp_path: Path) -> None:
    wish = f'[comparison]\n{FOCUS}smallest_change = {{ packing = "2 mm" }}\nnamed_at = 2026-05-16T08:30:00\n'
    words = naming(telemetry.read_ride_day(make_day(tmp_path / "named", "abba", extra=wish)))
    assert words.startswith("Named at 2026-05-16 08:30. Focus: ")
    assert "front" in words
    assert words.endswith("2 mm")
    unknown = telemetry.read_ride_day(make_day(tmp_path / "when", "abba", extra=f"[comparison]\n{FOCUS}"))
    assert naming(unknown).startswith("Named at a time that isn't stated. Focus: ")
    assert naming(telemetry.read_ride_day(make_day(tmp_path / "nothing", "abba"))) == ""


def test_the_order_of_runs_in_the_file_changes_no_finding(tmp_path: Path) -> None:
    lines = {f"run_{number}": f"air_temperature_c = {8 + 2 * number}\norder = {number}" for number in range(1, 5)}
    folder = noted(make_day(tmp_path, "aabb"), lines)
    first = compared(folder).fairness_findings
    file = folder / "ride_day.toml"
    head, *runs = file.read_text(encoding="utf-8").split("[[runs]]")
    file.write_text("[[runs]]".join([head, *(f"{run.rstrip()}\n" for run in reversed(runs))]), encoding="utf-8")
    assert compared(folder).fairness_findings == first
    assert {"order_confounded"} <= {item.code for item in first}


def test_riding_times_between_marks_reach_the_judgement_of_pace(tmp_path: Path) -> None:
    """The rear repeats the front 50 rows later in every run; in the candidate's log it does so after 45."""
    marks = "".join(
        f'[[marks]]\nrun = "run_{run}"\nat_s = {at}\nname = "{name}"\n'
        for run in range(1, 5)
        for at, name in ((2.0, "gate"), (38.0, "barn"))
    )
    folder = make_day(tmp_path, "abba", extra=marks)
    for run in (2, 3):
        front, rear = trail(40.0, run)
        write_log(folder / f"run_{run}.csv", front, np.roll(rear, -5))
    comparison = compared(folder)
    assert "ground_speed_differs" not in codes(comparison)
    (message,) = messages(comparison, "pace_contradicted")
    assert "% faster than run_" in message
    assert "between the same places 0.0 %" in message


def test_a_run_written_down_with_the_wrong_setup_is_named(tmp_path: Path) -> None:
    folder = make_day(tmp_path, "abbaab", deeper_mm={"b": 14.0})
    file = folder / "ride_day.toml"
    right = 'log = "run_3.csv"\nsetup = "b"'
    text = file.read_text(encoding="utf-8")
    assert right in text
    file.write_text(text.replace(right, 'log = "run_3.csv"\nsetup = "a"'), encoding="utf-8")
    (message,) = messages(compared(folder), "run_stands_apart")
    assert message.startswith("run_3 (setup a) lies apart from the other runs of setup a in ")
    assert "looks like setup b: is its setup right?" in message
