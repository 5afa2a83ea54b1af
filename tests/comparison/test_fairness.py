"""What speaks against a comparison, and what that does to its verdicts.

Limits are those of the project's own table of findings (docs/findings.md), common practice without a source.
"""

import datetime as dt
from dataclasses import replace

import pytest

from telemetry import comparison
from telemetry.model.comparison import LeftOut
from telemetry.model.conditions import RunConditions
from telemetry.telling.results import sentence
from tests.comparison.conditions_made import DAY, OIL, clicks, conditions, found, only, turned_round, without_notes
from tests.comparison.days import row

NEXT = dt.date(2026, 5, 23)


def judged(rows, withheld):
    rules = comparison.Rules(withheld=withheld)
    return comparison.verdicts(rows, baseline="a", candidates=["b"], rules=rules).results


def test_a_day_with_nothing_against_it_gets_no_warning_and_says_what_is_not_known():
    findings, withheld = comparison.fairness(conditions("abbaab", planned_runs=(3,)))
    assert [(item.severity, item.code) for item in findings] == [("note", "not_judged")]
    for thing in ("air temperature", "ground speed", "rider", "tyre pressures", "air pressure after the runs"):
        assert thing in findings[0].message
    assert withheld == {}


def test_a_note_lists_only_what_is_not_known():
    made = conditions("abba", of_runs={"rider": ["R1"] * 4, "ground_speed_m_s": [7.0, 7.0, 7.0, None]})
    (note,) = found(made, "not_judged")
    assert "ground speed" in note.message  # one run lacks it
    assert "rider" not in note.message


def test_setups_alike_on_paper_get_numbers_and_no_verdict():
    findings, withheld = comparison.fairness(conditions("abba", {"a": {}, "b": {}}))
    assert (findings[0].severity, findings[0].code) == ("error", "same_setup")
    made = row("abbaab", [30, 36, 36.2, 30.2, 30.1, 36.1])
    (result,) = judged([made], withheld)
    (free,) = judged([made], {})
    assert (result.verdict, free.verdict) == (None, "changed")
    assert (result.difference, result.p, result.baseline_value) == (free.difference, free.p, free.baseline_value)
    assert "No verdict: same_setup: b and a are the same on paper." in sentence(result)


def test_an_exploration_keeps_every_number_and_has_no_verdict():
    told = comparison.verdicts([row("abbaab", [30, 36, 36.2, 30.2, 30.1, 36.1])], baseline="a", candidates=["b"])
    (result,) = comparison.without_verdicts(told, "explored").results
    assert result == replace(told.results[0], verdict=None, reason="explored")


@pytest.mark.parametrize(
    ("field", "values", "code", "words"),
    [
        ("same_readings", [True, False, False, True], "same_readings", "run_1 and run_4 hold the readings"),
        ("false_readings", [(), ("stopped_dead",), (), ()], "false_readings", "run_2 (stopped_dead)"),
    ],
)
def test_readings_that_are_no_ride_of_their_own_forbid_a_verdict(field, values, code, words):
    findings, withheld = comparison.fairness(conditions("abba", of_runs={field: values}))
    assert (findings[0].severity, findings[0].code) == ("error", code)
    assert words in findings[0].message
    assert withheld["b"].startswith(f"{code}: ")


def test_readings_of_one_end_that_are_false_forbid_verdicts_there_only():
    made = conditions("abba", of_runs={"false_at": [{}, {"front": ("clipped",)}, {}, {}]})
    findings, withheld = comparison.fairness(made)
    assert (findings[0].severity, findings[0].code) == ("error", "false_readings")
    assert "run_2 (clipped)" in findings[0].message
    assert list(withheld) == [("b", "front"), ("b", "both")]
    rows = [row("abba", [30, 36, 36.2, 30.2]), row("abba", [30, 36, 36.2, 30.2], end="rear")]
    front, rear = judged(rows, withheld)
    assert front.verdict is None
    assert "false readings of the front in run_2" in sentence(front)
    assert rear == judged(rows[1:], {})[0]


def test_so_do_false_readings_of_the_rear():
    made = conditions("abba", of_runs={"false_at": [{}, {}, {"rear": ("clipped",)}, {}]})
    findings, withheld = comparison.fairness(made)
    assert "the rear's readings of run_3 (clipped) are false" in findings[0].message
    assert list(withheld) == [("b", "rear"), ("b", "both")]


def test_only_the_candidate_concerned_loses_its_verdicts():
    _, withheld = comparison.fairness(conditions("abccba", {**OIL, "c": OIL["a"]}))
    assert list(withheld) == ["c"]


def test_several_changes_are_named():
    setups = {"a": {"front": {"air_pressure_bar": 6.0}}, "b": {"front": {"air_pressure_bar": 6.5, "preload_mm": 2.0}}}
    message = only(conditions("abba", setups), "several_changes")
    assert "2 settings" in message
    assert "air pressure, front: 6.0 → 6.5" in message
    assert "preload, front: not stated → 2.0" in message
    assert found(conditions("abba"), "several_changes") == []


