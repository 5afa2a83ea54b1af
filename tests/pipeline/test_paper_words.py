"""What a ride on paper rests on, and where it can't be told whether it agrees, on rows made by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import telemetry
from telemetry.bench.paper.spread import Trials
from telemetry.measures.family import FamilyValue
from telemetry.model.bench_figures import Width
from telemetry.model.catalogue import SPECS
from telemetry.model.comparison import Result
from telemetry.model.day import Setup, SmallestChange
from telemetry.model.earlier import EarlierDay, EarlierDays
from telemetry.model.finding import End
from telemetry.model.interval import Interval
from telemetry.model.measure import MeasureAt
from telemetry.model.prediction import Load, NotRidden, Predicted, Prediction, RidesBack, Suggestion, Taken, by_reason
from telemetry.model.wish import Wish
from telemetry.pipeline.paper_answers import BACK_ROWS, OneRow, answered, rides_back
from telemetry.pipeline.paper_choice import ends_on_paper
from telemetry.pipeline.paper_differences import ALIKE, NONE_RIDDEN, not_on_paper, nothing_to_ride
from telemetry.pipeline.paper_rows import GROUND, MODEL, PARTS, RUNS, rests_on
from telemetry.pipeline.paper_widths import conditions, known_as_usual, taken_as_usual
from telemetry.pipeline.trying_next import asks_on_paper, unridden_wishes
from telemetry.ride_day import setup_differences
from telemetry.ride_day.read import day_of
from telemetry.sheet import plain_table
from telemetry.telling.expected import expected_in_words, expected_sentence
from telemetry.telling.paper_figures import expected_range, expected_words, measured_range, measured_words
from telemetry.telling.predicted import prediction_sheet, sentence
from telemetry.telling.prediction import (
    back_words,
    main_table,
    next_cautions,
    next_table,
    widths_table,
    wish_words,
)
from telemetry.telling.prediction import rests_on as rests_on_words
from telemetry.words import two_digits
from tests.expected_rows import expected_row

FORCES = Width(end="rear", key="damper_points", words="damper's forces", unit="N", plus_minus=214.3, stated=False)
FRICTION = Width(
    end="front", key="friction_front_n", words="friction", unit="N", plus_minus=8, stated=False, assumed=28
)
WIDTHS = {("rear", "damper_points"): FORCES, ("front", "friction_front_n"): FRICTION}


@pytest.mark.parametrize(
    ("value", "said"), [(214.3, "210"), (2143.0, "2100"), (99.6, "100"), (2.94, "2.9"), (0.0153, "0.015"), (3.0, "3")]
)
def test_two_digits_are_written_out(value: float, said: str) -> None:
    assert two_digits(value) == said


def test_what_was_taken_is_told_apart_from_what_was_stated() -> None:
    assert [item.words for item in taken_as_usual(WIDTHS)] == ["friction, front: 28 ± 8 N"]
    assert [item.words for item in known_as_usual(WIDTHS)] == ["damper's forces, rear: ± 210 N"]
    assert conditions(WIDTHS) == {
        "rear damper_points": "what is stated of damper's forces, rear, is right",
        "front friction_front_n": "what was taken for friction, front, is right",
    }


def test_what_was_taken_is_listed_by_its_place() -> None:
    told = replace(empty_with(), assumed=taken_as_usual(WIDTHS), usual_widths=known_as_usual(WIDTHS))
    rider = Taken(what="rider's mass", value="± 1 kg", name="rider's mass", end=None)
    told = replace(told, usual_widths=(*told.usual_widths, rider))
    assert rests_on_words(told) == (
        "Not stated, taken as usual, at the front: friction 28 ± 8 N.",
        "Stated, but not how well it is known, of bike and rider: rider's mass ± 1 kg.",
        "Stated, but not how well it is known, at the rear: damper's forces ± 210 N.",
    )


def test_a_condition_has_a_comma_behind_an_end_alone() -> None:
    rider = Width(end="front", key="rider_hz", words="the rider's frequency", unit="Hz", plus_minus=1, stated=False)
    assert conditions({("bike", "rider_hz"): rider}) == {
        "bike rider_hz": "what is stated of the rider's frequency is right"
    }


def test_of_a_single_run_nothing_is_told_of_how_runs_differ() -> None:
    """Its share of the interval is unknown, not nothing."""
    row = expected_row("dynamic_sag", "front", (2.0, 0.5))
    one, two = (replace(empty_with(row), candidate="oil_8", runs=runs) for runs in (("run_1",), ("run_1", "run_4")))
    told = widths_table(one)
    place = told.columns.index("runs")
    assert (told.rows[0][place], widths_table(two).rows[0][place]) == ("–", "0.60")
    single, several = (" ".join(expected_in_words(own).widths) for own in (one, two))
    assert "how the runs differ 0.60" in several
    assert "how the runs differ" not in single
    assert "How runs differ a single one doesn't tell" in single
    assert "back over its own ground it comes out" in back_words(one)
    assert "back over their own ground they come out" in back_words(two)


def test_what_makes_ranges_wide_fits_a_line_with_its_words_broken() -> None:
    row = replace(expected_row("dynamic_sag", "front", (2.0, 0.5)), holds_if=" ".join(["what is taken is right"] * 5))
    assert max(map(len, plain_table(widths_table(empty_with(row)), 100).splitlines())) <= 100


def test_a_row_rests_on_what_makes_its_interval_widest() -> None:
    offs = [float(at) for at in range(-8, 9)]
    follows = [({"rear damper_points": off}, 0.1 * off) for off in offs]
    parts = [value for _, value in follows]
    words = conditions(WIDTHS)

    def found(
        by_run: list[float], by_parts: list[float], by_ground: list[float], apart: float = 0.0, smallest: float = 0.0
    ) -> str:
        trials = Trials(by_run=by_run, by_parts=by_parts, by_ground=by_ground, apart=apart)
        return rests_on(trials, "dynamic_sag", follows, words, smallest)

    assert found([1.0, 1.1], parts, [0.1]) == words["rear damper_points"]
    assert found([-4.0, 6.0], parts, [0.1]) == RUNS  # runs far apart, whichever part the rest follows
    assert found([1.0, 1.1], parts, [3.0, 3.0]) == GROUND
    assert found([1.0, 1.0], parts, [0.0], apart=100.0) == MODEL
    assert found([1.0, 1.0], parts, [0.0], smallest=100.0) == MODEL  # no bike is nearer to it, whatever parts do
    few = Trials(by_run=[1.0], by_parts=parts[:3], by_ground=[], apart=0.0)
    assert rests_on(few, "dynamic_sag", follows[:3], words, 0.0) == PARTS


BOTH = Interval(low=-3.2, high=-2.8, level=0.05, inner=Interval(low=-3.1, high=-2.9, level=0.1))


def seen(*, barred: bool, interval: Interval = BOTH) -> Result:
    """Return a firm measured change of three points the other way."""
    return Result(
        candidate="b",
        measure="dynamic_sag",
        end="front",
        unit="%",
        scale="raw",
        baseline_value=30.0,
        candidate_value=27.0,
        difference=-3.0,
        interval=interval,
        smallest_change_low=-2.0,
        smallest_change_high=2.0,
        percent=None,
        n_baseline=4,
        n_candidate=4,
        p=None,
        verdict="undecided" if barred else "changed",
        reason="the setups were ridden one after the other" if barred else "",
        more_runs=None,
        more_runs_upper=None,
        selected=True,
        focus=False,
        axis=None,
        travel=None,
        barred=barred,
    )


@pytest.mark.parametrize(("barred", "word"), [(False, "disagrees"), (True, "can't tell")])
def test_what_the_comparison_bars_is_not_said_to_disagree(*, barred: bool, word: str) -> None:
    trials = Trials(by_run=[3.0, 3.1, 3.0, 2.9], by_parts=[], by_ground=[], apart=1.0)
    row = OneRow(spec=SPECS["dynamic_sag"], end="front", trials=trials, value=30.0, rests_on=PARTS)
    at = ("dynamic_sag", "front")
    least = SmallestChange(amount=2.0, form="points", entered="2 points")
    (answer,) = answered([row], {at: least}, {at: seen(barred=barred)})
    assert (answer.measured, answer.agreement) == (-3.0, word)
    assert (answer.measured_low, answer.measured_high, answer.measured_level) == (-3.1, -2.9, 0.1)


def test_what_one_run_shows_stands_unjudged_with_how_sure_it_is() -> None:
    """A comparison gives a setup with one run an interval of 95 % and none of 90."""
    trials = Trials(by_run=[3.0, 3.1], by_parts=[], by_ground=[], apart=1.0)
    places: list[End] = ["front", "rear"]
    rows = [OneRow(spec=SPECS["dynamic_sag"], end=end, trials=trials, value=30.0, rests_on=PARTS) for end in places]
    least = {("dynamic_sag", end): SmallestChange(amount=2.0, form="points", entered="2 points") for end in places}
    alone = seen(barred=True, interval=replace(BOTH, inner=None))
    (one,) = answered(rows[:1], least, {("dynamic_sag", "front"): alone})
    assert (one.measured, one.measured_low, one.measured_high, one.measured_level) == (-3.0, -3.2, -2.8, 0.05)
    assert one.agreement == "can't tell"
    assert "measured −3.0 points (95 %, these runs alone: −3.2 to −2.8): not judged" in expected_sentence(one)
    assert "measured −3.0 points (95 %, these runs alone: −3.2 to −2.8): not judged" in sentence(one)
    (bare,) = answered(rows[:1], least, {("dynamic_sag", "front"): replace(alone, interval=None)})
    assert (bare.measured, bare.measured_low, bare.agreement) == (-3.0, None, "can't tell")
    assert (measured_words(bare), measured_range(bare)) == ("−3.0 points", "too few runs")
    assert "measured −3.0 points: can't tell" in sentence(bare)
    day = telemetry.read_ride_day(Path("sample_runs/lower_leg_oil"))
    back = RidesBack(holds=True, reason="", criterion="")
    common: dict[str, Any] = {"day": day, "baseline": "oil_20", "candidate": "oil_8", "runs": (), "rides_back": back}
    assert main_table(Predicted(predictions=(one,), **common)).columns[4] == "95 %, these runs alone"
    both = answered(rows, least, {("dynamic_sag", "front"): alone, ("dynamic_sag", "rear"): seen(barred=False)})
    table = main_table(Predicted(predictions=both, **common))
    assert table.columns[4] == "90 % or 95 %, these runs alone"
    assert sorted(row[4] for row in table.rows) == ["−3.10 to −2.90 (90 %)", "−3.2 to −2.8 (95 %, these runs alone)"]


def test_what_is_not_on_paper_for_one_reason_stands_on_one_line() -> None:
    reason = "negative_air_volume_ml not stated"
    predicted = Predicted(
        day=telemetry.read_ride_day(Path("sample_runs/lower_leg_oil")),
        baseline="oil_20",
        candidate="oil_8",
        runs=("run_1",),
        rides_back=RidesBack(holds=False, reason="it rides otherwise", criterion=""),
        predictions=(),
        absent=tuple(NotRidden(what=f"negative air of the {end}", reason=reason) for end in ("front", "rear")),
    )
    lines = [part for part in prediction_sheet(predicted) if isinstance(part, str)]
    assert f"Not on paper: negative air of the front, negative air of the rear: {reason}." in lines
    assert not any("--full" in line for line in lines)  # nothing is behind it


def test_reasons_of_several_ends_are_told_once() -> None:
    ends = [NotRidden(what="the front", reason="no masses"), NotRidden(what="the rear", reason="no masses")]
    assert by_reason([*ends, NotRidden(what="lever", reason="no model")]) == [
        "the front, the rear: no masses",
        "lever: no model",
    ]


def test_without_a_ridden_candidate_there_are_no_columns_for_it() -> None:
    row = expected_row("dynamic_sag", "front", (-1.0, 0.2))
    common: dict[str, Any] = {
        "day": telemetry.read_ride_day(Path("sample_runs/lower_leg_oil")),
        "baseline": "oil_20",
        "candidate": "oil_8",
        "runs": ("run_1",),
        "rides_back": RidesBack(holds=True, reason="", criterion=""),
    }
    alone = Predicted(predictions=(row,), **common)
    assert main_table(alone).columns == ("", "expected", "90 %")
    assert "should do, against" in alone.in_short
    beside = Predicted(predictions=(replace(row, measured=-1.0, agreement="agrees"),), **common)
    assert len(main_table(beside).columns) == 6
    assert "should have done, against" in beside.in_short


def test_only_cautions_that_there_are_are_told() -> None:
    row = expected_row("dynamic_sag", "front", (-1.0, 0.2))
    step = Suggestion(
        change="rebound, rear: 2 clicks towards closed",
        wished=(row,),
        kept=(),
        keeps=True,
        side_effects=(),
        runs_each=None,
        cautions=(),
    )
    predicted = Predicted(
        day=telemetry.read_ride_day(Path("sample_runs/lower_leg_oil")),
        baseline="oil_20",
        candidate=None,
        runs=("run_1",),
        rides_back=RidesBack(holds=True, reason="", criterion=""),
        predictions=(),
        try_next=(step, replace(step, change="spacers, front: 0 → 1", cautions=("let the air out first",))),
    )
    assert next_cautions(predicted) == ("Spacers, front: 0 → 1: let the air out first.",)


def test_side_effects_have_their_ranges_and_those_that_are_sure_stand_first() -> None:
    """An effect whose range holds none at all isn't told as if it came."""
    wished = expected_row("hit_depth_10_per_min", "front", (-1.0, 0.2))
    open_, sure = expected_row("packing", "rear", (3.5, 9.0)), expected_row("travel_p95", "front", (-0.8, 0.1))
    step = Suggestion(
        change="a step",
        wished=(wished,),
        kept=(),
        keeps=True,
        side_effects=(open_, sure),
        runs_each=None,
        cautions=("x",),
    )
    (row,) = next_table((step,)).rows
    assert row[3] == (
        "front, deeper one second in twenty −1.6 points (−1.8 to −1.4); rear, packing +7.0 mm a hit (−11.0 to +25.0)"
    )
    assert row[4] == "over 30 of each, or not known"
    twice = replace(empty_with(), try_next=(step, replace(step, change="another")))
    assert next_cautions(twice) == ("A step; another: x.",)


