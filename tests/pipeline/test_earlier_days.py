"""What earlier days lend a day on disk: said, kept by content, lent to millimetres too, and refused where unusable."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from scipy import stats

import telemetry
from telemetry.model.comparison import Result
from telemetry.own_folders import cache_folder
from telemetry.pipeline import named_lenders
from telemetry.pipeline.earlier import earlier_days
from telemetry.telling.earlier_days import spread_in_words
from telemetry.telling.fairness import compared_over
from tests.pipeline.small_days import make_day, trail, write_log

NAMED = '[comparison]\nspread_from = ["../early_1", "../early_2", "../early_3"]\n'
LONGER = "[setups.b.front]\ntravel_mm = 200\n"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three earlier days, a day that names them, and one that does with a longer fork."""
    folder = tmp_path_factory.mktemp("days")
    for number, order in enumerate(("abbab", "babba", "abbba"), 1):
        early = make_day(folder / f"early_{number}", order, seconds=14.0)
        for place in range(1, 6):
            write_log(early / f"run_{place}.csv", *trail(14.0, 100 * number + place))
    make_day(folder / "today", "abba", seconds=20.0, extra=NAMED)
    longer = make_day(folder / "longer", "abba", seconds=20.0, extra=NAMED) / "ride_day.toml"
    text = longer.read_text(encoding="utf-8")
    longer.write_text(text.replace("[setups.b.front]\n", LONGER), encoding="utf-8")
    return folder


@pytest.fixture
def days(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return Path(shutil.copytree(made, tmp_path / "days"))


def test_they_are_named_in_the_answer(days: Path) -> None:
    found = telemetry.compare(telemetry.read_ride_day(days / "today"))
    told = str(found.conditioning["spread"])
    assert told.startswith("Spread: this day and 3 earlier ones, worth ")
    assert compared_over(found).endswith(f". {told}")


def test_millimetres_borrow_what_their_share_does(days: Path) -> None:
    """At 160 mm of fork a point is 1.6 mm: a variance of 2.56 mm^2, pooled with today's on two degrees of freedom."""
    day = telemetry.read_ride_day(days / "longer")
    lent = earlier_days(day).borrowed["dynamic_sag", "front"]
    by_itself = replace(day, comparison=replace(day.comparison, spread_from=()))
    found, alone = (
        next(row for row in telemetry.compare(each).verdicts.results if row.measure == "dynamic_sag_mm")
        for each in (day, by_itself)
    )

    def se(row: Result, nu: float) -> float:
        assert None not in (row.high, row.difference, row.level)
        return float((row.high - row.difference) / stats.t.isf(row.level / 2, nu))  # type: ignore[operator]

    nu = lent.nu + 2
    assert se(found, nu) ** 2 == pytest.approx((lent.nu * 2.56 * lent.variance + 2 * se(alone, 2) ** 2) / nu)


def test_what_was_read_once_is_not_read_again_until_a_log_changes(days: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    day = telemetry.read_ride_day(days / "today")
    first = earlier_days(day)
    read: list[Path] = []
    study = named_lenders.study

    def watched(early: telemetry.RideDay) -> object:
        read.append(early.path.parent)
        return study(early)

    monkeypatch.setattr(named_lenders, "study", watched)
    assert earlier_days(day) == first
    assert read == []
    write_log(days / "early_2" / "run_1.csv", *trail(14.0, 999))
    again = earlier_days(day)
    assert [path.name for path in read] == ["early_2"]
    assert again != first


def test_a_cache_that_cannot_be_written_or_read_costs_time_only(days: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    day = telemetry.read_ride_day(days / "today")
    first = earlier_days(day)
    kept = sorted((cache_folder() / "earlier_days").iterdir())
    assert len(kept) == 3
    for file in kept:
        file.write_text("[[torn", encoding="utf-8")
    assert earlier_days(day) == first
    in_the_way = days / "a_file"
    in_the_way.write_text("", encoding="utf-8")
    monkeypatch.setenv("XDG_CACHE_HOME", str(in_the_way))
    assert earlier_days(day) == first


def test_a_day_that_cannot_be_used_is_named_by_its_place_where_too_few_are_left(days: Path) -> None:
    day = telemetry.read_ride_day(days / "today")
    (days / "early_2" / "run_1.csv").unlink()
    with pytest.raises(telemetry.TelemetryError, match=r"comparison\.spread_from\[2\]: .*can't be used"):
        earlier_days(day)


def test_of_four_days_one_that_cannot_be_used_is_left_out_and_said(days: Path) -> None:
    shutil.copytree(days / "early_1", days / "early_0")
    day = telemetry.read_ride_day(days / "today")
    three = earlier_days(day)
    four = replace(
        day.comparison, spread_from=(days / "early_0" / "ride_day.toml", *(day.comparison.spread_from or ()))
    )
    (days / "early_0" / "run_1.csv").unlink()
    found = earlier_days(replace(day, comparison=four))
    assert found.borrowed == three.borrowed
    (left,) = found.told.left_out
    assert left.day == "spread_from[1]"
    words = spread_in_words(found.told)
    assert "Left out: spread_from[1] (it can't be used: " in words
    assert "early_0" not in words  # a folder may be called by a customer's name


def test_a_day_with_one_log_that_cannot_be_read_lends_what_the_others_tell(days: Path) -> None:
    """Of its two and three runs one less: a degree of freedom less, as if that run had never been ridden."""
    day = telemetry.read_ride_day(days / "today")
    (days / "early_2" / "run_1.csv").write_text("no log\n", encoding="utf-8")
    found = earlier_days(day)
    assert [own.without for own in found.told.days] == [(), ("run_1",), ()]
    assert ". Without run_1 of 2026-05-16: no log that can be read" in spread_in_words(found.told)
    file = days / "early_2" / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('[[runs]]\nlog = "run_1.csv"\nsetup = "b"\n', ""), encoding="utf-8")
    assert earlier_days(day).borrowed == found.borrowed
