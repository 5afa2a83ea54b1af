"""A simulated day whose parts are stated, ridden again on paper, from file to answer."""

from __future__ import annotations

import math
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import telemetry
from telemetry.cli.on_paper import report_on_paper
from telemetry.model.prediction import Predicted
from telemetry.pipeline import Selection, report_parts, study
from telemetry.pipeline.paper_rows import MODEL
from telemetry.pipeline.predicting import predicted as predicted_of
from telemetry.ride_day.read import day_of
from telemetry.sheet import Table
from telemetry.telling.predicted import prediction_sheet
from tests.benchmarks.predicted_days import CHANGES, stated_day, true_change

SAMPLES = Path("sample_runs")
SHORT = {"length_m": 90.0, "speed_m_s": 8.0}
DRAWS, FEW = 12, 4
"""Of parts: as many as name the figure a row follows most; enough where an interval's width isn't asked."""
KEYS = {
    "measure",
    "end",
    "unit",
    "expected",
    "low",
    "high",
    "measured",
    "measured_low",
    "measured_high",
    "agreement",
    "holds_if",
}
SENSORS = ("fork", "shock", "chassis_imu", "rear_chassis_imu")
PRESSURE = replace(next(change for change in CHANGES if change.name == "pressure"), sensors=SENSORS)


def riding(day: telemetry.RideDay, draws: int) -> Predicted:
    return predicted_of(study(day), Selection(), part_draws=draws)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    folder = tmp_path_factory.mktemp("predicted")
    return folder / "day", stated_day(folder / "day", 3, PRESSURE, runs=2, trail=SHORT)


@pytest.fixture(scope="module")
def predicted(made: tuple[Path, dict[str, Any]]) -> Predicted:
    return riding(telemetry.read_ride_day(made[0]), DRAWS)


def test_the_answer_has_its_keys(predicted: Predicted) -> None:
    told = predicted.to_dict()
    assert {"ride_day", "baseline", "candidate", "rides_back", "predictions", "share", "findings"} <= told.keys()
    rows = told["predictions"]
    assert isinstance(rows, list)
    assert len(rows) > 12
    assert all(row.keys() >= KEYS for row in rows)
    assert {row["agreement"] for row in rows if row["measured"] is not None} <= {"agrees", "disagrees", "can't tell"}
    assert all((row["measured"] is None) == (row["agreement"] is None) for row in rows)


def test_the_baseline_rides_back_within_the_stated_criterion(predicted: Predicted) -> None:
    back = predicted.rides_back
    assert (back.holds, back.reason) == (True, "")
    assert back.correlation is not None
    assert back.correlation > 0.999
    assert max(row.off for row in back.rows) < 0.03


def test_expected_changes_are_those_of_the_same_trail(
    predicted: Predicted, made: tuple[Path, dict[str, Any]], tmp_path: Path
) -> None:
    truth = true_change(tmp_path, made[1], PRESSURE, 2)
    rows = {(row.measure, row.end): row for row in predicted.predictions}
    for measure in ("dynamic_sag", "travel_p95", "hit_depth_10_per_min"):
        row, (before, after) = rows[measure, "front"], truth[measure, "front"]
        assert row.low <= after - before <= row.high
        assert row.expected < -1  # more pressure: higher
        assert row.high - row.low < 2 * 2 * row.smallest_change


def test_what_an_interval_is_made_of_adds_up(predicted: Predicted) -> None:
    for row in predicted.predictions:
        if row.percent is None:
            own = row.budget
            whole = math.hypot(own.parts, own.unseen_ground, own.runs, own.model)
            assert (row.high - row.low) / 2 == pytest.approx(whole, rel=1e-6)
            assert (row.high + row.low) / 2 == pytest.approx(row.expected, abs=1e-9)
            most = own.model > max(own.parts, own.unseen_ground, own.runs)
            assert (row.holds_if == MODEL) == most


def test_every_row_is_a_sentence_and_the_sheet_names_what_was_taken(predicted: Predicted) -> None:
    assert all("should change by" in row.sentence for row in predicted.predictions)
    said = predicted.summary()
    assert "ridden again on paper" in said
    assert "With --full: the " in said
    tables = {part.title: part for part in prediction_sheet(predicted, full=True) if isinstance(part, Table)}
    assert "What makes each range as wide as it is" in tables
    taken = next(part for title, part in tables.items() if title.startswith("Taken for granted"))
    assert "friction, front" in {row[0] for row in taken.rows}
    assert not any("e+" in row[1] for row in taken.rows)
    assert not any(item.what.startswith("bumper") for item in predicted.absent)  # ridden with a usual one