def test_a_wish_is_told_in_words() -> None:
    wish = Wish(less=(("hit_depth_10_per_min", "front"),), keep=(("dynamic_sag", None),))
    predicted = replace(empty_with(), day=replace(empty_with().day, wish=wish))
    assert wish_words(predicted) == (
        "Wished: less front ten-a-minute hit depth; front dynamic sag and rear dynamic sag to stay."
    )
    assert wish_words(empty_with()) == ""


def test_an_interval_over_a_hundredfold_is_told_in_words() -> None:
    wide, close = (expected_row("recovery_time", "front", (-1.0, half), (2.0, half)) for half in (40.0, 2.0))
    assert (expected_range(wide), measured_range(wide)) == ("wide open", "too few runs")
    assert expected_range(close).startswith("−24.9 to ")
    assert not any(sign in part for sign in "%," for part in widths_table(empty_with(wide)).rows[0][2:6])


def empty_with(*rows: Prediction) -> Predicted:
    back = RidesBack(holds=True, reason="", criterion="")
    day = telemetry.read_ride_day(Path("sample_runs/lower_leg_oil"))
    return Predicted(day=day, baseline="oil_20", candidate=None, runs=(), rides_back=back, predictions=rows)


def setups_of(folder: Path, other: str) -> tuple[Setup, Setup]:
    text = f"""
[ride_day]
date = 2026-05-16
[bike.front]
travel_mm = 170
[setups.own.front]
air_pressure_bar = 5.0
tyre_pressure_bar = 1.7
[setups.other]
based_on = "own"
{other}
"""
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    setups = telemetry.read_ride_day(folder).setups
    return setups["own"], setups["other"]


