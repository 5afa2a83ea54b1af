"""`telemetry new --like` and `telemetry add`: a second day in three edited lines, and logs entered as they come."""

from __future__ import annotations

import re
import shutil
import tomllib
from pathlib import Path

import pytest

from telemetry.ride_day import read_ride_day
from tests import riders_logs as made
from tests.cli.run_here import commanded

BOTH = {"front": made.FORK, "rear": made.SHOCK}
EARLIER = """\
# our mule: don't lose this comment
[ride_day]
title = "first"
date = 2026-05-09   # a Saturday
trail = "quarry"
trail_state = "wet"
[bike]
name = "mule"
[bike.front]
travel_mm = 170
[bike.rear]
stroke_mm = 62.5
leverage = "curves/leverage.csv"     # measured twice
# "old.csv": 99 rows; comma
[sensors.fork]
kind = "displacement"
end = "front"
column = "A0"
points = [[212, 0.0], [3770, 170.0]]     # with the caliper
[sensors.shock]
kind = "displacement"
end = "rear"
measures = "stroke"
column = "A1"
points = [[305, 0.0], [3601, 62.5]]
[setups.oil_20]
[setups.oil_20.front]
lower_leg_oil_each_ml = 20
[setups.oil_8]
based_on = "oil_20"
[setups.oil_8.front]
lower_leg_oil_each_ml = 8
[[runs]]
log = "run_1.csv"
setup = "oil_20"
[[runs]]
log = "run_2.csv"
setup = "oil_8"
[[static]]
log = "lifted_1.csv"
kind = "lifted"
[[marks]]
run = "run_1"
at_s = 3
name = "gate"
[comparison]
baseline = "oil_20"
candidates = ["oil_8"]
focus = ["dynamic_sag:front"]
named_at = 2026-05-09T08:00:00
spread_from = ["../a", "../b", "../c"]
[plan]
spread_from = "../a"
[shop]
name = "a shop"     # printed
"""


@pytest.fixture(scope="module")
def logs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("logs")
    for kind in ("run", "lifted", "sag"):
        made.write(folder / f"{kind}.csv", made.MOTIONS[kind](3), BOTH, made.Form())
    return folder


@pytest.fixture
def earlier(tmp_path: Path, logs: Path) -> Path:
    folder = tmp_path / "seasons" / "first"
    (folder / "curves").mkdir(parents=True)
    (folder / "curves" / "leverage.csv").write_text("stroke_mm,travel_mm\n0,0\n62.5,165\n", encoding="utf-8")
    for name in ("run_1", "run_2", "lifted_1"):
        shutil.copy(logs / f"{name.split('_')[0]}.csv", folder / f"{name}.csv")
    for name in "abc":
        shutil.copytree(folder, folder.parent / name)
        text = EARLIER.replace('spread_from = ["../a", "../b", "../c"]\n', "").replace(
            '[plan]\nspread_from = "../a"\n', ""
        )
        (folder.parent / name / "ride_day.toml").write_text(text, encoding="utf-8")
    (folder / "ride_day.toml").write_text(EARLIER, encoding="utf-8")
    return folder


def second_day(tmp_path: Path, logs: Path, *names: str) -> Path:
    folder = tmp_path / "2026-05-16 second"
    folder.mkdir()
    for name in names:
        shutil.copy(logs / f"{name.split('_')[0]}.csv", folder / f"{name}.csv")
    return folder


def test_a_second_day_takes_over_all_but_logs_and_date(tmp_path: Path, earlier: Path, logs: Path) -> None:
    folder = second_day(tmp_path, logs, "lifted_1", "run_1", "run_2", "sag_1")
    done = commanded("new", folder, "--like", earlier)
    assert (done.returncode, done.stderr) == (0, "")
    text = (folder / "ride_day.toml").read_text(encoding="utf-8")
    day = read_ride_day(folder)  # nothing had to be filled in
    assert (day.title, str(day.date), day.trail) == (folder.name, "2026-05-16", "quarry")
    for kept in ("don't lose this comment", "# measured twice", "# with the caliper", "# printed"):
        assert kept in text
    for gone in ("trail_state", "named_at", "gate", "2026-05-09", "old.csv"):
        assert gone not in text
    assert [(run.name, run.setup) for run in day.runs] == [("run_1", "oil_20"), ("run_2", "oil_8")]
    assert text.count("as on the earlier day") == 2
    assert {item.name: item.kind for item in day.static} == {"lifted_1.csv": "lifted", "sag_1.csv": "sag"}
    assert day.setups["oil_8"].rear.full_travel_mm == pytest.approx(165.0)
    assert (folder / "curves" / "leverage.csv").is_file()
    raw = tomllib.loads(text)
    assert raw["comparison"]["focus"] == ["dynamic_sag:front"]
    assert raw["comparison"]["spread_from"] == [f"../seasons/{name}" for name in "abc"]
    assert raw["plan"]["spread_from"] == "../seasons/a"
    assert commanded("check", folder).returncode == 0


