"""The spread of this bike's kept days taken by itself: the same numbers as named, fixed before the first run, said.

Days are dated far ahead, so that what the test keeps was kept before they were ridden.
"""

from __future__ import annotations

import datetime as dt
import json
import shutil
import sqlite3
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import pytest

import telemetry
from telemetry import library
from telemetry.library.catalogue import FILE
from telemetry.pipeline import keep, known_of, with_kept_days
from telemetry.pipeline.earlier import Earlier, earlier_days
from telemetry.pipeline.studying import study
from tests.cli.run_here import commanded
from tests.library.small_library import said
from tests.pipeline.small_days import make_day, trail, write_log

RIDDEN = "2099-05-16"
SECONDS = 8.0
TRAIL = 'trail = "Quarry loop"\nrider = "tester"\n'
ORDERS = ("abbab", "babba", "abbba", "babab")


class Made(NamedTuple):
    """A library of three days, the folder with these days and today's, and the ids."""

    root: Path
    days: Path
    ids: tuple[str, ...]

    @property
    def today(self) -> telemetry.RideDay:
        return telemetry.read_ride_day(self.days / "today")

    def lent(self, day: telemetry.RideDay | None = None) -> Earlier:
        """Return what the library lends to a day, today's by itself, by what its file says alone."""
        return earlier_days(with_kept_days(self.today if day is None else day, self.root))

    def lent_once_studied(self, day: telemetry.RideDay) -> Earlier:
        own = with_kept_days(day, self.root)
        return earlier_days(own, study(own))


def earlier_day(folder: Path, number: int) -> Path:
    """Write a day of March: bike, trail and rider of today's."""
    day = make_day(folder, ORDERS[number - 1], seconds=SECONDS)
    for place in range(1, len(ORDERS[number - 1]) + 1):
        write_log(day / f"run_{place}.csv", *trail(SECONDS, 100 * number + place))
    return of_the_trail(day, f"2099-03-{number:02d}")


def of_the_trail(day: Path, date: str) -> Path:
    file = day / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("date = 2026-05-16\n", f"date = {date}\n{TRAIL}"), encoding="utf-8")
    return day


def changed(folder: Path, before: str, after: str) -> telemetry.RideDay:
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    assert before in text
    file.write_text(text.replace(before, after, 1), encoding="utf-8")
    return telemetry.read_ride_day(folder)


def begun(folder: Path) -> telemetry.RideDay:
    """Have a day's runs start at nine, a quarter of an hour apart."""
    file = folder / "ride_day.toml"
    head, *runs = file.read_text(encoding="utf-8").split("[[runs]]\n")
    starts = [f"[[runs]]\nstarted_at = {RIDDEN}T09:{15 * place:02d}:00\n{run}" for place, run in enumerate(runs)]
    file.write_text(head + "".join(starts), encoding="utf-8")
    return telemetry.read_ride_day(folder)


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Made:
    place = tmp_path_factory.mktemp("lent")
    root, days = place / "library", place / "days"
    kept = [keep(telemetry.read_ride_day(earlier_day(days / f"early_{n}", n)), root).put.id for n in (1, 2, 3)]
    of_the_trail(make_day(days / "today", "abba", seconds=SECONDS), RIDDEN)
    return Made(root=root, days=days, ids=tuple(kept))


@pytest.fixture
def made(once: Made, tmp_path: Path) -> Made:
    root, days = shutil.copytree(once.root, tmp_path / "library"), shutil.copytree(once.days, tmp_path / "days")
    return Made(root=Path(root), days=Path(days), ids=once.ids)