@pytest.mark.parametrize(
    ("other", "ends", "why", "left"),
    [
        ("front = { tyre_pressure_bar = 1.4 }", ("front", "rear"), NONE_RIDDEN, "tyre pressure, front: 1.7 → 1.4 bar"),
        ("front = { air_pressure_bar = 5.5 }", ("rear",), NONE_RIDDEN, "air pressure, front: 5 → 5.5 bar"),
        ("other = { chain = 'waxed' }", ("front", "rear"), NONE_RIDDEN, "chain: not stated → waxed"),
        ("front = { parts_opened_on = 2026-05-01 }", ("front", "rear"), ALIKE, None),
        ("", ("front", "rear"), ALIKE, None),
        ("front = { air_pressure_bar = 5.5, tyre_pressure_bar = 1.4 }", ("front",), "", "tyre pressure, front: 1.7"),
    ],
)
def test_setups_that_differ_in_nothing_that_is_ridden_are_told(
    tmp_path: Path, other: str, ends: tuple[End, ...], why: str, left: str | None
) -> None:
    differences = setup_differences(*setups_of(tmp_path, other))
    assert nothing_to_ride(differences, ends) == why
    told = [item.what for item in not_on_paper(differences, ends)]
    assert len(told) == (left is not None)
    assert left is None or told[0].lower().startswith(left)