def test_ends_with_both_sensors_are_checked_against_their_maps_or_it_says_why_not(predicted: Predicted) -> None:
    told = predicted.to_dict()["parts_checked"]
    assert isinstance(told, list)
    assert [end["end"] for end in told] == ["front", "rear"]
    for end in told:  # these runs are a third of a minute
        assert (end["runs"], end["spring"], end["damper"]) == ([], [], [])
        (said,) = end["sentences"]
        assert "at least 60 s needed" in said
        assert said in predicted.summary()


def edited(made: tuple[Path, dict[str, Any]], old: str, new: str) -> telemetry.RideDay:
    """Return the day with lines of its file that begin so put otherwise."""
    file = made[0] / "ride_day.toml"
    before = file.read_text(encoding="utf-8")
    try:
        lines = [new if line.startswith(old) else line for line in before.splitlines()]
        own_width = f"plus_minus = {{ {old} ="
        told = [line for line in lines if new.startswith(old) or not line.startswith(own_width)]
        file.write_text("\n".join(told), "utf-8")
        return telemetry.read_ride_day(made[0])
    finally:
        file.write_text(before, encoding="utf-8")


def test_masses_that_do_not_fit_the_springs_are_told_and_nothing_is_predicted(
    made: tuple[Path, dict[str, Any]],
) -> None:
    found = riding(edited(made, "rider_mass_kg", "rider_mass_kg = 110"), FEW)
    assert not found.rides_back.holds
    assert "of the weight that the masses give" in found.rides_back.reason
    assert found.predictions == ()
    assert found.to_dict()["findings"][0]["code"] == "not_ridden_back"  # type: ignore[index]
    assert "nothing is predicted" in found.summary()


def test_without_masses_it_says_what_to_state(made: tuple[Path, dict[str, Any]]) -> None:
    with pytest.raises(telemetry.CallError, match=r"rider_mass_kg.*not stated"):
        telemetry.predict(edited(made, "rider_mass_kg", 'rider = "R1"'))


def test_single_changes_are_tried_for_a_wish(made: tuple[Path, dict[str, Any]]) -> None:
    wish = '[wish]\nless = "hit_depth_10_per_min:front"\nkeep = ["dynamic_sag:rear"]\n[log]'
    found = riding(edited(made, "[log]", wish), FEW)
    assert found.try_next
    assert all(one.keeps for one in found.try_next)  # a fork's changes leave the rear
    first = found.try_next[0]
    assert first.change.startswith("air pressure, front")
    assert first.wished[0].high < 0
    assert first.cautions
    gains = [one.wished[0].axis for one in found.try_next]
    assert max(gains) < 0
    assert found.to_dict()["try_next"][0]["wished"][0]["measure"] == "hit_depth_10_per_min"  # type: ignore[index]
    assert "What to try next" in found.summary()