def test_what_an_earlier_draft_asked_is_not_asked_again(tmp_path: Path, logs: Path) -> None:
    first = second_day(tmp_path, logs, "lifted_1", "run_1")
    commanded("new", first)
    file = first / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    answers = (
        (r"# travel_mm = <as .*", "travel_mm = 170"),
        (r"# stroke_mm = <.*", "stroke_mm = 62.5"),
        (r"# ratio = <.*", "ratio = 2.64"),
        (r"# points = .*", "points = [[212, 0.0], [3770, 170.0]]"),
        (r"# points = .*", "points = [[305, 0.0], [3601, 62.5]]    # my own words"),
    )
    for asked, answer in answers:
        text, found = re.subn(rf"(?m)^{asked}$", answer, text, count=1)
        assert found == 1, asked
    file.write_text(text, encoding="utf-8")
    later = tmp_path / "2026-05-17"
    shutil.copytree(first, later, ignore=shutil.ignore_patterns("*.toml"))
    assert commanded("new", later, "--like", first).returncode == 0
    text = (later / "ride_day.toml").read_text(encoding="utf-8")
    assert "TO DO" not in text.split("\n", 2)[2]  # but for the two lines that say what a TO DO is
    assert "# my own words" in text
    assert commanded("check", later).returncode == 0


def test_a_setup_in_a_files_name_goes_before_the_earlier_order(tmp_path: Path, earlier: Path, logs: Path) -> None:
    folder = second_day(tmp_path, logs, "run_1_oil_8", "run_2_oil_20", "run_3")
    commanded("new", folder, "--like", earlier)
    assert [run.setup for run in read_ride_day(folder).runs] == ["oil_8", "oil_20", "oil_8"]
    assert (folder / "ride_day.toml").read_text(encoding="utf-8").count("as on the earlier day") == 1


def test_a_sensor_whose_column_is_in_no_new_log_is_told(tmp_path: Path, earlier: Path) -> None:
    folder = tmp_path / "2026-05-16"
    folder.mkdir()
    other = {"front": made.Sensor(column="Gabelweg", topped_out=212, full=3770), "rear": made.SHOCK}
    made.write(folder / "run_1.csv", made.run(1), other, made.Form())
    done = commanded("new", folder, "--like", earlier)
    told = 'sensors.fork reads "A0", which none of these logs holds: "Gabelweg" may be it'
    assert told in done.stdout
    assert f"# TO DO {told}" in (folder / "ride_day.toml").read_text(encoding="utf-8")


def test_a_setups_own_column_is_told_on_one_line_whatever_the_setup_is_called(
    tmp_path: Path, earlier: Path, logs: Path
) -> None:
    file = earlier / "ride_day.toml"
    own = '[setups."oil\\nold"]\n[setups."oil\\nold".sensors.fork]\ncolumn = "A9"\n[[runs]]'
    file.write_text(file.read_text(encoding="utf-8").replace("[[runs]]", own, 1), encoding="utf-8")
    folder = second_day(tmp_path, logs, "run_1")
    commanded("new", folder, "--like", earlier)
    assert '# TO DO setups.oil old.sensors.fork reads "A9"' in (folder / "ride_day.toml").read_text(encoding="utf-8")
    assert "oil\nold" in read_ride_day(folder).setups


def test_a_file_that_lies_there_already_is_kept(tmp_path: Path, earlier: Path, logs: Path) -> None:
    folder = second_day(tmp_path, logs, "run_1")
    (folder / "curves").mkdir()
    own = "stroke_mm,travel_mm\n0,0\n60,150\n"
    (folder / "curves" / "leverage.csv").write_text(own, encoding="utf-8")
    done = commanded("new", folder, "--like", earlier)
    assert "curves/leverage.csv isn't the earlier day's" in done.stdout
    assert (folder / "curves" / "leverage.csv").read_text(encoding="utf-8") == own


def test_a_ride_day_is_never_overwritten(earlier: Path) -> None:
    before = (earlier / "ride_day.toml").read_bytes()
    done = commanded("new", earlier)
    assert done.returncode == 2
    assert f"`telemetry add {earlier}` enters logs that it lacks" in done.stderr
    assert (earlier / "ride_day.toml").read_bytes() == before