def test_without_a_prediction_the_sheet_says_why() -> None:
    predicted = replace(empty_with(), unpredicted=ALIKE)
    assert f"Nothing is predicted: {ALIKE}." in prediction_sheet(predicted)[0]
    assert predicted.to_dict()["unpredicted"] == ALIKE


def test_a_wish_of_which_nothing_is_ridden_is_told() -> None:
    rows = [(SPECS["dynamic_sag"], end) for end in ("rear",)]
    lost = unridden_wishes(Wish(less=(("dynamic_sag", "front"),)), rows)
    assert [item.what for item in lost] == ["the wished dynamic sag of the front"]
    assert not asks_on_paper(Wish(less=(("dynamic_sag", "front"),)), rows)
    assert unridden_wishes(Wish(less=(("dynamic_sag", None),)), rows) == ()


def test_of_a_wish_each_row_that_is_not_ridden_is_told_though_others_are() -> None:
    rows = [(SPECS["dynamic_sag"], "front")]
    wish = Wish(
        less=(("dynamic_sag", "front"),), more=(("hit_depth_10_per_min", "rear"),), keep=(("dynamic_sag", "rear"),)
    )
    assert asks_on_paper(wish, rows)
    assert [item.what for item in unridden_wishes(wish, rows)] == [
        "the wished ten-a-minute hit depth of the rear",
        "the dynamic sag of the rear (to be kept)",
    ]
    (both,) = unridden_wishes(Wish(less=(("sag_difference", None),)), rows)
    assert both.what == f"the wished {SPECS['sag_difference'].label.lower()}"
    assert both.reason.startswith("it takes both ends")