def test_kept_days_lend_what_they_would_if_they_were_named(
    made: Made, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    named = tuple(made.days / f"early_{number}" / "ride_day.toml" for number in (1, 2, 3))
    day = made.today
    by_hand = telemetry.compare(replace(day, comparison=replace(day.comparison, spread_from=named)))
    by_itself = telemetry.compare(with_kept_days(day, made.root))
    assert by_itself.verdicts == by_hand.verdicts
    assert by_itself.earlier.versions == tuple(f"{name}.1" for name in made.ids)
    assert by_itself.earlier.degrees_of_freedom == by_hand.earlier.degrees_of_freedom > 4
    assert made.lent().borrowed == earlier_days(by_hand.day).borrowed
    known = known_of(telemetry.analyse(with_kept_days(day, made.root)))
    assert known.earlier.borrowed == made.lent().borrowed


def test_they_are_named_in_text_json_and_report_without_any_name(made: Made, tmp_path: Path) -> None:
    words = "kept days of this bike and trail, 2099-03-01, 2099-03-02, 2099-03-03"
    day, page = made.days / "today", tmp_path / "report.html"
    assert words in commanded("compare", day, "--library", made.root).stdout
    told = json.loads(commanded("compare", day, "--library", made.root, "--json").stdout)["earlier_days"]
    assert [(own["day"], own["version"]) for own in told["days"]] == [(name, 1) for name in made.ids]
    assert (told["source"], told["left_out"]) == ("library", [])
    assert told["degrees_of_freedom"] > 4
    assert commanded("report", day, "--out", page, "--no-predict", "--library", made.root).returncode == 0
    assert words in page.read_text(encoding="utf-8")
    assert commanded("report", day, "--out", page, "--for", "customer", "--library", made.root).returncode == 0
    assert "2099-03-01" not in page.read_text(encoding="utf-8")


def test_the_environment_names_the_library_and_a_switch_or_an_empty_list_turns_it_off(
    made: Made, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TELEMETRY_LIBRARY", str(made.root))
    day = made.days / "today"
    assert "earlier_days" in json.loads(commanded("compare", day, "--json").stdout)
    assert "earlier_days" not in json.loads(commanded("compare", day, "--json", "--this-day-alone").stdout)
    changed(day, "[log]", "[comparison]\nspread_from = []\n[log]")
    assert "earlier_days" not in json.loads(commanded("compare", day, "--json").stdout)


@pytest.mark.parametrize("command", ["compare", "plan", "report", "predict", "export"])
def test_every_command_that_compares_is_told_whose_spread_it_borrows(command: str) -> None:
    said_of = commanded(command, "--help").stdout
    assert "--library FOLDER" in said_of
    assert "--this-day-alone" in said_of


def test_a_library_that_is_not_there_is_not_made(made: Made, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TELEMETRY_LIBRARY", str(tmp_path / "nowhere"))
    assert telemetry.compare(made.today).earlier.source == ""
    assert not (tmp_path / "nowhere").exists()
    done = commanded("compare", made.days / "today", "--library", tmp_path / "nowhere")
    assert (done.returncode, "found no library" in done.stderr) == (2, True)


def test_a_damaged_library_is_told_and_the_day_is_judged_alone(made: Made, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TELEMETRY_LIBRARY", str(made.root))
    (made.root / FILE).write_bytes(b"torn" * 4000)
    done = commanded("compare", made.days / "today")
    assert done.returncode == 0
    assert "this day alone; the kept days can't be looked at: a damaged catalogue" in done.stdout


@pytest.mark.parametrize(
    ("before", "after", "reason"),
    [
        ('trail = "Quarry loop"', 'trail = "Ford loop"', "on another trail"),
        ('rider = "tester"', 'rider = "another"', "ridden by another"),
        ("[log]", "[conditioning]\ncutoff_hz = 40\n[log]", "smoothed at 60 Hz"),
    ],
)
def test_days_that_are_not_alike_lend_nothing_and_say_why(made: Made, before: str, after: str, reason: str) -> None:
    found = made.lent(changed(made.days / "today", before, after)).told
    assert {left.reason for left in found.left_out} == {reason}
    assert found.why_none == "of this bike's kept days none can lend theirs, 3 are needed"


def test_names_and_capitals_alone_make_no_difference_and_what_one_leaves_unsaid_none(made: Made) -> None:
    changed(made.days / "today", 'trail = "Quarry loop"', 'trail = "quarry  LOOP"')
    day = changed(made.days / "today", 'rider = "tester"\n', "")
    assert len(made.lent(day).told.days) == 3


def test_another_bike_says_nothing_and_a_day_without_a_trail_says_what_it_lacks(made: Made) -> None:
    day = changed(made.days / "today", 'trail = "Quarry loop"\n', "")
    assert made.lent(day).told.why_none == "kept days lend only to a day that states its trail"
    day = changed(made.days / "today", 'name = "Test mule"', 'name = "Test pony"')
    assert made.lent(day).told.source == ""


def test_a_day_that_was_kept_as_the_wrong_bikes_lends_it_nothing_once_it_is_put_right(made: Made) -> None:
    keep(telemetry.read_ride_day(earlier_day(made.days / "early_4", 4)), made.root)
    assert len(made.lent().told.days) == 4
    keep(changed(made.days / "early_4", '"Test mule"', '"Test pony"'), made.root)
    told = made.lent().told
    assert [day.day for day in told.days] == list(made.ids)
    assert told.left_out == ()
    written(made.root, f"{KEPT_AT} WHERE number = 2", dt.datetime(2099, 6, 1).astimezone().isoformat())
    assert len(made.lent().told.days) == 4


def test_accents_are_the_same_however_they_are_written(made: Made) -> None:
    """One letter and a letter with its mark are canonically the same: Unicode Standard Annex 15."""
    one, two = "Mul\u00e9", "MULE\u0301"
    days = [changed(made.days / f"early_{number}", '"Test mule"', f'"{one}"') for number in (1, 2, 3)]
    kept = [keep(day, made.root).put.id for day in days]
    told = made.lent(changed(made.days / "today", '"Test mule"', f'"{two}"')).told
    assert [day.day for day in told.days] == kept


def test_other_definitions_are_left_out(made: Made) -> None:
    written(made.root, "UPDATE versions SET definitions = 1 WHERE key = ?", key_of(made, 0))
    (left,) = made.lent().told.left_out
    assert (left.day, left.reason) == (made.ids[0], "measured by other definitions")


def written(root: Path, statement: str, *values: object) -> None:
    with sqlite3.connect(root / FILE) as db:
        db.execute(statement, values)
    db.close()


KEPT_AT = "UPDATE versions SET kept_at = ?"


def key_of(made: Made, number: int) -> int:
    with library.reading(made.root) as catalogue:
        rows = catalogue.db.execute(
            "SELECT v.key FROM versions v JOIN days d ON v.day = d.key WHERE d.id = ?", (made.ids[number],)
        )
        return int(rows.fetchone()[0])


def test_what_is_kept_or_kept_anew_later_leaves_the_answer_as_it_was(made: Made) -> None:
    """Kept after the first run's start, or of a later date: not even the later version of a day that lends."""
    day = begun(made.days / "today")
    first = made.lent_once_studied(day)
    keep(telemetry.read_ride_day(earlier_day(made.days / "early_4", 4)), made.root)
    after = shutil.copytree(made.days / "early_1", made.days / "after")
    keep(telemetry.read_ride_day(said(Path(after), date="2099-06-01", title="after")), made.root)
    write_log(made.days / "early_2" / "run_1.csv", *trail(SECONDS, 999))
    keep(telemetry.read_ride_day(made.days / "early_2"), made.root)
    in_ride = dt.datetime(2099, 5, 16, 9, 0, 1).astimezone(dt.UTC).isoformat()
    of_late = "number = 2 OR day = (SELECT key FROM days WHERE date = '2099-03-04')"
    written(made.root, f"{KEPT_AT} WHERE {of_late}", in_ride)
    found = made.lent_once_studied(day)
    assert found.borrowed == first.borrowed
    assert found.told.days == first.told.days
    assert [left.reason for left in found.told.left_out] == ["kept after this day's first run"]
    before = (dt.datetime(2099, 5, 16, 8, 59, 59)).astimezone(dt.UTC).isoformat()
    written(made.root, KEPT_AT, before)
    assert len(made.lent_once_studied(day).told.days) == 4
    assert made.lent_once_studied(day).borrowed != first.borrowed


def not_judged(day: telemetry.RideDay) -> list[str]:
    findings = telemetry.compare(day).fairness_findings
    return [item.message for item in findings if (item.code, item.severity) == ("spread_not_judged", "note")]


def test_where_no_clock_tells_days_stand_whenever_they_were_kept_and_a_note_says_so(made: Made) -> None:
    first, day = made.lent(), with_kept_days(made.today, made.root)
    assert not_judged(day) == []
    kept = dt.datetime(2099, 5, 16, 0, 0, 1).astimezone()
    written(made.root, f"{KEPT_AT} WHERE key = ?", kept.isoformat(), key_of(made, 0))
    found = made.lent()
    assert (found.borrowed, found.told.left_out) == (first.borrowed, ())
    assert [late.day for late in found.told.perhaps_late] == [made.ids[0]]
    (words,) = not_judged(day)
    assert words.startswith(
        "spread borrowed of 1 day that was kept on this day's date or later (2099-03-01): not judged"
    )
    assert words.endswith("makes the verdicts worthless; state started_at for every run")
    done = commanded("compare", made.days / "today", "--library", made.root).stdout
    assert "Of these, kept on this day's date or later: 2099-03-01" in done
    kept -= dt.timedelta(seconds=2)
    written(made.root, f"{KEPT_AT} WHERE key = ?", kept.isoformat(), key_of(made, 0))
    assert not_judged(day) == []


def test_where_the_start_is_known_days_kept_later_lend_nothing_and_where_not_yet_ridden_nothing_is_late(
    made: Made,
) -> None:
    written(made.root, KEPT_AT, dt.datetime(2099, 6, 1).astimezone().isoformat())
    assert [late.day for late in made.lent().told.perhaps_late] == list(made.ids)
    unridden = made.lent(replace(made.today, runs=())).told
    assert (len(unridden.days), unridden.perhaps_late) == (3, ())
    keep(made.today, made.root)  # now: the library was in use when today was ridden
    found = made.lent_once_studied(begun(made.days / "today")).told
    assert (found.days, {left.reason for left in found.left_out}) == ((), {"kept after this day's first run"})


def test_days_of_a_library_that_was_begun_after_the_first_run_stand_and_a_note_says_so(made: Made) -> None:
    written(made.root, KEPT_AT, dt.datetime(2099, 6, 1).astimezone().isoformat())
    day = begun(made.days / "today")
    found = made.lent_once_studied(day)
    assert (found.borrowed, found.told.library_is_younger) == (made.lent().borrowed, True)
    assert [late.day for late in found.told.perhaps_late] == list(made.ids)
    (words,) = not_judged(with_kept_days(day, made.root))
    assert "the library was begun after the first run; choosing" in words


def test_without_a_clock_a_version_kept_before_stands_and_one_kept_late_is_the_newest(made: Made) -> None:
    write_log(made.days / "early_2" / "run_1.csv", *trail(SECONDS, 999))
    keep(telemetry.read_ride_day(made.days / "early_2"), made.root)
    late = dt.datetime(2099, 6, 1).astimezone().isoformat()
    written(made.root, f"{KEPT_AT} WHERE number = 2", late)
    assert [day.version for day in made.lent().told.days] == [1, 1, 1]
    written(made.root, KEPT_AT, late)
    assert [day.version for day in made.lent().told.days] == [1, 2, 1]


def test_a_day_never_lends_to_itself_under_whatever_date_and_folder_it_was_kept(made: Made) -> None:
    keep(made.today, made.root)
    assert len(made.lent().told.days) == 3
    twin = shutil.copytree(made.days / "today", made.days / "twin")
    keep(telemetry.read_ride_day(said(Path(twin), date="2099-05-01", title="the wrong date")), made.root)
    found = made.lent().told
    assert len(found.days) == 3
    assert [left.reason for left in found.left_out] == ["it holds a log of this day"]


def test_two_kept_days_are_too_few_and_that_is_said(made: Made) -> None:
    library.take_out(made.root, made.ids[1])
    found = made.lent()
    assert dict(found.borrowed) == {}
    assert found.told.why_none == "of this bike's kept days 2 can lend theirs, 3 are needed"


def test_a_kept_days_comparison_is_made_again_with_the_days_that_lent_then(
    made: Made, monkeypatch: pytest.MonkeyPatch
) -> None:
    name = keep(made.today, made.root).put.id
    first = telemetry.compare(with_kept_days(made.today, made.root))
    keep(telemetry.read_ride_day(earlier_day(made.days / "early_4", 4)), made.root)
    assert len(made.lent().told.days) == 4
    monkeypatch.setenv("TELEMETRY_LIBRARY", "nowhere")
    with telemetry.open_library(made.root) as days:
        again = telemetry.compare(days.day(name))
        assert again.verdicts == first.verdicts
        assert again.earlier == first.earlier
        library.take_out(made.root, made.ids[0])
        gone = telemetry.compare(days.day(name)).earlier
    assert [left.reason for left in gone.left_out] == ["not kept any more"]
    assert gone.why_none


def test_a_kept_day_tells_again_that_others_were_kept_late(made: Made) -> None:
    written(made.root, KEPT_AT, dt.datetime(2099, 6, 1).astimezone().isoformat())
    name = keep(made.today, made.root).put.id
    first = not_judged(with_kept_days(made.today, made.root))
    with telemetry.open_library(made.root) as days:
        assert not_judged(days.day(name)) == first != []


@pytest.fixture
def planned(made: Made) -> Callable[..., telemetry.Plan]:
    """Plan for a change of three times the spread."""
    matters = 3 * made.lent().borrowed["dynamic_sag", "front"].variance ** 0.5
    wish = f'focus = ["dynamic_sag:front"]\nsmallest_change = {{ "dynamic_sag:front" = "{matters:.3f} points" }}'
    day = changed(made.days / "today", "[log]", f"[comparison]\n{wish}\n[log]")
    return lambda root: telemetry.plan(with_kept_days(replace(day, runs=()), root))


def test_a_plan_takes_them_and_says_what_they_save(made: Made, planned: Callable[..., telemetry.Plan]) -> None:
    plan, alone = planned(made.root), planned(None)
    assert {row.spread_from for row in plan.sees if row.spec.scale != "count"} == {"earlier days"}
    (words,) = [line for line in plan.advice if line.startswith("Spread: ")]
    assert plan.size.runs_each is not None
    assert plan.size.runs_each_unlent is not None
    saved = plan.size.runs_each_unlent - plan.size.runs_each
    assert saved > 0
    runs = f"{saved} run{'s' * (saved > 1)} of each"
    assert words.endswith(f"That saves {runs}: without them it would take {plan.size.runs_each_unlent}.")
    told = plan.to_dict()["earlier_days"]
    assert isinstance(told, dict)
    assert len(told["days"]) == 3
    assert "earlier_days" not in alone.to_dict()
    assert {row.spread_from for row in alone.sees} == {"default"}
