"""What a ride on paper finds wrong: its findings, and what to look at first by what was changed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import telemetry
from dashboards.content.expected import expected_part
from telemetry.model.comparison import SetupDifference
from telemetry.model.finding import Place
from telemetry.model.parts_checked import CheckedEnd, CheckedForce, Part
from telemetry.model.prediction import Load, Predicted, Prediction, RidesBack
from telemetry.model.share_came import ShareCame
from telemetry.ride_day import setup_differences
from telemetry.telling.expected import disagreement, expected_in_words
from telemetry.telling.off_paper import UNCHANGED, look_first, looks
from telemetry.telling.predicted import with_sentences
from telemetry.telling.prediction import on_paper, rests_on
from tests.expected_rows import expected_row

HOLDS = RidesBack(holds=True, reason="", criterion="")


def told(*rows: Prediction, back: RidesBack = HOLDS) -> Predicted:
    day = telemetry.read_ride_day(Path("sample_runs/lower_leg_oil"))
    found = Predicted(
        day=day,
        baseline="oil_20",
        candidate="oil_8",
        runs=("run_1",),
        rides_back=back,
        predictions=rows,
        differences=setup_differences(day.setups["oil_20"], day.setups["oil_8"]),
    )
    return with_sentences(found)


def changed(key: str, end: Place) -> SetupDifference:
    return SetupDifference(
        candidate="b", end=end, key=key, baseline_value=1, candidate_value=2, words=f"{key}, {end}: 1 → 2"
    )


def test_a_row_that_disagrees_is_a_finding_that_says_how_much_came_and_where_to_look() -> None:
    off = expected_row("hit_depth_10_per_min", "front", (2.0, 0.4), (0.3, 0.5), agreement="disagrees")
    right = expected_row("dynamic_sag", "front", (1.0, 0.4), (1.1, 0.5), agreement="agrees")
    found = told(right, off)
    (finding,) = found.findings
    assert (finding.code, finding.severity, finding.end) == ("not_as_expected", "warning", "front")
    assert finding.message == (
        "8 ml per leg against 20 ml per leg: front ten-a-minute hit depth: expected +4.0 points "
        "(90 %: +3.2 to +4.8) from the parts as stated, measured +0.6 points (−0.4 to +1.6), less than a third, "
        f"15 % of it. Look first: {look_first(found)[0]}"
    )
    assert "is the oil where you think" in look_first(found)[0]
    assert found.to_dict()["findings"] == [
        {
            "severity": "warning",
            "code": "not_as_expected",
            "message": finding.message,
            "end": "front",
            "of": "hit_depth_10_per_min",
        }
    ]
    assert f"Look first: {look_first(found)[0]}" in found.summary()


@pytest.mark.parametrize(
    ("expected", "measured", "came", "asks"),
    [
        (0.0, -1.3, "the parts leave it where it was", "something else changed there."),
        (2.0, -1.0, "the other way", "is each run under the setup that was ridden?"),
        (3.0, 0.3, "less than a third, 10 % of it", "are parts, oil and pressure what is stated, and where you think?"),
        (2.0, 4.0, "200 % of it", "are parts, oil and pressure what is stated?"),
        (4.0, 2.0, "50 % of it", "are parts, oil and pressure what is stated?"),
    ],
)
def test_row_page_and_finding_say_alike_how_much_came_and_what_that_suggests(
    expected: float, measured: float, came: str, asks: str
) -> None:
    row = expected_row("dynamic_sag", "front", (expected, 0.1), (measured, 0.1), agreement="disagrees")
    found = told(row)
    assert found.predictions[0].sentence.endswith(f": disagrees; {came}: {asks}")
    assert disagreement(row).endswith(f": {asks}")
    assert f", {came}. Look first: " in found.findings[0].message


def test_where_nothing_disagrees_there_is_no_finding() -> None:
    found = told(expected_row("dynamic_sag", "front", (1.0, 0.4), (1.1, 0.5), agreement="agrees"))
    assert found.findings == ()
    assert "Look first" not in found.summary()


def test_where_no_row_tells_it_how_much_of_all_came_is_the_finding() -> None:
    row = expected_row("dynamic_sag", "front", (1.0, 0.4), (1.1, 0.9), agreement="can't tell")
    few = ShareCame(share=0.31, low=0.1, high=0.52, as_expected=False, end="front")
    found = with_sentences(replace(told(row), came=few))
    (finding,) = found.findings
    of = "Of the change in sag and travel that parts as stated should make,"
    words = f"{of} 31 % came (90 %: 10 to 52 %): not as expected."
    assert (finding.code, finding.end, finding.things) == ("not_as_expected", "front", ("share",))
    assert words[1:] in finding.message
    assert "is the oil where you think" in finding.message
    assert words in found.summary()
    assert expected_in_words(found).firm == expected_in_words(found).elsewhere == words
    assert expected_in_words(found).look_first == look_first(found) != ()
    assert found.to_dict()["share"] == {"percent": 31.0, "low": 10.0, "high": 52.0, "as_expected": False}
    right = with_sentences(replace(told(row), came=replace(few, share=0.9, high=1.7, as_expected=True)))
    assert right.findings == ()
    assert "90 % came (90 %: 10 to 170 %)." in expected_in_words(right).finding
    wide = with_sentences(replace(told(row), came=replace(few, high=3.2, as_expected=True)))
    assert "should make" not in wide.summary()
    back = with_sentences(replace(told(row), came=replace(few, share=-1.07, low=-1.45, high=-0.69)))
    assert "−107 % came (90 %: −145 to −69 %): the other way, not as expected." in back.summary()


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("air_pressure_bar", "chambers equalised"),
        ("lower_leg_oil_spring_side_ml", "is the oil where you think"),
        ("linkage", "the right way round, its bolts tight"),
        ("damper_oil_cst_40c", "bled free of air"),
        ("low_speed_rebound", "from closed again"),
        ("volume_spacers", "let the air out"),
        ("spring_rate_n_mm", "on the coil that is fitted"),
        ("stanchion_mm", "measure it again"),
        ("damper_points", "measured at the clicks that were ridden"),
        ("unsprung_mass_kg", "measure it again"),
        ("own_words", "measure it again"),
        ("lever", "did it stand there on every run?"),
        ("valving", "is what was built in what is written down?"),
        ("reservoir_pressure_bar", "by one gauge, cold"),
    ],
)
def test_where_to_look_goes_by_what_was_changed_at_that_end(key: str, words: str) -> None:
    (line,) = looks([changed(key, "rear"), changed("mass_kg", "front")], "rear")
    assert line.startswith(f"{key}, rear: 1 → 2: ")
    assert words in line
    assert looks([changed(key, "rear")], "front") == (UNCHANGED,)


def test_a_model_that_does_not_hold_is_a_finding() -> None:
    back = RidesBack(
        holds=False, reason="the rear pushes", criterion="", loads=(Load(end="rear", ratio=1.3, low=0.8, high=1.2),)
    )
    (finding,) = told(back=back).findings
    assert (finding.code, finding.severity, finding.end) == ("not_ridden_back", "error", "rear")
    assert finding.message.startswith(
        "20 ml per leg: the model doesn't hold for this day, nothing is predicted: the rear"
    )


@pytest.mark.parametrize(("by_map", "severity"), [(("spring",), "warning"), ((), "note")])
def test_a_part_that_a_force_map_contradicts_is_a_finding(by_map: tuple[Part, ...], severity: str) -> None:
    """A note where it may be chance, so that it rides as stated."""
    force = CheckedForce(
        part="spring", at=30.0, stated=9.0, stated_low=8.8, stated_high=9.2, trail=6.0, trail_low=5.5, trail_high=6.5,
        fits=False,
    )  # fmt: skip
    fine = replace(force, part="damper", at=0.3, trail=9.0, trail_low=8.5, trail_high=9.5, fits=True)
    end = CheckedEnd(end="rear", runs=("run_1",), forces=(force, fine), rides_by_map=by_map)
    found = with_sentences(replace(told(), parts_checked=(end,)))
    (finding,) = found.findings
    assert (finding.code, finding.end, finding.things) == ("parts_contradicted", "rear", ("spring",))
    assert finding.severity == severity
    assert ("may be chance" in finding.message) == (not by_map)
    assert finding.message == f"20 ml per leg: {found.parts_checked[0].sentences[0]}"


def test_whose_parts_it_tells_of_follows_what_rides_by_a_map() -> None:
    row = expected_row("dynamic_sag", "front", (2.0, 0.4), (0.3, 0.5), agreement="disagrees")
    mapped = with_sentences(
        replace(
            told(row), parts_checked=(CheckedEnd(end="rear", runs=("run_1",), forces=(), rides_by_map=("spring",)),)
        )
    )
    part = expected_part(mapped, None, {})
    assert set(part.words.widths) >= set(mapped.parts_checked[0].sentences)
    assert not set(part.resting_on) & set(part.words.widths)  # a page says it once
    words = "parts as stated and as force maps show them"
    for one, there in ((told(row), False), (mapped, True)):
        texts = (on_paper(one), expected_in_words(one).elsewhere, one.findings[0].message)
        assert all((words in text) == there and "parts as stated" in text for text in texts)


def test_what_was_weighed_otherwise_is_told_beside_what_is_expected() -> None:
    row = expected_row("dynamic_sag", "front", (1.0, 0.4), (1.1, 0.5), agreement="agrees")
    plain = told(row)
    heavier = replace(plain, differences=(*plain.differences, changed("sprung_mass_kg", "front")))
    words = "Carried otherwise, sprung_mass_kg, front: 1 → 2"
    assert words not in plain.summary()
    assert words in heavier.summary()
    assert any(line.startswith(words) for line in rests_on(heavier))