def test_nothing_is_told_as_kept_where_nothing_was_to_be_kept() -> None:
    wished = (expected_row("dynamic_sag", "front", (-1.0, 0.5)),)
    step = Suggestion(change="a step", wished=wished, kept=(), keeps=True, side_effects=(), runs_each=None, cautions=())
    assert next_table((step,)).rows[0][2] == "–"
    assert next_table((replace(step, kept=wished),)).rows[0][2] == "kept"


def test_why_nothing_measured_is_judged_is_told_once() -> None:
    row = expected_row("dynamic_sag", "front", (-1.0, 0.5), (-1.2, 0.4), agreement="can't tell")
    confounded = replace(empty_with(row), candidate="oil_8", unjudged="can't tell the change from the order ridden")
    (line,) = [str(part) for part in prediction_sheet(confounded) if "judged" in str(part)]
    assert "Nothing that was measured is judged (can't tell the change from the order ridden)." in line
    alone = replace(confounded, predictions=(expected_row("dynamic_sag", "front", (-1.0, 0.5)),), unjudged="one run")
    assert "Nothing that was measured is judged (one run)." in prediction_sheet(alone)[0]
    assert alone.to_dict()["unjudged"] == "one run"


def test_several_wished_rows_are_told_by_name() -> None:
    front, rear = (expected_row("dynamic_sag", end, (-1.0, 0.5)) for end in ("front", "rear"))
    common = {"kept": (), "keeps": True, "side_effects": (), "runs_each": None, "cautions": ()}
    both, alone = (
        next_table((Suggestion(change="a step", wished=wished, **common),)).rows[0][1]
        for wished in ((front, rear), (front,))
    )
    assert both == f"front dynamic sag {alone}; rear dynamic sag {alone}"


@pytest.mark.parametrize(("keeps", "words"), [(True, "change that keeps what is to stay: "), (False, "change: ")])
def test_a_headline_says_whether_what_goes_furthest_keeps_the_rest(*, keeps: bool, words: str) -> None:
    """Those that keep stand first: another may go further."""
    own = (expected_row("dynamic_sag", "front", (-1.0, 0.5)), expected_row("dynamic_sag", "rear", (0.1, 0.1)))
    step = Suggestion(
        change="a step", wished=own[:1], kept=own[1:], keeps=keeps, side_effects=(), runs_each=None, cautions=()
    )
    said = expected_in_words(replace(empty_with(), candidate=None, try_next=(step,))).finding
    assert f"by a single {words}a step" in said


