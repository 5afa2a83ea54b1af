"""The same change on several kept days: what is put together, what isn't and why, and what the answer holds."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.errors import CallError
from telemetry.library import Kept
from telemetry.pipeline import together
from telemetry.statistics.random_effects import DayDifferences
from telemetry.statistics.random_effects import together as over_days
from telemetry.telling.together import remarks
from tests.cli.run_here import commanded
from tests.library.conftest import One
from tests.library.kept_changes import (
    BOTTOMS,
    DEPTH,
    OIL,
    PACKING,
    SPEED,
    Day,
    change,
    compared,
    difference,
    entered,
    five,
    record,
)


@pytest.fixture(scope="module")
def kept(made_once: One) -> Kept:
    return record(made_once.root, made_once.id)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return tmp_path / "days"


def one_day(d: float = 4.0, **about: object) -> Day:
    return Day(setups=(compared(difference(d)),), **about)  # type: ignore[arg-type]


def test_the_mean_is_that_of_random_effects_over_the_days(root: Path, kept: Kept) -> None:
    five(root, kept)
    found = together((), OIL, root)
    (row,) = found.rows
    d = np.array([4.1, 3.6, 4.4, 3.9, 4.2])
    even = np.ones(5)
    told = over_days(DayDifferences(d=d, se=0.3 * even, nu=4 * even, reach=0.8 * even, least_se=0.1 * even))
    assert row.difference == pytest.approx(told.mean, rel=1e-6)
    assert (row.high or 0) - (row.low or 0) == pytest.approx(
        2 * told.half_width(0.05), rel=1e-5
    )  # one row: at q itself
    assert row.inner_high == pytest.approx(told.mean + told.half_width(0.10), rel=1e-6)
    assert row.next_interval.high == pytest.approx(told.mean + told.next_half_width(0.05), rel=1e-6)  # type: ignore[union-attr]
    assert row.verdict == "changed"
    assert [own.difference for own in row.of_days] == pytest.approx(d.tolist(), rel=1e-6)
    assert sum(own.share or 0 for own in row.of_days) == pytest.approx(1)
    assert found.change.more is False
    assert found.headline == "Less lower-leg oil, front (by 12 ml), 5 days of 5 bikes: front sits deeper while riding"


def test_a_day_s_own_interval_is_its_comparison_s(root: Path, kept: Kept) -> None:
    counts = difference(0.7, 0.2, row=BOTTOMS, nu=4.0, reach=1.0, floor_se=0.3, floor_nu=None)
    entered(root, kept, [Day(setups=(compared(difference(4.0), counts),))] * 3)
    sag, deep = together((), OIL, root).rows
    for own in sag.of_days:
        assert own.high == pytest.approx(4.0 + 2.776445 * 0.3, rel=1e-5)  # t of 4 at 97.5 %
    for own in deep.of_days:  # 2.776 x 0.2 is less than 1.96 x 0.3: no count scatters less than chance
        assert own.low == pytest.approx(100 * math.expm1(0.7 - 1.959964 * 0.3), rel=1e-5)
    assert deep.unit == "%"
    assert sag.unit == "points"


def test_the_json_holds_every_day_row_and_reason(root: Path, kept: Kept) -> None:
    names = five(root, kept)
    done = commanded("together", "--change", f"{OIL}=less", "--library", root, "--json")
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert [own["day"] for own in told["days"]] == names
    assert told["change"]["key"] == OIL
    assert told["bikes"] == 5
    (row,) = told["measures"]
    assert {"difference", "low", "high", "level", "inner_low", "inner_high", "next_low", "next_high"} <= set(row)
    assert {"between", "between_most", "share_between", "p", "p_alike", "verdict", "sentence", "n_days"} <= set(row)
    assert [own["day"] for own in row["days"]] == names
    assert told["families"] == [{"candidate": "", "group": "all", "m": 1, "q": 0.05, "looks": 1, "selected": 1}]
    text = commanded("together", *names, "--library", root)
    assert text.returncode == 0
    assert text.stdout.startswith(told["headline"] + "\n▲ " + row["sentence"])


def test_from_python_as_frames(root: Path, kept: Kept) -> None:
    names = five(root, kept)
    with telemetry.open_library(root) as days:
        found = days.together(change=OIL, bike="bike")
    assert found.measures["verdict"].tolist() == ["changed"]
    assert found.by_day["day"].tolist() == names


def test_a_row_whose_runs_did_not_differ_on_a_day_is_told_apart(root: Path, kept: Kept) -> None:
    """Its comparison may rest on borrowed spread; of the day's own runs alone nothing says how well it tells it."""
    still = difference(4.0, 0.0, row=DEPTH, floor_se=None, floor_nu=None)
    days = [(difference(4.0), still), *[(difference(size), difference(size, row=DEPTH)) for size in (3.0, 5.0)]]
    entered(root, kept, [Day(setups=(compared(*rows),)) for rows in days])
    found = together((), OIL, root)
    assert [row.measure for row in found.rows] == ["dynamic_sag"]
    assert [(row.measure, row.reason[:45]) for row in found.refused] == [
        ("hit_depth_10_per_min", "runs of one setup don't differ at all on a da")
    ]