def test_a_report_rides_single_changes_once_however_many_candidates(
    made: tuple[Path, dict[str, Any]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "telemetry.pipeline.predicting.predicted.__kwdefaults__", {**predicted_of.__kwdefaults__, "part_draws": 1}
    )
    third = '[setups.third]\nbased_on = "other"\n[setups.third.front]\nvolume_spacers = 1\n[log]'
    day = edited(made, "[log]", f'[wish]\nless = "dynamic_sag:front"\n{third}')
    day = replace(day, runs=(*day.runs[:3], replace(day.runs[3], setup="third")))
    analysis, comparison = report_parts(day)[:2]
    found = report_on_paper(analysis, comparison, asked=None)
    assert [one.candidate for one in found] == ["other", "third"]
    assert [one.try_next is not None for one in found] == [True, False]


def test_a_setup_that_there_is_not_is_refused(made: tuple[Path, dict[str, Any]]) -> None:
    with pytest.raises(telemetry.CallError, match="no setup 'third'"):
        telemetry.predict(telemetry.read_ride_day(made[0]), candidate="third")


def test_a_baseline_that_was_not_ridden_is_refused_with_those_that_were(made: tuple[Path, dict[str, Any]]) -> None:
    day = edited(made, "[log]", '[setups.third]\nbased_on = "other"\n[log]')
    with pytest.raises(telemetry.CallError, match=r"no usable run of third.*name another baseline: own, other"):
        predicted_of(study(day), Selection(baseline="third", candidates=("own",)))


def test_a_baseline_of_which_no_log_is_read_names_each(made: tuple[Path, dict[str, Any]], tmp_path: Path) -> None:
    folder = tmp_path / "day"
    shutil.copytree(made[0], folder)
    (folder / "run_1.csv").write_text("rubbish\n", encoding="utf-8")
    (folder / "run_2.csv").write_bytes(bytes(range(256)))
    told = r"no usable run of own \(run_1: .*run_1\.csv: found .*run_2: .*run_2\.csv: found .*telemetry check"
    with pytest.raises(telemetry.CallError, match=told):
        telemetry.predict(telemetry.read_ride_day(folder))


def test_where_none_of_the_baselines_runs_was_chosen_they_are_named(made: tuple[Path, dict[str, Any]]) -> None:
    done = study(telemetry.read_ride_day(made[0]))
    with pytest.raises(telemetry.CallError, match=r"no usable run of own;.*Choose runs of it, too: run_1, run_2"):
        predicted_of(done, Selection(runs=("run_3", "run_4")))


def test_a_day_of_accelerations_alone_is_not_asked_for_springs() -> None:
    with pytest.raises(
        telemetry.CallError, match=r"the front, the rear: its travel isn't measured.*Log an end's travel"
    ):
        telemetry.predict(telemetry.read_ride_day(SAMPLES / "lighter_shims"))


def same_as_compared(found: Predicted, compared: telemetry.Comparison) -> int:
    """Return how many measured changes stand beside expected ones, all of them the comparison's."""
    results = {(row.measure, row.end): row for row in compared.verdicts.results if row.candidate == found.candidate}
    seen = [row for row in found.predictions if row.measured is not None]
    for row in seen:
        result = results[row.measure, row.end]
        assert (row.measured, row.measured_low, row.measured_high) == (
            result.difference,
            result.inner_low,
            result.inner_high,
        )
    return len(seen)


def test_what_is_measured_is_what_compare_tells_of_the_setup_that_was_ridden(made: tuple[Path, dict[str, Any]]) -> None:
    text = (made[0] / "ride_day.toml").read_text(encoding="utf-8").replace('setup = "other"', 'setup = "third"')
    day = day_of(made[0] / "ride_day.toml", f'{text}\n[setups.third]\nbased_on = "other"\nlabel = "C"\n'.encode())
    found = predicted_of(study(day), Selection(), part_draws=FEW)
    compared = telemetry.compare(day)
    assert found.candidate == compared.candidates[0] == "third"
    assert same_as_compared(found, compared) > 10


def test_runs_that_were_chosen_are_ridden_and_judged_by_nothing(made: tuple[Path, dict[str, Any]]) -> None:
    day, runs = telemetry.read_ride_day(made[0]), ("run_1", "run_2", "run_3", "run_4")
    found = predicted_of(study(day), Selection(runs=runs), part_draws=FEW)
    assert found.runs == runs[:2]
    assert same_as_compared(found, telemetry.compare(day, runs=runs)) > 10
    assert {row.agreement for row in found.predictions} <= {"can't tell", None}
    assert found.unjudged == "explored after the fact"


def test_a_run_that_lacks_an_end_is_left_out_and_the_end_stays(
    made: tuple[Path, dict[str, Any]], tmp_path: Path
) -> None:
    shutil.copytree(made[0], tmp_path / "day")
    day = telemetry.read_ride_day(tmp_path / "day")
    log = day.run("run_2").log
    head, *rows = log.read_text(encoding="utf-8").splitlines()
    place = head.split(",").index(day.run("run_2").sensors["fork"].column)
    cells = [row.split(",") for row in rows]
    for row in cells:
        row[place] = cells[0][place]
    log.write_text("\n".join([head, *(",".join(row) for row in cells)]) + "\n", encoding="utf-8")
    found = predicted_of(study(day), Selection(), part_draws=FEW)
    assert found.runs == ("run_1",)
    assert {row.end for row in found.predictions} == {"front", "rear", "both"}
    assert {(item.what, item.reason) for item in found.absent} >= {("run_2", "the front's travel isn't measured in it")}
    log.write_text("\n".join([head, *rows[:1000]]) + "\n", encoding="utf-8")
    found = predicted_of(study(day), Selection(), part_draws=1)
    assert found.runs == ("run_1",)
    (told,) = [item.reason for item in found.absent if item.what == "run_2"]
    assert "s of riding (at least 5 s needed)" in told