def values(speed: float) -> dict[MeasureAt, FamilyValue]:
    of_a_row = {"end": "front", "reason": "", "sections": np.zeros(0), "count": None, "minutes": 1.0}
    return {(name, "front"): FamilyValue(name=name, value=speed, **of_a_row) for name in BACK_ROWS}


@pytest.mark.parametrize("on_paper", [1031.0, 969.0])
def test_how_far_a_baseline_is_from_riding_back_stands_beside_the_limit(on_paper: float) -> None:
    found = rides_back([values(1000.0)], [values(on_paper)], [{"front": 0.999}], (), {})
    assert not found.holds
    assert "3.1 % off what was measured (at most 3 %)" in found.reason


def test_springs_that_push_too_hard_are_told_with_what_was_left_out_of_them() -> None:
    loads = (Load(end="front", ratio=1.38, low=0.7, high=1.3),)
    back, left_out = ([values(1000.0)], [values(1000.0)], [{"front": 0.999}]), ["negative air"]
    found = rides_back(*back, loads, {"front": left_out, "rear": ["lower legs"]})
    assert not found.holds
    assert found.reason.endswith(
        "or what isn't stated and was left out makes the difference: negative air of the front"
    )
    assert "left out" not in rides_back(*back, loads, {"front": []}).reason


@pytest.mark.parametrize(
    ("measure", "half", "words", "between"),
    [
        ("dynamic_sag", 0.4, "+0.2 points", "−0.6 to +1.0"),
        ("dynamic_sag", 0.05, "+0.20 points", "+0.10 to +0.30"),
        ("dynamic_sag_mm", 0.6, "+0.2 mm", "−1.0 to +1.4"),
        ("packing", 0.6, "+0.2 mm a hit", "−1.0 to +1.4"),
    ],
)
def test_a_change_is_told_with_as_many_decimals_as_its_interval(
    measure: str, half: float, words: str, between: str
) -> None:
    row = expected_row(measure, "front", (0.1, half), (0.1, half))
    assert (expected_words(row), expected_range(row)) == (words, between)
    assert (measured_words(row), measured_range(row)) == (words, between)


def test_other_setups_of_the_day_are_named_with_how_to_ride_them() -> None:
    day = telemetry.read_ride_day(Path("sample_runs/lower_leg_oil"))
    own = empty_with(expected_row("dynamic_sag", "front", (0.1, 0.2)))
    asked = replace(own, day=day, baseline="oil_20", candidate="oil_8")
    assert not any("--candidate" in str(part) for part in prediction_sheet(asked))
    third = replace(day, setups={**day.setups, "oil_5": replace(day.setups["oil_8"], name="oil_5")})
    assert "Other setups by themselves: --candidate oil_5" in prediction_sheet(replace(asked, day=third))


def test_whose_spread_measured_intervals_use_is_told_as_the_comparison_tells_it() -> None:
    days = tuple(EarlierDay(day="", date=f"2026-03-0{number}") for number in (1, 2, 3))
    told = replace(empty_with(), earlier=EarlierDays(source="library", days=days, degrees_of_freedom=9.2))
    (line,) = [str(part) for part in prediction_sheet(told) if "earlier ones" in str(part)]
    assert line.startswith("Measured ranges go by the spread: this day and 3 earlier ones, worth 9 runs more")
    assert line in rests_on_words(told)
    assert told.to_dict()["earlier_days"]["degrees_of_freedom"] == 9.2  # type: ignore[index]
    assert "earlier_days" not in empty_with().to_dict()


@pytest.mark.parametrize("lacks", [("oil_8",), ("oil_20",), ("oil_8", "oil_20")])
def test_lower_legs_that_one_setup_alone_states_are_not_ridden_as_if_the_other_had_none(lacks: tuple[str, ...]) -> None:
    file = Path("sample_runs/lower_leg_oil/ride_day.toml")
    text = file.read_text(encoding="utf-8")
    for name in lacks:
        text = text.replace(f"lower_leg_oil_each_ml = {name.removeprefix('oil_')}.0\n", "")
    day = day_of(file, text.encode())
    ends, absent = ends_on_paper(day, [day.setups[name] for name in ("oil_20", "oil_8")], ())
    (reason,) = (item.reason for item in absent)
    alone = len(lacks) == 1
    assert ("front" in ends) == (not alone)
    assert reason == (
        "lower legs not stated in full, as another setup's" if alone else "lower_leg_oil_each_ml not stated"
    )
