"""What should have come and what came, as a page says it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import telemetry
from telemetry.model.catalogue import SPECS
from telemetry.model.finding import ENDS
from telemetry.model.measure_spec import MeasureSpec
from telemetry.model.prediction import Predicted, Prediction, RidesBack, Taken
from telemetry.telling.expected import (
    disagreement,
    disagreements,
    expected_in_words,
    expected_sentence,
    infinitive,
)
from telemetry.telling.predicted import prediction_sheet
from telemetry.telling.prediction import budget_as_shown, main_table, what_moves
from tests.expected_rows import expected_row

SAMPLE = Path("sample_runs/lower_leg_oil")
FAMILY = [spec for spec in SPECS.values() if spec.in_family and spec.by == "travel"]
IN_BOTH = ("dynamic_sag", "dynamic_sag_mm")
FINITE = {
    "is",
    "goes",
    "sits",
    "rides",
    "stays",
    "takes",
    "makes",
    "bottoms",
    "tops",
    "recovers",
    "packs",
    "hits",
    "comes",
}


def answer(*rows: Prediction, holds: bool = True) -> Predicted:
    return Predicted(
        day=telemetry.read_ride_day(SAMPLE),
        baseline="oil_20",
        candidate="oil_8",
        runs=("run_1", "run_4"),
        rides_back=RidesBack(holds=holds, reason="" if holds else "the fork is stiffer than stated", criterion=""),
        predictions=rows,
        unseen=(("front", 0.2),),
        assumed=(Taken(what="friction, front", value="28 ± 8 N", name="friction", end="front"),),
    )


@pytest.mark.parametrize("spec", FAMILY, ids=lambda spec: spec.name)
def test_behind_should_no_verb_of_any_row_stands_as_if_it_had_happened(spec: MeasureSpec) -> None:
    for words in (spec.more, spec.less):
        assert not {infinitive(words).split()[0]} & FINITE
    row = expected_row(spec.name, spec.ends[0], (0.0, 0.1), (0.0, 0.1), agreement="agrees")
    said = expected_sentence(row)
    verb = re.search(r"should (\w+)", said)
    assert verb is not None
    assert verb[1] not in FINITE | {"and", "front"}


def test_what_should_have_come_stands_beside_what_came() -> None:
    row = expected_row("dynamic_sag", "front", (1.3, 0.4), (1.7, 0.5), agreement="agrees")
    assert expected_sentence(row) == (
        "The front should sit deeper while riding, by 2.6 points (90 %: +1.8 to +3.4); "
        "measured +3.4 points (90 %: +2.4 to +4.4): agrees."
    )


def test_a_change_below_what_matters_and_an_open_one_are_told_as_such() -> None:
    small = expected_row("dynamic_sag", "front", (-0.5, 0.2), agreement=None)
    assert expected_sentence(small).endswith(", less than matters; not measured.")
    wide = expected_row("rebound_speed_10_per_min", "rear", (0.5, 3.0))
    assert "the parts leave it open" in expected_sentence(wide)


def test_each_way_to_disagree_suggests_something_else() -> None:
    def said(axis: tuple[float, float], measured: tuple[float, float]) -> str:
        return disagreement(expected_row("dynamic_sag", "rear", axis, measured, agreement="disagrees"))

    assert said((0.0, 0.1), (-1.3, 0.3)) == (
        "The rear should ride at the same height, and it rides higher, by 2.6 points (90 %: −3.2 to −2.0): "
        "something else changed there."
    )
    assert "is each run under the setup" in said((2.0, 0.3), (-1.0, 0.3))
    assert "less than a third of that came" in said((3.0, 0.3), (0.2, 0.2))
    assert "more came" in said((2.0, 0.3), (4.0, 0.3))
    assert "less came" in said((3.0, 0.3), (2.0, 0.3))


def test_what_disagrees_is_told_apart_a_sentence_a_place() -> None:
    places = (("dynamic_sag", "rear", 1.5), ("packing", "rear", 3.0), ("travel_p95", "front", 2.0))
    rows = [
        expected_row(name, end, (0.0, 0.1), (far, 0.2), agreement="disagrees")  # type: ignore[arg-type]
        for name, end, far in (*places, ("sag_difference", "both", 1.2))
    ]
    agrees = expected_row("dynamic_sag", "front", (1.5, 0.2), (1.5, 0.2), agreement="agrees")
    found = answer(agrees, *rows)
    first, second, left = disagreements(found)
    assert first.startswith("The rear should pack as much, and it packs more, by")
    assert first.endswith("something else changed there. Nor does it agree in dynamic sag.")
    assert second.startswith("The front should be as deep one second in twenty")
    assert left == "1 more row disagrees."
    words = expected_in_words(found)
    assert words.finding.endswith("Of 5 rows 1 agrees and 4 disagree.")
    assert words.firm == f"{first} {second} {left}"
    assert "ridden again on paper with 8 ml per leg" in words.circumstances
    assert any("20 % of the time at the front" in line for line in words.widths)


def test_a_share_and_its_millimetres_disagree_once() -> None:
    rows = [expected_row(name, "rear", (0.0, 0.1), (2.0, 0.2), agreement="disagrees") for name in IN_BOTH]
    assert len(disagreements(answer(*rows))) == 1
    assert "in mm" not in disagreements(answer(*rows))[0]


def test_the_named_focus_leads() -> None:
    sag = expected_row("dynamic_sag", "front", (3.0, 0.2), (3.0, 0.2), agreement="agrees")
    depth = expected_row("hit_depth_10_per_min", "front", (1.1, 0.2), (1.2, 0.2), agreement="agrees")
    assert "sit deeper" in expected_in_words(answer(sag, depth)).finding
    words = expected_in_words(answer(sag, depth), (("hit_depth_10_per_min", None),))
    assert words.finding.startswith("The front should take its ten deepest hits a minute deeper")


def test_where_the_model_does_not_hold_nothing_else_is_told() -> None:
    words = expected_in_words(answer(holds=False))
    assert "the fork is stiffer than stated" in words.finding
    assert (words.firm, words.circumstances) == ("", "")


def test_what_a_width_comes_from_is_told_in_the_unit_of_its_row() -> None:
    own = budget_as_shown(expected_row("dynamic_sag", "front", (1.0, 0.5)))
    assert (own.unit, own.parts, own.runs) == ("points", pytest.approx(0.8), pytest.approx(0.6))
    speed = budget_as_shown(expected_row("rebound_speed_10_per_min", "front", (0.0, 0.2)))
    assert speed.unit == "%"
    assert speed.parts == pytest.approx(0.8 * 0.2 * 9.53, rel=0.01)  # ln 1.1 is 9.53 %


def test_away_from_its_page_a_disagreement_says_that_it_rests_on_parts() -> None:
    row = expected_row("dynamic_sag", "rear", (0.0, 0.1), (-1.3, 0.3), agreement="disagrees")
    assert expected_in_words(answer(row)).elsewhere.startswith(
        "By the parts as stated, the rear should ride at the same height"
    )


def test_where_no_row_can_be_told_that_is_said_once() -> None:
    sag = (expected_row("dynamic_sag", end, (1.0, 0.4), (0.2, 3.0), agreement="can't tell") for end in ENDS)
    said = str(expected_in_words(answer(*sag)))
    assert "Of 2 rows none can be told to agree or to disagree: the runs leave it open." in said


def test_what_disagrees_the_focus_and_what_moves_stand_before_the_rest() -> None:
    still = expected_row("dynamic_sag", "rear", (0.0, 0.05), (0.1, 0.2), agreement="agrees")
    hardly = expected_row("packing", "rear", (0.05, 0.01), (0.1, 0.2), agreement="agrees")
    small = expected_row("travel_p95", "front", (0.4, 0.1), (0.5, 0.2), agreement="agrees")
    large = expected_row("dynamic_sag", "front", (1.6, 0.1), (1.5, 0.2), agreement="agrees")
    named = expected_row("hit_depth_10_per_min", "front", (0.2, 0.1), (0.5, 0.2), agreement="can't tell")
    doubtful = expected_row("recovery_time", "rear", (2.0, 1.9), (1.5, 0.2), agreement="agrees")
    off = expected_row("travel_p95", "rear", (0.0, 0.1), (2.0, 0.2), agreement="disagrees")
    found = answer(still, hardly, doubtful, small, large, named, off)  # the sample day's focus is the front's hit depth
    first, others = what_moves(found)
    assert first == [off, named, large, small, doubtful]  # by what each moves at least
    assert expected_in_words(answer(doubtful, large)).finding.startswith(expected_sentence(large))
    assert others == [still, hardly]
    assert [row[0] for row in main_table(found).rows][:2] == [
        "Rear, deeper one second in twenty, points",
        "Front, ten-a-minute hit depth, points",
    ]


def test_the_sheet_begins_with_what_should_have_come_and_says_it_once() -> None:
    row = expected_row("dynamic_sag", "front", (1.3, 0.4), (1.7, 0.5), agreement="agrees")
    lines = [part for part in prediction_sheet(answer(row)) if isinstance(part, str)]
    assert lines[0].startswith(expected_sentence(row))
    assert "ridden again on paper" in lines[1]
    off = expected_row("dynamic_sag", "rear", (0.0, 0.1), (-1.3, 0.3), agreement="disagrees")
    lines = [part for part in prediction_sheet(answer(row, off)) if isinstance(part, str)]
    assert lines[0] == disagreement(off)
    assert sum("something else changed there" in line for line in lines) == 1
