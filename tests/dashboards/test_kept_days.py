"""A library behind the pages: days read and freed again, what was done told from settings, values told apart."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

import pytest

from dashboards.content.done import changes, work_done
from dashboards.content.groups_told import grouped
from dashboards.figures.over_time import PastPoint, over_time, span_of
from dashboards.pages.shelf_link import Asked
from dashboards.serving.kept import KeptDays
from dashboards.serving.shelves import KEPT_DAYS
from telemetry import library
from telemetry.errors import CallError
from telemetry.library import Kept, KeptRun, KeptSetting, KeptSetup
from telemetry.library.catalogue import writing
from telemetry.library.entering import enter
from tests.library.conftest import One, made_once, one  # noqa: F401 - its library, made once
from tests.waiting import waited_for


def more(root: Path, like: str, count: int) -> list[str]:
    """Enter days that share another's files; return their ids."""
    with library.reading(root) as catalogue:
        kept = library.record_of(catalogue, like)
    days = [replace(kept, id=f"2026-01-{day:02d}-abcdef", date=f"2026-01-{day:02d}") for day in range(1, count + 1)]
    with writing(root) as catalogue, catalogue.change():
        for day in days:
            enter(catalogue, day)
            catalogue.store.write_record(day.stem, day.packed())
    return [day.id for day in days]


def test_days_nobody_looks_at_are_let_go_of_with_their_copies(one: One) -> None:  # noqa: F811
    days = KeptDays(one.root)
    out = days._out._out
    names = more(one.root, one.id, KEPT_DAYS + 2)
    for name in names:
        days.shelf(name)
        waited_for(lambda name=name: days.shelf(name).state == "ready")  # type: ignore[misc]
    waited_for(lambda: len(list(out.iterdir())) <= KEPT_DAYS)
    held = [name for name in names if (found := days.known(name)) is not None and found.read is not None]
    assert len(held) <= KEPT_DAYS
    assert names[-1] in held
    days.shelf(names[0])
    waited_for(lambda: days.shelf(names[0]).read is not None)
    days.close()
    assert not out.exists()


def test_a_page_that_shows_a_day_does_not_have_it_read_again(one: One) -> None:  # noqa: F811
    """Four open pages ask for news every few seconds: each would have another's day read."""
    days = KeptDays(one.root)
    for name in (names := more(one.root, one.id, KEPT_DAYS + 1)):
        days.shelf(name)
        waited_for(lambda name=name: days.shelf(name).state == "ready")  # type: ignore[misc]
    waited_for(lambda: days.known(names[0]).read is None)  # type: ignore[union-attr]
    time.sleep(0.2)
    assert days.known(names[0]).read is None  # type: ignore[union-attr]
    days.close()


def test_a_day_that_is_forgotten_makes_way(one: One) -> None:  # noqa: F811
    from telemetry.pipeline import forget

    days = KeptDays(one.root)
    before = days.shelf(one.id)
    waited_for(lambda: days.shelf(one.id).read is not None)
    version, copy = before.version, before.path
    forget("Ann Example", one.root)
    days.known(one.id)  # somebody looks
    waited_for(lambda: (found := days.known(one.id)) is not None and found is not before)
    waited_for(lambda: not copy.exists())
    waited_for(lambda: days.shelf(one.id).read is not None)
    assert days.shelf(one.id).version > version
    assert not any(days.shelf(one.id).read.day.customer.values())  # type: ignore[union-attr]
    days.close()


@pytest.mark.parametrize("name", ["", "..", "none", "2026-01-01'--"])
def test_only_a_kept_day_can_be_asked_for(one: One, name: str) -> None:  # noqa: F811
    with pytest.raises(CallError, match="no kept day"):
        KeptDays(one.root).shelf(name)


def setting(key: str, entered: str, end: str = "front") -> KeptSetting:
    unit = entered.partition(" ")[2]
    return KeptSetting(end=end, key=key, words=key, text=entered, number=None, unit=unit, entered=entered)


def setup(name: str, *settings: KeptSetting, left: bool = False) -> KeptSetup:
    return KeptSetup(name=name, label=f"label {name}", left=left, settings=settings)


def kept_day(one: One, date: str, *setups: KeptSetup) -> Kept:  # noqa: F811
    with library.reading(one.root) as catalogue:
        kept = library.record_of(catalogue, one.id)
    runs = tuple(
        KeptRun(name=own.name, setup=own.name, order=number, usable="good", rider="", measures=(), history=())
        for number, own in enumerate(setups, 1)
    )
    return replace(kept, id=date, date=date, setups=setups, runs=runs)


def test_a_change_is_told_with_its_unit_once_and_what_one_alone_states_is_counted() -> None:
    before = setup("a", setting("oil", "20 ml"), setting("lever", "open"), setting("gone", "1"))
    after = setup("b", setting("oil", "8 ml"), setting("lever", "firm"), setting("new", "2"), setting("newer", "3"))
    assert list(changes(before, after)) == [
        "oil, front 20 → 8 ml",
        "lever, front open → firm",
        "2 settings newly stated",
        "1 setting no longer stated",
    ]


def test_what_changed_between_days_is_held_against_how_the_bike_was_left(one: One) -> None:  # noqa: F811
    days = (
        kept_day(one, "2026-01-01", setup("a", setting("oil", "20 ml")), setup("b", setting("oil", "8 ml"), left=True)),
        kept_day(one, "2026-02-01", setup("c", setting("oil", "8 ml"), left=True)),
        kept_day(one, "2026-03-01", setup("d", setting("oil", "10 ml"), left=True)),
    )
    first, second = work_done(days)
    assert (first.number, first.before, first.on_it) == (1, (), ("label b: oil, front 20 → 8 ml; left so",))
    assert (second.number, second.day.date, second.before) == (2, "2026-03-01", ("oil, front 8 → 10 ml",))


def test_values_that_may_not_be_held_against_each_other_have_letters() -> None:
    letters, told = grouped([(0, 160.0), (1, 160.0), (0, None), (0, 160.9)])
    assert letters == ("A", "B", "C", "A")
    assert told == (
        "A is of 160 mm full travel, measured by today's definitions",
        "B is of 160 mm full travel, measured by definitions 1",
        "C is of full travel that wasn't kept, measured by today's definitions",
    )
    assert grouped([(0, None), (0, None)]) == (("", ""), ())


def test_a_figure_over_time_draws_what_it_was_given() -> None:
    points = [
        PastPoint(slot=0, within=0.5, when="1 May 2026", what="a", value=30.0, low=10.0, high=50.0, of="2"),
        PastPoint(slot=1, within=0.5, when="2 May 2026", what="b", value=31.0, of="1", filled=False, group="B"),
    ]
    span = span_of([points], "dynamic_sag")
    assert span < 10.0  # the interval of two runs doesn't press the values together
    drawn = over_time(points, "dynamic_sag", "front", span, {1: "1"})
    start, end = drawn.plot.y_range.start, drawn.plot.y_range.end
    assert start < points[0].value < points[1].value < end
    assert [list(row[2:]) for row in drawn.numbers.rows] == [
        ["30.0", "10.0 and 50.0", "2", ""],
        ["31.0", "one alone", "1", "B"],
    ]


def test_a_link_comes_back_as_it_was() -> None:
    asked = Asked(page="laps", bike="a & b=c", trail="#?", rider="", skip=25, verdict="changed", since="2026-01-01")
    from urllib.parse import parse_qs

    pairs = parse_qs(asked.link()[1:], keep_blank_values=True)
    assert Asked.of({name: [value.encode() for value in values] for name, values in pairs.items()}) == asked
