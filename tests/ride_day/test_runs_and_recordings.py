"""Runs, recordings off the trail, marks, and the files they name."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from telemetry.errors import Problem, RideDayError
from telemetry.model.day import RideDay, StaticEntry
from telemetry.model.sensor import DisplacementSensor
from telemetry.ride_day import lifted_in_force, read_ride_day

Read = Callable[..., RideDay]
Problems = Callable[..., dict[str, Problem]]

RUN_1 = 'log = "run_1.csv"\nsetup = "oil_20"\nstarted_at = 2026-05-16T09:12:00'
RUN_2 = 'log = "run_2.csv"\nsetup = "oil_8"\nstarted_at = 2026-05-16T09:41:00'
RUN_3 = '[[runs]]\nlog = "run_3.csv"\nsetup = "oil_20"\n'


def lifted(day: RideDay, order: int, sensor: str = "fork") -> StaticEntry | None:
    run = next(run for run in day.runs if run.order == order)
    found = run.sensors[sensor]
    assert isinstance(found, DisplacementSensor)
    return lifted_in_force(day, order, day.setups[run.setup].fitting(found))


def test_runs_are_named_after_their_logs(read: Read, folder: Path) -> None:
    (folder / "lap.two.csv.gz").write_bytes(b"\x1f\x8b")
    day = read((RUN_2, RUN_2.replace("run_2.csv", "lap.two.csv.gz")))
    assert [run.name for run in day.runs] == ["run_1", "lap.two"]
    assert day.run("run_1").log.name == "run_1.csv"


def test_a_runs_own_keys(read: Read) -> None:
    lines = (
        'name = "second"\nstart_s = 3.5\nend_s = 61\nnote = "gust"\nair_temperature_c = 16\n'
        'pressure_after_front_bar = 6.0\npressure_after_rear_bar = 13\nlever_front = "open"\nlever_rear = "firm"\n'
        'rider = "R2"\ndate = 2026-05-17\ntrail_state = "damp"\nleave_out = "puncture"\n'
    )
    run = read((RUN_2, f"{RUN_2}\n{lines}")).run("second")
    assert (run.start_s, run.end_s, run.note, run.air_temperature_c) == (3.5, 61.0, "gust", 16.0)
    assert (run.pressure_after_front_bar, run.pressure_after_rear_bar) == (6.0, 13.0)
    assert (run.lever_front, run.lever_rear, run.rider, run.trail_state) == ("open", "firm", "R2", "damp")
    assert (run.date, run.leave_out) == (dt.date(2026, 5, 17), "puncture")


def test_runs_stand_in_the_order_ridden(read: Read) -> None:
    day = read((RUN_1, RUN_1.replace("09:12", "11:12")))
    assert [(run.name, run.order) for run in day.runs] == [("run_2", 1), ("run_1", 2)]


def test_order_where_no_time_is_known(read: Read) -> None:
    day = read(
        ("started_at = 2026-05-16T09:12:00", "order = 7"),
        ("started_at = 2026-05-16T09:41:00", "order = 3"),
    )
    assert [(run.name, run.order) for run in day.runs] == [("run_2", 1), ("run_1", 2)]


def test_without_either_the_files_order_holds(read: Read) -> None:
    day = read(("started_at = 2026-05-16T09:12:00", ""), ("started_at = 2026-05-16T09:41:00", ""))
    assert [(run.name, run.order) for run in day.runs] == [("run_1", 1), ("run_2", 2)]


@pytest.mark.parametrize("line", ["", "order = 3"])
def test_a_time_in_all_runs_or_in_none(problems: Problems, line: str) -> None:
    problem = problems(("started_at = 2026-05-16T09:41:00", line))["runs[2].started_at"]
    assert "all runs or in none" in problem.expected


def test_an_order_in_all_runs_or_in_none(problems: Problems) -> None:
    found = problems(("started_at = 2026-05-16T09:12:00", "order = 1"), ("started_at = 2026-05-16T09:41:00", ""))
    assert "all runs or in none" in found["runs[2].order"].expected


def test_two_runs_at_the_same_time(problems: Problems) -> None:
    assert "twice" in problems(("09:41", "09:12"))["runs[2].started_at"].found


def test_times_with_and_without_a_zone(problems: Problems) -> None:
    found = problems(("09:41:00", "09:41:00+02:00"))
    assert any(key.endswith("started_at") and "zone" in problem.found for key, problem in found.items())


def test_zones_are_heeded_in_the_order(read: Read) -> None:
    day = read(("09:12:00", "09:12:00+00:00"), ("09:41:00", "09:41:00+02:00"))
    assert [run.name for run in day.runs] == ["run_2", "run_1"]


def test_the_same_name_twice_asks_for_one(problems: Problems) -> None:
    problem = problems((RUN_2, RUN_2.replace("run_2", "run_1")))["runs[2].name"]
    assert "'run_1'" in problem.found
    assert "name" in problem.expected


def test_a_name_settles_it(read: Read) -> None:
    day = read((RUN_2, RUN_2.replace("run_2", "run_1") + '\nname = "again"'))
    assert [run.name for run in day.runs] == ["run_1", "again"]


def test_start_before_end(problems: Problems) -> None:
    assert "later than start_s" in problems((RUN_2, RUN_2 + "\nstart_s = 60\nend_s = 60"))["runs[2].end_s"].expected


def test_an_unknown_setup_gets_the_nearest(problems: Problems) -> None:
    problem = problems((RUN_2, RUN_2.replace("oil_8", "oil8")))["runs[2].setup"]
    assert problem.found == "unknown setup 'oil8'"
    assert "'oil_8'" in problem.expected


@pytest.mark.parametrize("lacking", ["log", "setup"])
def test_a_run_needs_its_log_and_its_setup(problems: Problems, lacking: str) -> None:
    line = next(line for line in RUN_2.splitlines() if line.startswith(lacking))
    found = problems((RUN_2, RUN_2.replace(line, "")))
    assert list(found) == [f"runs[2].{lacking}"]
    assert "required" in found[f"runs[2].{lacking}"].expected


def test_two_loggers(read: Read) -> None:
    run = read((RUN_2, RUN_2.replace('"run_2.csv"', '{ front = "run_2.csv", rear = "run_3.csv" }'))).runs[1]
    assert (run.name, run.log.name) == ("run_2", "run_2.csv")
    assert run.rear_log is not None
    assert run.rear_log.name == "run_3.csv"


@pytest.mark.parametrize(
    ("log", "key"),
    [
        ('{ front = "run_2.csv" }', "runs[2].log.rear"),
        ('{ front = "run_2.csv", rear = "run_9.csv" }', "runs[2].log.rear"),
        ('{ front = "run_2.csv", rear = "run_3.csv", middle = "run_3.csv" }', "runs[2].log.middle"),
        ("7", "runs[2].log"),
    ],
)
def test_a_wrong_log(problems: Problems, log: str, key: str) -> None:
    assert key in problems((RUN_2, RUN_2.replace('"run_2.csv"', log)))


def test_log_options_of_two_loggers(read: Read) -> None:
    day = read(
        (
            'time = { column = "t_ms", unit = "ms" }',
            'delimiter = ";"\ndecimal = ","\ntime = { column = "t_ms", unit = "ms" }',
        ),
        more='[log.front]\nrate_hz = 500\n[log.rear]\ntime = { column = 1 }\nheader_row = 0\ndelimiter = "\\t"\n',
    )
    assert day.log.time is not None
    assert (day.log.time.column, day.log.time.unit, day.log.delimiter) == ("t_ms", "ms", ";")
    assert day.front_log is not None
    assert (day.front_log.time, day.front_log.rate_hz, day.front_log.decimal) == (None, 500.0, ",")
    assert day.rear_log is not None
    assert day.rear_log.time is not None
    assert (day.rear_log.time.column, day.rear_log.time.unit) == (1, None)
    assert (day.rear_log.header_row, day.rear_log.delimiter) == (0, "\t")


@pytest.mark.parametrize(
    ("line", "key"),
    [
        ("rate_hz = 500", "log.rate_hz"),
        ('delimiter = ";;"', "log.delimiter"),
        ('delimiter = ","\ndecimal = ","', "log.delimiter"),
        ('thousands = "."\ndecimal = "."', "log.thousands"),
        ('encoding = "klingon"', "log.encoding"),
        ('decimal = ";"', "log.decimal"),
        ("header_row = -1", "log.header_row"),
        ("header_row = 1.5", "log.header_row"),
        ('comment = ""', "log.comment"),
    ],
)
def test_log_keys_that_cannot_be(problems: Problems, line: str, key: str) -> None:
    assert key in problems(("[log]\n", f"[log]\n{line}\n"))


# Paths


@pytest.mark.parametrize(
    ("path", "found"),
    [
        ("../run_1.csv", "leads out"),
        ("a/../../run_1.csv", "leads out"),
        ("/etc/hostname", "absolute"),
        ("C:/logs/run.csv", "absolute"),
        ("C:\\\\logs\\\\run.csv", "absolute"),
        ("\\\\\\\\server\\\\run.csv", "absolute"),
        ("", "no file name"),
        ("run_9.csv", "no file 'run_9.csv'"),
        ("sub", "folder 'sub'"),
        ("pipe.csv", "no ordinary file"),
        ("out.csv", "link that leads out"),
        ("outdir/hostname", "link that leads out"),
        ("loop.csv", "loop.csv"),
        ("x" * 300, "can't be opened"),
        ("a\\u0000b", "no file name"),
    ],
)
def test_paths_that_are_refused(problems: Problems, folder: Path, path: str, found: str) -> None:
    (folder / "sub").mkdir()
    os.mkfifo(folder / "pipe.csv")
    (folder / "out.csv").symlink_to("/etc/hostname")
    (folder / "outdir").symlink_to("/etc")
    (folder / "loop.csv").symlink_to("loop.csv")
    assert found in problems((RUN_2, RUN_2.replace("run_2.csv", path)))["runs[2].log"].found


def test_a_missing_log_gets_the_nearest_name(problems: Problems) -> None:
    problem = problems((RUN_2, RUN_2.replace("run_2.csv", "run2.csv")))["runs[2].log"]
    assert "'run_2.csv'" in problem.expected


def test_links_and_folders_inside_are_taken(read: Read, folder: Path) -> None:
    (folder / "logs").mkdir()
    (folder / "logs" / "b.csv").symlink_to(folder / "run_2.csv")
    assert read((RUN_2, RUN_2.replace("run_2.csv", "./logs/b.csv"))).runs[1].name == "b"


def test_the_whole_day_may_be_reached_through_a_link(read: Read, folder: Path) -> None:
    read()
    link = folder.parent / "link"
    link.symlink_to(folder)
    assert [run.name for run in read_ride_day(link).runs] == ["run_1", "run_2"]


# Recordings off the trail


def test_a_recording_stands_before_the_first_run_of_its_setup(read: Read) -> None:
    day = read(("09:12", "10:12"), ('kind = "sag"', 'kind = "sag"\nfrom = "extended"'))
    assert [item.before_order for item in day.static] == [2, 2]
    assert (day.static[1].load, day.static[1].settled_from, day.static[1].name) == ("standing", "extended", "sag_1.csv")


def test_a_recording_without_a_setup_stands_before_the_first_run(read: Read) -> None:
    day = read(('kind = "lifted"\nsetup = "oil_20"', 'kind = "lifted"\npulled = true'))
    assert (day.static[0].before_order, day.static[0].setup, day.static[0].pulled) == (1, None, True)


def test_before_run_places_a_recording(read: Read) -> None:
    day = read(('kind = "lifted"\nsetup = "oil_20"', 'kind = "lifted"\nbefore_run = "run_2"'))
    assert day.static[0].before_order == 2


def test_a_recording_of_a_setup_never_ridden_stands_before_the_first_run(read: Read) -> None:
    day = read(
        ('kind = "lifted"\nsetup = "oil_20"', 'kind = "lifted"\nsetup = "x"'), more='[setups.x]\nbased_on = "oil_8"\n'
    )
    assert day.static[0].before_order == 1


@pytest.mark.parametrize(
    ("new", "key"),
    [
        ('kind = "lifted"\nbefore_run = "run_9"', "static[1].before_run"),
        ('kind = "lifted"\nsetup = "oil_2"', "static[1].setup"),
        ('setup = "oil_20"', "static[1].kind"),
        ('kind = "lifted"\npulled = "yes"', "static[1].pulled"),
    ],
)
def test_wrong_recordings(problems: Problems, new: str, key: str) -> None:
    assert key in problems(('kind = "lifted"\nsetup = "oil_20"', new))


def test_recordings_need_a_setup(folder: Path) -> None:
    (folder / "lifted.csv").write_text("t,A0\n", encoding="utf-8")
    text = '[ride_day]\ndate = 2026-05-16\n[[static]]\nlog = "lifted.csv"\nkind = "lifted"\n'
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    with pytest.raises(RideDayError, match=r"setups: found none; expected at least one \[setups.NAME\]"):
        read_ride_day(folder)


@pytest.mark.parametrize("kind", ["lifted", "sag", "settle", "bounce", "still"])
def test_a_recording_needs_only_its_log_and_kind(read: Read, kind: str) -> None:
    day = read(('kind = "lifted"\nsetup = "oil_20"', f'kind = "{kind}"'))
    assert (day.static[0].kind, day.static[0].load, day.static[0].settled_from) == (kind, None, None)


def test_a_day_of_recordings_alone(read: Read) -> None:
    day = read((f"[[runs]]\n{RUN_1}\n[[runs]]\n{RUN_2}\n", ""))
    assert day.runs == ()
    assert [item.before_order for item in day.static] == [1, 1]


# The zero in force


def test_a_lifted_recording_holds_for_every_later_run_of_any_setup(read: Read) -> None:
    day = read()
    assert lifted(day, 1) is lifted(day, 2) is day.static[0]
    assert lifted(day, 2, "shock") is day.static[0]


def test_until_the_next_one(read: Read) -> None:
    day = read(more='[[static]]\nlog = "run_3.csv"\nkind = "lifted"\nbefore_run = "run_2"\n')
    assert lifted(day, 1) is day.static[0]
    assert lifted(day, 2) is day.static[2]


def test_none_holds_before_the_first(read: Read) -> None:
    day = read(('kind = "lifted"\nsetup = "oil_20"', 'kind = "lifted"\nbefore_run = "run_2"'))
    assert lifted(day, 1) is None
    assert lifted(day, 2) is day.static[0]


def test_of_two_before_the_same_run_the_later_in_the_file_holds(read: Read) -> None:
    day = read(more='[[static]]\nlog = "run_3.csv"\nkind = "lifted"\nsetup = "oil_20"\n')
    assert lifted(day, 2) is day.static[2]


def test_a_setup_that_replaces_a_sensors_keys_needs_its_own(read: Read) -> None:
    replaced = "[setups.oil_8.sensors.fork]\npoints = [[100, 0], [3000, 150]]\n"
    day = read(more=replaced)
    assert lifted(day, 2) is None
    assert lifted(day, 2, "shock") is day.static[0]
    own = read(more=replaced + '[[static]]\nlog = "run_3.csv"\nkind = "lifted"\nsetup = "oil_8"\n')
    assert lifted(own, 2) is own.static[2]
    assert lifted(own, 1) is own.static[0]


def test_a_run_that_replaces_them_takes_the_recording_made_before_it(read: Read) -> None:
    day = read(
        (RUN_2, RUN_2 + "\nsensors = { fork = { points = [[100, 0], [3000, 150]] } }"),
        more='[[static]]\nlog = "run_3.csv"\nkind = "lifted"\nbefore_run = "run_2"\nsetup = "oil_8"\n',
    )
    assert lifted(day, 2) is day.static[2]


def test_sag_recordings_set_no_zero(read: Read) -> None:
    day = read(('kind = "lifted"', 'kind = "still"'))
    assert lifted(day, 1) is None


# Sensors of a run, marks


def test_a_run_replaces_keys_of_a_sensor(read: Read) -> None:
    day = read((RUN_2, RUN_2 + '\nsensors = { fork = { column = "A2" } }'))
    found = [run.sensors["fork"] for run in day.runs]
    assert [sensor.column for sensor in found if isinstance(sensor, DisplacementSensor)] == ["A0", "A2"]


def test_an_unknown_sensor_in_a_run(problems: Problems) -> None:
    found = problems((RUN_2, RUN_2 + '\nsensors = { frk = { column = "A2" } }'))
    assert "'fork'" in found["runs[2].sensors.frk"].expected


def test_marks(read: Read) -> None:
    day = read(more='[[marks]]\nrun = "run_1"\nat_s = 31.4\nname = "first drop"\n')
    assert [(mark.run, mark.at_s, mark.name) for mark in day.marks] == [("run_1", 31.4, "first drop")]


@pytest.mark.parametrize(
    ("lines", "key"),
    [
        ('run = "run_9"\nat_s = 31.4\nname = "drop"', "marks[1].run"),
        ('run = "run_1"\nat_s = -1\nname = "drop"', "marks[1].at_s"),
        ('run = "run_1"\nname = "drop"', "marks[1].at_s"),
        ('run = "run_1"\nat_s = 3', "marks[1].name"),
    ],
)
def test_wrong_marks(problems: Problems, lines: str, key: str) -> None:
    assert key in problems(more=f"[[marks]]\n{lines}\n")