def test_the_same_number_written_otherwise_has_no_size(root: Path, kept: Kept) -> None:
    entered(root, kept, [Day(setups=(compared(difference(4.0), changes=[change(20.0, 20.0)]),))] * 2)
    assert together((), OIL, root).change.least is None


def test_two_days_stand_side_by_side_with_the_reason(root: Path, kept: Kept) -> None:
    names = entered(root, kept, [one_day(4.0), one_day(1.0)])
    found = together(names, "", root)
    (row,) = found.rows
    assert (row.difference, row.verdict, row.interval, row.next_interval) == (None, None, None, None)
    assert "2 days, at least 3 are needed" in row.sentence
    assert [own.difference for own in row.of_days] == [4.0, 1.0]
    assert found.families[0].m == 0


def left(found: telemetry.model.together.DaysTogether) -> dict[str, str]:
    return {own.day: own.reason for own in found.left_out}


def test_a_day_that_does_not_fit_is_left_out_with_the_reason(root: Path, kept: Kept) -> None:
    unlike = {
        "changed at the same time: rebound": compared(
            difference(9.0), changes=[change(), change(key="rebound", words="rebound")]
        ),
        "the other way": compared(difference(9.0), changes=[change(8.0, 20.0)]),
        "something open: put_on_once": compared(difference(9.0), opened=("put_on_once",)),
        "nothing of it could be compared": compared(),
    }
    days = [*(one_day() for _ in range(3)), *(Day(setups=(own,)) for own in unlike.values())]
    names = entered(root, kept, days)
    found = together((), f"{OIL}=less", root)
    assert [own.day for own in found.days] == names[:3]
    told = left(found)
    for name, reason in zip(names[3:], unlike, strict=True):
        assert reason in told[name]
    entered(root.with_name("others"), kept, [one_day(), one_day(), Day()])
    assert (
        "no comparison is kept"
        in left(
            together(["2026-06-01-000001", "2026-06-02-000002", "2026-06-03-000003"], "", root.with_name("others"))
        )["2026-06-03-000003"]
    )


def test_with_open_days_no_cause_is_named(root: Path, kept: Kept) -> None:
    names = entered(
        root, kept, [*(one_day() for _ in range(3)), Day(setups=(compared(difference(4.0), opened=("put_on_once",)),))]
    )
    fair, all_days = together((), OIL, root), together((), OIL, root, open_too=True)
    assert names[3] in left(fair)
    assert [own.day for own in all_days.days] == names
    assert all_days.headline.startswith("Setups that differ in lower-leg oil, front, something else open")
    assert fair.headline.startswith("Less lower-leg oil")


@pytest.mark.parametrize(
    ("about", "reason"),
    [
        ({"definitions": 1}, "by definitions 1, the others by 2"),
        ({"cutoff_hz": 40.0}, "cut-off of 40 Hz, the others of 60 Hz"),
    ],
)
def test_other_definitions_and_cleaning_are_not_mixed(
    root: Path, kept: Kept, about: dict[str, object], reason: str
) -> None:
    names = entered(root, kept, [one_day(), one_day(**about), one_day(), one_day()])
    found = together((), OIL, root)
    assert [own.day for own in found.days] == [names[0], *names[2:]]
    assert reason in left(found)[names[1]]


def test_the_same_runs_are_not_counted_twice(root: Path, kept: Kept) -> None:
    names = entered(root, kept, [one_day(runs=("r",)), one_day(), one_day(), one_day(runs=("r",))])
    found = together((), OIL, root)
    assert [own.day for own in found.days] == names[1:]  # what was kept last stands
    assert left(found) == {names[0]: f"some of its runs are also kept as {names[3]}"}


def test_of_several_setups_on_a_day_the_one_that_fits_best_stands(root: Path, kept: Kept) -> None:
    both = Day(
        setups=(
            compared(difference(1.0), changes=[change(20.0, 17.0)]),
            compared(difference(4.0)),
            compared(difference(9.0), changes=[change(20.0, 8.0), change(key="rebound")]),
        )
    )
    entered(root, kept, [one_day(), both, one_day()])
    assert [own.setup for own in together((), OIL, root).days] == ["after_1", "after_2", "after_1"]


