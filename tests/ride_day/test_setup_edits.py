"""Setups and recordings written into the file: what is said comes in, what a comment says stays."""

from __future__ import annotations

import datetime as dt
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import telemetry
from telemetry.errors import CallError, RideDayError
from telemetry.model.setup_keys import SETUP_KEYS
from telemetry.ride_day import (
    AddRecording,
    AddRun,
    ChangeSetup,
    Edit,
    propose,
    spelled,
    spellings_of,
    typed,
    write,
    written_settings,
)
from telemetry.ride_day.imperial import spellings
from tests.pipeline.small_days import make_day, trail, write_log
from tests.ride_day.test_edits import NOW

SETUPS = """\
# what was on the bike when it came
[setups.a]
label = "as it came"   # the customer's words
[setups.a.front]
air_pressure_psi = 88   # at the bench, cold
rebound = { clicks_from_closed = 9, of = 18 }   # counted twice
# the shim stack was not touched

[setups.b]
based_on = "a"
rear.spring_rate_n_mm = 80
front = { lower_leg_oil_each_ml = 8 }   # by syringe

"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = make_day(tmp_path / "day", ("a", "b"), seconds=2.0)
    file = made / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text[: text.index("[setups.a]")] + SETUPS + text[text.index("[[runs]]") :], encoding="utf-8")
    return made


def lines(folder: Path, *edits: Edit) -> list[tuple[str, str]]:
    found = propose(telemetry.read_ride_day(folder), edits)
    write(found)
    return [line for line in found.lines if line[0] in "+-"]


def text_of(folder: Path) -> str:
    return (folder / "ride_day.toml").read_text(encoding="utf-8")


def test_a_value_is_changed_in_its_place_and_its_comment_stays(folder: Path) -> None:
    position = {"clicks_from_closed": 7, "of": 18}
    assert lines(folder, ChangeSetup(setup="a", at={"front": {"air_pressure_psi": 84, "rebound": position}})) == [
        ("-", "air_pressure_psi = 88   # at the bench, cold"),
        ("-", "rebound = { clicks_from_closed = 9, of = 18 }   # counted twice"),
        ("+", "air_pressure_psi = 84   # at the bench, cold"),
        ("+", "rebound = { clicks_from_closed = 7, of = 18 }   # counted twice"),
    ]
    front = telemetry.read_ride_day(folder).setups["b"].front
    assert front.settings["air_pressure_bar"].entered == "84 psi"


def test_a_key_taken_out_leaves_its_comment_and_is_inherited(folder: Path) -> None:
    lines(folder, ChangeSetup(setup="b", at={"front": {"air_pressure_psi": 90}}))
    lines(folder, ChangeSetup(setup="b", at={"front": {"air_pressure_psi": None}}))
    assert telemetry.read_ride_day(folder).setups["b"].front.settings["air_pressure_bar"].entered == "88 psi"
    assert lines(folder, ChangeSetup(setup="a", at={"front": {"air_pressure_psi": None}})) == [
        ("-", "air_pressure_psi = 88   # at the bench, cold"),
        ("+", "# at the bench, cold"),
    ]


@pytest.mark.parametrize("place", ["front", "rear", "bike"])
def test_a_key_comes_into_whatever_form_its_table_has(folder: Path, place: str) -> None:
    key = {"bike": "mass_kg"}.get(place, "tyre_pressure_bar")
    for setup, value in (("a", 4.5), ("b", 3.5)):
        lines(folder, ChangeSetup(setup=setup, at={place: {key: value}}))
    found = tomllib.loads(text_of(folder))["setups"]
    assert (found["a"][place][key], found["b"][place][key]) == (4.5, 3.5)
    kept = [line for line in SETUPS.splitlines() if "#" in line]
    assert all(line.split("#")[1] in text_of(folder) for line in kept)


def test_a_new_setup_stands_behind_the_others(folder: Path) -> None:
    new = ChangeSetup(
        setup="new one",
        own={"based_on": "b", "label": "fresh"},
        at={"front": {"tyre_pressure_psi": 22}, "rear": {}},
        is_new=True,
    )
    before = text_of(folder)
    lines(folder, new)
    added = '\n[setups."new one"]\nbased_on = "b"\nlabel = "fresh"\n[setups."new one".front]\ntyre_pressure_psi = 22\n'
    assert text_of(folder).replace(added, "") == before
    assert text_of(folder).index(added) < text_of(folder).index("[[runs]]")
    assert telemetry.read_ride_day(folder).setups["new one"].front.value("lower_leg_oil_each_ml") == 8
    with pytest.raises(CallError, match="a setup 'new one' already"):
        lines(folder, new)


def test_a_label_comes_in_where_only_an_end_was_stated(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a",), seconds=2.0)
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace("[setups.a]\nlabel = 'setup a'\n", "")
    file.write_text(text, encoding="utf-8")
    lines(folder, ChangeSetup(setup="a", own={"label": "as it came"}))
    assert telemetry.read_ride_day(folder).setups["a"].label == "as it came"


@pytest.mark.parametrize("form", ["setups = { a = { label = 'x' } }\n", "[setups]\na.label = 'x'\n"])
def test_a_setup_within_one_line_is_changed_there_or_refused(form: str, tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a",), seconds=2.0)
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    rest = text[text.index("[ride_day]") : text.index("[setups.a]")] + text[text.index("[[runs]]") :]
    file.write_text(form + rest, encoding="utf-8")
    lines(folder, ChangeSetup(setup="a", at={"front": {"lever": "open"}}))
    lines(folder, ChangeSetup(setup="b", own={"based_on": "a"}, at={"rear": {"lever": "firm"}}, is_new=True))
    setup = telemetry.read_ride_day(folder).setups["b"]
    assert (setup.front.value("lever"), setup.rear.value("lever")) == ("open", "firm")


def test_what_the_file_would_refuse_is_not_written(folder: Path) -> None:
    before = text_of(folder)
    with pytest.raises(RideDayError, match=r"setups\.a\.front\.air_pressure_psi: found 8800; expected a number"):
        lines(folder, ChangeSetup(setup="a", at={"front": {"air_pressure_psi": 8800}}))
    with pytest.raises(CallError, match="no setup 'c'"):
        lines(folder, ChangeSetup(setup="c", at={"front": {"lever": "open"}}))
    assert text_of(folder) == before


def test_a_recording_and_a_run_of_two_loggers_are_added(folder: Path) -> None:
    for name in ("lifted_1", "f_3", "r_3"):
        write_log(folder / f"{name}.csv", *trail(2.0, 3))
    more = {"before_run": "run_2", "setup": "b", "pulled": None}
    run = AddRun(log="f_3.csv", rear_log="r_3.csv", setup="b", started_at=NOW, more={"lever_rear": "open"})
    lines(folder, AddRecording(log="lifted_1.csv", kind="lifted", more=more), run)
    day = telemetry.read_ride_day(folder)
    assert [(item.name, item.kind, item.before_order) for item in day.static] == [("lifted_1.csv", "lifted", 2)]
    entry = day.run("f_3")
    assert entry.rear_log is not None
    assert (entry.rear_log.name, entry.lever_rear) == ("r_3.csv", "open")


@given(note=st.text(st.characters(blacklist_categories=["Cs"]), max_size=60))
@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
def test_no_word_breaks_out_of_its_text(folder: Path, note: str) -> None:
    write_log(folder / "run_3.csv", *trail(0.1, 3))
    day = telemetry.read_ride_day(folder)
    found = propose(day, [AddRun(log="run_3.csv", setup="b", started_at=NOW, more={"note": note})])
    before, after = tomllib.loads(day.source.decode()), tomllib.loads(found.text.decode())
    assert after["runs"].pop() == {"log": "run_3.csv", "setup": "b", "note": note}
    assert after == before


def test_what_is_inherited_is_told_apart_from_what_is_stated(folder: Path) -> None:
    day = telemetry.read_ride_day(folder)
    front, bike = written_settings(day, "b", "front"), written_settings(day, "b", "bike")
    assert {key: (item.spelled, item.inherited_from) for key, item in front.items()} == {
        "travel_mm": ("travel_mm", ""),
        "air_pressure_bar": ("air_pressure_psi", "a"),
        "rebound": ("rebound", "a"),
        "lower_leg_oil_each_ml": ("lower_leg_oil_each_ml", None),
    }
    assert bike["wheelbase_mm"].inherited_from == ""


@pytest.mark.parametrize(
    ("key", "texts", "says"),
    [
        ("air_pressure_bar", ["5,7"], ("air_pressure_bar", 5.7)),
        ("air_pressure_bar", [" 82psi "], ("air_pressure_psi", 82)),
        ("air_pressure_psi", ["5.7 BAR"], ("air_pressure_bar", 5.7)),
        ("spring_rate_n_mm", ["450 lb/in"], ("spring_rate_lb_in", 450)),
        ("offset_mm", ["−4.5"], ("offset_mm", -4.5)),
        ("preload_mm", ["2 turns"], ("preload_mm", "2 turns")),
        ("volume_spacers", ["9" * 5000], ("volume_spacers", "9" * 1999 + "…")),
        ("lower_leg_crossover", ["Yes"], ("lower_leg_crossover", True)),
        ("tyre_insert", ["foam\nring"], ("tyre_insert", "foam ring")),
        ("parts_opened_on", ["2026-05-16"], ("parts_opened_on", dt.date(2026, 5, 16))),
        ("parts_opened_on", ["May"], ("parts_opened_on", "May")),
        ("rebound", ["2,5", "", "turns"], ("rebound", {"turns_from_closed": 2.5})),
        ("rebound", ["two", "18", "clicks"], ("rebound", {"clicks_from_closed": "two", "of": 18})),
    ],
)
def test_what_is_typed_is_what_the_file_would_hold(key: str, texts: list[str], says: tuple[str, object]) -> None:
    assert typed(key, texts) == says


def test_every_key_has_the_spellings_that_the_reader_takes() -> None:
    """Both are made of the same suffixes, each on its own."""
    for spec in SETUP_KEYS:
        assert {way for way, _ in spellings_of(spec.key)} <= spellings(frozenset({spec.key}))


def test_a_key_is_spelled_as_its_kin_are() -> None:
    raw = {"setups": {"a": {"front": {"air_pressure_psi": 88}}}, "bike": {"rear": {"stroke_mm": 60}}}
    assert spelled("tyre_pressure_bar", raw) == "tyre_pressure_psi"
    assert spelled("preload_mm", raw) == "preload_mm"
    assert spelled("air_pressure_bar", {**raw, "runs": [{"air_pressure_bar": 6}]}) == "air_pressure_bar"