def test_setups_are_called_by_their_labels():
    front = {"air_pressure_bar": 6.0, "rebound": clicks(1)}
    setups = {
        "link_1": {"front": front, "rear": {"tyre_pressure_bar": 1.6}},
        "link_2": {"front": front | {"lower_leg_oil_each_ml": 8.0}, "rear": {"tyre_pressure_bar": 1.9}},
    }
    far = {"air_temperature_c": [10.0, 11.0, 24.0, 25.0], "rider": ["R1", "R1", "R2", "R2"]}
    far |= {"trail_state": ["dry", "dry", "wet", "wet"], "pressure_after_bar": [{"front": 5.0}] * 4}
    made = conditions(["link_1", "link_1", "link_2", "link_2"], setups, of_runs=far)
    called = {"link_1": "short link", "link_2": "long link"}
    named = {name: replace(item, setup=replace(item.setup, label=called[name])) for name, item in made.setups.items()}
    findings, withheld = comparison.fairness(replace(made, setups=named))
    told = [item.message for item in findings if any(label in item.message for label in called.values())]
    assert len(told) >= 8
    assert "link_" not in " ".join([item.message for item in findings] + list(map(str, withheld.values())))


def test_the_date_parts_were_opened_is_no_change_of_its_own():
    setups = {"a": OIL["a"], "b": {"front": {"air_pressure_bar": 6.5, "parts_opened_on": DAY}}}
    assert found(conditions("abba", setups), "several_changes") == []


@pytest.mark.parametrize(("order", "words"), [("ab", "1 run of a and 1 run of b"), ("aab", "2 runs of a and 1 run")])
def test_fewer_than_two_runs_of_a_setup(order, words):
    assert words in only(conditions(order), "one_run_each")
    assert found(conditions("abba"), "one_run_each") == []


def test_a_run_that_takes_no_part_is_told():
    fell = LeftOut(run="run_5", setup="a", reason="fell")
    made = conditions("abba", left_out=(fell, LeftOut(run="run_6", setup="b", reason="stuck", end="rear")))
    first, second = found(made, "run_not_usable")
    assert "run_5 takes no part (fell)" in first.message
    assert "the rear of run_6 takes no part (stuck)" in second.message


@pytest.mark.parametrize(
    ("order", "times", "told"),
    [
        ("abba", {"a": 2, "b": 1}, "b was put on once for its 2 runs, a 2 times"),
        ("aabb", {"a": 1, "b": 1}, "a was put on once for its 2 runs and b was put on once for its 2 runs (at"),
        ("abbaab", {"a": 2, "b": 2}, ""),
        ("ab", {"a": 1, "b": 1}, ""),
        ("baxaab", {"a": 2, "b": 2, "x": 1}, ""),
    ],
)
def test_a_stretch_of_runs_is_one_putting_on(order, times, told):
    made = conditions(order, {**OIL, "x": OIL["a"]})
    runs = tuple(run for run in made.runs if run.setup != "x")
    two = replace(made, candidates=("b",), runs=runs)
    assert comparison.times_put_on(made.ridden, {run.run for run in made.runs}) == times
    assert [told in item.message for item in found(two, "put_on_once")] == ([True] if told else [])


def test_a_stretch_counts_only_where_a_run_of_it_takes_part():
    made = conditions("abbabb")
    fell = replace(made, runs=tuple(run for run in made.runs if run.order < 5))
    assert "b was put on once" in only(fell, "put_on_once")
    assert found(made, "put_on_once") == []


@pytest.mark.parametrize(
    ("field", "code", "words"),
    [
        ("rider", "rider_confounded", "different riders"),
        ("trail_state", "trail_state_confounded", "a on a trail that was 'r1' and b on a trail that was 'r2'"),
    ],
)
def test_what_goes_with_the_setup_run_by_run_withholds_the_verdict(field, code, words):
    (finding,) = found(conditions("abba", of_runs={field: ["R1", "R2", "r2 ", "R1"]}), code)
    assert words in finding.message
    assert finding.severity == "error"
    assert list(comparison.fairness(conditions("abba", of_runs={field: ["R1", "R2", "R2", "R1"]}))[1]) == ["b"]
    for shared in (["R1", "R2", "R1", "R1"], ["R1", "R2", "R2", ""], ["R1"] * 4):
        assert found(conditions("abba", of_runs={field: shared}), code) == []


def test_no_rider_is_named():
    (finding,) = found(
        conditions("abba", of_runs={"rider": ["Rider 1", "Rider 2", "Rider 2", "Rider 1"]}), "rider_confounded"
    )
    assert "rider 1" not in finding.message.lower()


def test_one_place_later_on_average_is_fair_and_more_is_not():
    assert found(conditions("aabbab"), "order_confounded")  # mean 4.33 against 2.67
    assert found(conditions("abab"), "order_confounded") == []  # exactly one place
    message = only(conditions("aabb"), "order_confounded")
    assert "2.0 places later" in message
    assert "limit 1" in message
    assert "can't be told from the order ridden" in message
    assert "can't be told apart beyond this" in only(conditions("aaaabbbb"), "order_confounded")
    assert "costs certainty" in only(conditions("aababb"), "order_confounded")
    assert "2.0 places earlier" in only(conditions("bbaa", dict(sorted(OIL.items()))), "order_confounded")