def test_rows_that_days_do_not_tell_alike_are_told_with_the_reason(root: Path, kept: Kept) -> None:
    def day(full_mm: float, margin: float) -> Day:
        rows = (
            difference(0.3, row=PACKING | {"full_travel_mm": full_mm}),
            difference(0.2, row=SPEED),
            difference(3.0, row=DEPTH | {"full_travel_mm": 160.0, "margin": margin}),
        )
        return Day(setups=(compared(*rows),))

    entered(root, kept, [day(160.0, 2.0), day(170.0, 2.0), day(160.0, 1.0)])
    found = together((), OIL, root)
    assert [row.measure for row in found.rows] == ["rebound_speed_10_per_min"]
    assert {row.measure: row.reason for row in found.refused} == {
        "packing": "full travel differs between days, 160.0 to 170.0 mm: as many mm aren't the same share of it",
        "hit_depth_10_per_min": "the smallest change that matters isn't the same on all days",
    }


@pytest.mark.parametrize("travels_of_a_day", [1, 2])
def test_shares_go_together_over_bikes_where_each_day_s_setups_have_one_travel(
    root: Path, kept: Kept, travels_of_a_day: int
) -> None:
    opened = () if travels_of_a_day == 1 else ("full_travel_differs",)
    travels = (160.0, 170.0, 140.0)
    rows = [difference(4.0, full_travel_mm=full) for full in travels]
    entered(root, kept, [Day(setups=(compared(row, difference(0.2, row=SPEED), opened=opened),)) for row in rows])
    found = together((), OIL, root, open_too=True)
    shares = [row.difference for row in found.rows if row.measure == "dynamic_sag"]
    if travels_of_a_day == 1:
        assert shares == [pytest.approx(4.0)]
        assert not found.refused
    else:
        assert not shares
        assert "140.0 to 170.0 mm: a share of it isn't the same travel" in found.refused[0].reason


def test_days_left_out_for_the_same_reason_are_told_in_one_line(root: Path, kept: Kept) -> None:
    opened = Day(setups=(compared(difference(4.0), opened=("zero_unchecked",)),))
    names = entered(root, kept, [opened] * 6)
    with pytest.raises(CallError) as refused:
        together((), OIL, root)
    assert f"{', '.join(names[:4])} and 2 more (its comparison leaves something open: zero_unchecked)" in str(
        refused.value
    )
    told = list(remarks(together((), OIL, root, open_too=True)))
    assert f"{', '.join(names)} leave something open (zero_unchecked): no cause is named" in told
    three = entered(root.with_name("others"), kept, [*(one_day() for _ in range(3)), opened, opened])[3:]
    told = list(remarks(together((), OIL, root.with_name("others"))))
    assert f"Left out: {', '.join(three)}, its comparison leaves something open: zero_unchecked" in told


