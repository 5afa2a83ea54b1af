"""What is answered of a new log, as it goes into the file; what is lacking is told at its question."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path

import pytest

import telemetry
from dashboards.pages.entering import screen
from dashboards.pages.entries import NEXT_RUN, entry_edits
from dashboards.pages.fields import FieldError
from dashboards.pages.new_logs import waiting
from dashboards.pages.writing import mistakes, moment_of, show
from telemetry.errors import CallError, RideDayError
from telemetry.model.day import RideDay
from telemetry.ride_day import AddRecording, AddRun, ChangeSetup, write
from tests.pipeline.small_days import make_day, trail, write_log

NOW = dt.datetime(2026, 5, 16, 12, 30, 5, tzinfo=dt.UTC)


@pytest.fixture
def day(tmp_path: Path) -> RideDay:
    folder = make_day(tmp_path / "day", ("a", "b"), seconds=1.0)
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace("air_pressure_bar = 7", "tyre_pressure_psi = 22")
    file.write_text(text, encoding="utf-8")
    for name in ("sag_2", "run_3"):
        write_log(folder / f"{name}.csv", *trail(1.0, 3))
        os.utime(folder / f"{name}.csv", (1, 1))  # what was written just now is still being copied
    return telemetry.read_ride_day(folder)


def recorded(day: RideDay, kind: str, **more: str) -> AddRecording:
    (edit,), _ = entry_edits(day, (("name", "sag_2.csv"), ("kind", kind), *more.items()), NOW)
    assert isinstance(edit, AddRecording)
    return edit


@pytest.mark.parametrize(
    ("kind", "answers", "field"),
    [
        ("sag", {"v_before_run": "run_2"}, "v_load"),
        ("sag", {"v_load": "standing"}, "v_before_run"),
        ("settle", {"v_before_run": "run_2", "v_load": "standing"}, "v_from"),
        ("lifted", {"v_before_run": NEXT_RUN}, "v_before_run"),
    ],
)
def test_an_answer_that_is_lacking_is_told_at_its_question(
    day: RideDay, kind: str, answers: dict[str, str], field: str
) -> None:
    with pytest.raises(FieldError, match="expected") as raised:
        recorded(day, kind, **answers)
    fields = (("what", "enter"), ("name", "sag_2.csv"), ("kind", kind), ("setup_of", "a"), *answers.items())
    wrong = mistakes(day, fields, NOW, raised.value)
    assert list(wrong) == [field]
    asked = screen(day, fields, "", wrong)
    assert [item.name for item in asked.fields if item.mistake] == [field]
    assert ("setup_of", "a") in asked.keeps


def test_only_what_is_asked_of_a_kind_is_written(day: RideDay) -> None:
    answers = {"v_before_run": "run_2", "v_load": "seated", "v_from": "compressed", "v_pulled": "yes", "setup_of": "b"}
    said = {
        kind: {key for key, value in recorded(day, kind, **answers).more.items() if value is not None}
        for kind in ("lifted", "sag", "settle", "bounce", "still")
    }
    assert said == {
        "lifted": {"before_run", "setup", "pulled"},
        "sag": {"before_run", "setup", "load", "from"},
        "settle": {"before_run", "setup", "load", "from"},
        "bounce": {"before_run", "setup"},
        "still": {"before_run", "setup"},
    }


@pytest.mark.parametrize(
    ("setup", "typed", "becomes"),
    [
        ("b", "22 psi", None),
        ("b", "22,0", None),
        ("b", " ", None),
        ("b", "1,5 bar", "b_front_tyre_1_5_bar"),
        ("a", "23", "a"),
    ],
)
def test_a_tyre_pressure_belongs_to_a_setup(day: RideDay, setup: str, typed: str, becomes: str | None) -> None:
    fields = (("name", "run_3.csv"), ("kind", "run"), ("setup_of", setup), ("v_tyre_front", typed))
    *before, run = entry_edits(day, fields, NOW)[0]
    assert isinstance(run, AddRun)
    if becomes is None:
        assert before == []
    else:
        (changed,) = before
        assert isinstance(changed, ChangeSetup)
        assert changed.setup.removeprefix("setup_") == run.setup.removeprefix("setup_") == becomes
        assert changed.is_new == (setup == "b")
    shown = show(day, (("what", "enter"), *fields), NOW)
    assert 'log = "run_3.csv"' in [text for _, text in shown.proposal.lines]


def test_another_tyre_pressure_makes_another_setup_once(day: RideDay) -> None:
    fields = (("what", "enter"), ("name", "run_3.csv"), ("setup_of", "b"), ("v_tyre_front", "1.5 bar"))
    write(show(day, fields, NOW).proposal)
    write_log(day.folder / "run_4.csv", *trail(1.0, 4))
    os.utime(day.folder / "run_4.csv", (1, 1))
    now = telemetry.read_ride_day(day.folder)
    write(show(now, (*fields[:1], ("name", "run_4.csv"), *fields[2:]), NOW).proposal)
    after = telemetry.read_ride_day(day.folder)
    assert after.run("run_4").setup == after.run("run_3").setup
    assert len(after.setups) == 3


def test_a_mistake_in_the_file_is_led_back_to_what_was_typed(day: RideDay) -> None:
    fields = (
        ("what", "enter"),
        ("name", "run_3.csv"),
        ("kind", "run"),
        ("setup_of", "b"),
        ("v_tyre_rear", "22 bar"),
        ("v_pressure_after_front_bar", "much"),
    )
    with pytest.raises(RideDayError, match="tyre_pressure_bar") as raised:
        show(day, fields, NOW)
    assert set(mistakes(day, fields, NOW, raised.value)) == {"v_tyre_rear", "v_pressure_after_front_bar"}


def test_runs_are_offered_before_recordings_and_what_cant_be_read_is_told(day: RideDay) -> None:
    (day.folder / "broken.csv").write_bytes(b"\0\1\2" * 5000)
    os.utime(day.folder / "broken.csv", (1, 1))
    logs, failed = waiting(day)
    assert [log.name for log in logs] == ["run_3.csv", "sag_2.csv"]
    assert failed[0].startswith("broken.csv")
    with pytest.raises(CallError, match=r"no new log .run_1\.csv."):
        moment_of(day, (("what", "enter"), ("name", "run_1.csv")), NOW)