def test_a_place_counts_runs_that_take_no_part():
    made = conditions("axxbba", {**OIL, "x": OIL["a"]})
    three = replace(made, candidates=("b",), runs=tuple(run for run in made.runs if run.setup != "x"))
    assert "order_confounded" not in without_notes(three)  # a: 1 and 6, b: 4 and 5
    shifted = conditions("aaxxbb", {**OIL, "x": OIL["a"]})
    two = replace(shifted, candidates=("b",), runs=tuple(run for run in shifted.runs if run.setup != "x"))
    assert "4.0 places later" in only(two, "order_confounded")


def test_two_days_with_no_setup_ridden_on_both_withhold_the_verdict():
    made = conditions("aabb", of_runs={"date": [DAY, DAY, NEXT, NEXT]})
    findings, withheld = comparison.fairness(made)
    assert (findings[0].severity, findings[0].code) == ("error", "day_differs")
    assert "a on 2026-05-16, b on 2026-05-23" in findings[0].message
    assert withheld == {"b": "day_differs: b and a were ridden on different days"}


def test_a_setup_ridden_on_both_days_makes_them_comparable():
    made = conditions("aabba", of_runs={"date": [DAY, DAY, NEXT, NEXT, NEXT]})
    assert found(made, "day_differs") == []
    assert comparison.fairness(made)[1] == {}


def test_on_two_days_the_place_within_the_day_counts():
    days = [DAY] * 4 + [NEXT] * 4
    made = conditions("abbaabba", of_runs={"date": days})
    assert found(made, "order_confounded") == []
    late = conditions("aabbaabb", of_runs={"date": days})
    assert "2.0 places later" in only(late, "order_confounded")


def test_fatal_findings_come_first_then_warnings_then_notes():
    made = conditions("aabb", {"a": {}, "b": {}}, left_out=(LeftOut(run="run_9", setup="a", reason="fell"),))
    severities = [item.severity for item in comparison.fairness(made)[0]]
    assert severities == sorted(severities, key=["error", "warning", "note"].index)
    assert set(severities) == {"error", "warning", "note"}


def test_what_concerns_several_candidates_is_said_once():
    setups = {**OIL, "c": {"front": {"air_pressure_bar": 7.0}}}
    rates = [510.0, 500.0, 500.0, 500.0, 500.0, 500.0]
    assert len(found(conditions("abccba", setups, {"rate_hz": rates}), "rate_differs")) == 1


def test_the_order_of_runs_handed_over_changes_nothing():
    temperatures = [10.0, 16.0, 16.0, 10.0]
    speeds = [7.0, 8.0, 8.1, 7.2]
    made = conditions("abba", of_runs={"air_temperature_c": temperatures, "ground_speed_m_s": speeds})
    assert comparison.fairness(turned_round(made)) == comparison.fairness(made)


def test_a_finding_stands_in_json_with_three_keys():
    (finding,) = found(conditions("ab"), "one_run_each")
    assert list(finding.in_short()) == ["severity", "code", "message"]


def test_every_message_says_what_was_found_and_what_to_do():
    """Every warning names its limit or what is needed, and ends in what to do after a semicolon or colon."""
    runs = {
        "ground_speed_m_s": [7.0, 8.0, 8.0, 7.0],
        "riding_s": [100.0, 110.0, 110.0, 100.0],
        "air_temperature_c": [5.0, 14.0, 14.0, 5.0],
        "airborne_share": [0.01, 0.05, 0.05, 0.01],
        "rider": ["R1", "R2", "R1", "R1"],
        "trail_state": ["dry", "wet", "dry", "dry"],
        "levers": [{"front": "open"}, {"front": "firm"}, {}, {}],
        "rate_hz": [500.0, 510.0, 500.0, 500.0],
        "zero_unchecked": [("front",), (), (), ()],
    }
    made = conditions("abba", of_runs=runs)
    warnings = [item for item in comparison.fairness(made)[0] if item.severity == "warning"]
    assert {item.code for item in warnings} == {
        "ground_speed_differs", "duration_differs", "temperature_differs", "airborne_share_differs", "rider_differs",
        "trail_state_differs", "lever_differs", "rate_differs", "zero_unchecked", "put_on_once",
    }  # fmt: skip
    for item in warnings:
        assert "limit" in item.message or "needed" in item.message
        assert any(sign in item.message for sign in ("; ", ": "))
        assert not item.message.endswith(".")


def test_conditions_know_nothing_by_default():
    bare = RunConditions(run="r", setup="a", order=1, order_in_day=1, date=DAY, riding_s=1.0, rate_hz=1.0)
    assert bare.ground_speed_m_s is None
    assert bare.airborne_share is None
    assert bare.air_temperature_c is None