REFUSED = {
    "both ways": (
        [one_day(), Day(setups=(compared(difference(-4.0), changes=[change(8.0, 20.0)]),))],
        "days of unlike changes: less on .*; more on .*=less or =more",
    ),
    "other words": (
        [Day(setups=(compared(difference(4.0), changes=[change("a", word)]),)) for word in "bc"],
        "a ml to b ml on .*; a ml to c ml on .*by their ids",
    ),
    "unlike sizes": (
        [one_day(), one_day(), Day(setups=(compared(difference(1.0), changes=[change(20.0, 17.0)]),))],
        "changes of 3 to 12 ml; expected sizes within 1.5 times",
    ),
    "both ends": (
        [one_day(), Day(setups=(compared(difference(4.0), changes=[change(end="rear")]),))],
        "changed at the front and at the rear; .*front.lower_leg_oil_each_ml or rear",
    ),
    "one alone": (
        [one_day(), Day(setups=(compared(difference(1.0), opened=("rider_differs",)),))],
        "1 day left of it: 2026-06-02-000002 .its comparison leaves something open: rider_differs.*--with-open takes",
    ),
    "none": ([], "0 days on which lower-leg oil alone was changed"),
    "no row": (
        [Day(setups=(compared(difference(1.0)),)), Day(setups=(compared(difference(1.0, row=SPEED)),))],
        "no measure that two of the days tell alike",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_put_together_is_refused_with_the_reason(root: Path, kept: Kept, case: str) -> None:
    days, message = REFUSED[case]
    entered(root, kept, days)
    with pytest.raises(CallError, match=message):
        together((), OIL, root)


def test_a_call_without_a_change_names_what_was_changed(root: Path, kept: Kept) -> None:
    names = entered(root, kept, [one_day(), one_day()])
    with pytest.raises(CallError, match=r"Changed here, on days: front.lower_leg_oil_each_ml \(2\)"):
        together((), "", root)
    with pytest.raises(CallError, match="no day '2026-06-09-ffffff'"):
        together([*names, "2026-06-09-ffffff"], "", root)
    with pytest.raises(CallError, match="KEY=less or KEY=more"):
        together((), f"{OIL}=up", root)
    done = commanded("together", names[0], "--library", root)
    assert done.returncode == 2
    assert "1 day" in done.stderr


def test_a_key_is_looked_for_as_it_is_spelled_in_the_day_s_file_or_refused(root: Path, kept: Kept) -> None:
    bar = [Day(setups=(compared(difference(4.0), changes=[change(5.0, 6.0, key="air_pressure_bar", unit="bar")]),))] * 3
    entered(root, kept, bar)
    assert together((), "air_pressure_psi=more", root).change.key == "air_pressure_bar"
    with pytest.raises(CallError, match=r"no such key 'air_presure_bar'.*Did you mean air_pressure_bar"):
        together((), "air_presure_bar", root)


def test_sizes_are_put_to_the_middle_one_by_proportion_where_asked(root: Path, kept: Kept) -> None:
    sizes = (6.0, 9.0, 12.0)
    days = [Day(setups=(compared(difference(size / 3, 0.3), changes=[change(20.0, 20.0 - size)]),)) for size in sizes]
    entered(root, kept, days)
    found = together((), OIL, root, proportional=True)
    (row,) = found.rows
    assert found.change.taken_as == 9.0
    assert [own.difference for own in row.of_days] == pytest.approx([3.0] * 3, rel=1e-6)
    assert row.between == 0
    entered(
        root.with_name("far"),
        kept,
        [*days, replace(days[0], setups=(compared(difference(1.0), changes=[change(20.0, 19.0)]),))],
    )
    with pytest.raises(CallError, match="within 4 times"):
        together((), OIL, root.with_name("far"), proportional=True)


def test_focus_is_what_every_day_named_before_riding(root: Path, kept: Kept) -> None:
    def day(*, named: bool) -> Day:
        return Day(setups=(compared(difference(4.0, focus=True), difference(3.0, row=DEPTH, focus=named)),))

    entered(root, kept, [day(named=True), day(named=True), day(named=False)])
    found = together((), OIL, root)
    assert [row.focus for row in found.rows] == [True, False]
    assert [(family.group, family.m, round(family.q, 6)) for family in found.families] == [
        ("focus", 1, 0.04),
        ("other", 1, 0.01),
    ]


def test_without_any_effect_rows_are_seldom_said_to_have_changed(root: Path, kept: Kept) -> None:
    """Sixty summaries of ten rows each over four days whose truth is 0, differing by half their standard error."""
    chance, changed = np.random.default_rng(4), 0
    measures = [("dynamic_sag", "front"), ("dynamic_sag", "rear"), ("travel_p95", "front"), ("travel_p95", "rear")]
    from telemetry.comparison import days_together
    from telemetry.model.together import DaysRow

    for _ in range(60):
        rows = []
        for measure, end in measures:
            se = 0.3 * np.sqrt(chance.chisquare(4, 4) / 4)
            d = chance.normal(0, 0.15, 4) + chance.normal(0, 0.3, 4)
            none = np.full(4, np.nan)
            rows.append(
                DaysRow(
                    measure=measure,
                    end=end,
                    unit="%",
                    scale="raw",
                    focus=False,
                    margin=2.0,
                    days=(0, 1, 2, 3),
                    d=d,
                    se=se,
                    nu=np.full(4, 4.0),
                    reach=np.ones(4),
                    floor_se=none,
                    floor_nu=none,
                )
            )  # type: ignore[arg-type]
        told, _ = days_together(rows, list("abcd"))
        changed += any(row.verdict == "changed" or row.reason for row in told)
    assert changed / 60 <= 0.05 + 2 * math.sqrt(0.05 * 0.95 / 60)


def test_several_days_of_one_bike_are_said(root: Path, kept: Kept) -> None:
    entered(root, kept, [*(one_day(bike="Mule") for _ in range(2)), one_day(bike="Goat")])
    done = commanded("together", "--change", OIL, "--library", root)
    assert "Several days are of one bike (2 of Mule): other bikes may differ by more" in done.stdout
    assert "A next day would lie between" in done.stdout