def test_add_enters_what_is_new_and_keeps_every_comment(earlier: Path, logs: Path) -> None:
    for name in ("run_3", "run_10", "lifted_3", "sag_standing_10", "lifted_11"):
        shutil.copy(logs / f"{name.split('_')[0]}.csv", earlier / f"{name}.csv")
    (earlier / "notes.txt").write_text("6.1 bar\n", encoding="utf-8")
    before = (earlier / "ride_day.toml").read_text(encoding="utf-8").splitlines()
    done = commanded("add", earlier)
    assert (done.returncode, done.stderr) == (0, "")
    assert '+ log = "run_3.csv"' in done.stdout
    assert "not entered: lifted_11.csv: a lifted recording counts for the runs after it" in done.stdout
    text = (earlier / "ride_day.toml").read_text(encoding="utf-8")
    after = iter(text.splitlines())
    assert all(line in after for line in before)  # each still there, in order
    day = read_ride_day(earlier)
    assert [(run.name, run.setup) for run in day.runs][2:] == [("run_3", "oil_8"), ("run_10", "oil_8")]
    assert text.count("# TO DO was it ridden with oil_8, as the last run?") == 2
    entered = {item["log"]: item.get("before_run") for item in tomllib.loads(text)["static"]}
    assert entered == {"lifted_1.csv": None, "lifted_3.csv": "run_3", "sag_standing_10.csv": "run_10"}
    assert "nothing to enter" in commanded("add", earlier).stdout


def test_add_takes_the_setup_it_is_told(earlier: Path, logs: Path) -> None:
    shutil.copy(logs / "run.csv", earlier / "run_3.csv")
    assert commanded("add", earlier, "--setup", "oil_9").returncode == 2
    assert commanded("add", earlier, "--look", "--setup", "oil_20").returncode == 0
    assert "run_3" not in (earlier / "ride_day.toml").read_text(encoding="utf-8")
    assert commanded("add", earlier, "--setup", "oil_20").returncode == 0
    text = (earlier / "ride_day.toml").read_text(encoding="utf-8")
    assert re.search(r'\[\[runs\]\]\nlog = "run_3\.csv"\nsetup = "oil_20"\n', text)


def test_a_log_that_its_name_doesnt_tell_is_entered_with_a_question(earlier: Path, logs: Path) -> None:
    shutil.copy(logs / "sag.csv", earlier / "LOG_77.csv")
    assert commanded("add", earlier).returncode == 0
    text = (earlier / "ride_day.toml").read_text(encoding="utf-8")
    assert "[[static]]\n# TO DO is it a sag recording? its name doesn't tell;" in text


def test_add_puts_two_loggers_together_and_says_which_end_a_recording_is_of(earlier: Path) -> None:
    file = earlier / "ride_day.toml"
    own = (
        file.read_text(encoding="utf-8")
        .replace("[sensors.fork]", "[sensors.a]")
        .replace("[sensors.shock]", "[sensors.b]")
    )
    file.write_text(own, encoding="utf-8")
    for end, sensor in BOTH.items():
        made.write(earlier / f"run_3_{end}.csv", made.run(4), {end: sensor}, made.Form())
        made.write(earlier / f"lifted_3_{end}.csv", made.lifted(5), {end: sensor}, made.Form())
    made.write(
        earlier / "sag_3.csv", made.sag(6), {"front": made.Sensor(column="x", topped_out=0, full=9)}, made.Form()
    )
    done = commanded("add", earlier, "--setup", "oil_8")
    assert (done.returncode, done.stderr) == (0, "")
    assert "not entered: sag_3.csv: the columns of a, b aren't in it" in done.stdout
    raw = tomllib.loads(file.read_text(encoding="utf-8"))
    assert raw["runs"][-1] == {
        "log": {"front": "run_3_front.csv", "rear": "run_3_rear.csv"},
        "setup": "oil_8",
        "name": "run_3",
    }
    assert [(item["end"], item["before_run"]) for item in raw["static"][1:]] == [("front", "run_3"), ("rear", "run_3")]
    assert commanded("check", earlier).returncode == 0


def test_add_on_a_day_of_two_loggers_whose_columns_have_one_name(tmp_path: Path) -> None:
    full = {"front": 170.0, "rear": 62.5}
    own = {end: made.Sensor(column="mm", topped_out=0, full=mm, decimals=1) for end, mm in full.items()}
    for end, sensor in own.items():
        for n in (1, 2):
            made.write(tmp_path / f"run_{n}_{end}.csv", made.run(n), {end: sensor}, made.Form())
    commanded("new", tmp_path, "--date", "2026-05-16")
    file = tmp_path / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    for asked, answer in (("travel_mm", "170"), ("stroke_mm", "62.5"), ("ratio", "2.64")):
        text = re.sub(rf"(?m)^# {asked} = <.*$", f"{asked} = {answer}", text, count=1)
    file.write_text(text, encoding="utf-8")
    for end, sensor in own.items():
        made.write(tmp_path / f"run_3_{end}.csv", made.run(3), {end: sensor}, made.Form())
        made.write(tmp_path / f"lifted_3_{end}.csv", made.lifted(4), {end: sensor}, made.Form())
    made.write(tmp_path / "run_4_front.csv", made.run(5), {"front": own["front"]}, made.Form())
    done = commanded("add", tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "not entered: run_4_front.csv" in done.stdout
    raw = tomllib.loads(file.read_text(encoding="utf-8"))
    assert raw["runs"][2]["log"] == {"front": "run_3_front.csv", "rear": "run_3_rear.csv"}
    assert [item["end"] for item in raw["static"]] == ["front", "rear"]
