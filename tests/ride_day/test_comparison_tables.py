"""What is to be compared and planned: baseline, focus, smallest changes with their units, spread."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from telemetry.errors import Problem
from telemetry.model.catalogue import FAMILY, SPECS
from telemetry.model.day import RideDay
from telemetry.ride_day.smallest_change import parse_smallest_change

Read = Callable[..., RideDay]
Problems = Callable[..., dict[str, Problem]]

CANDIDATES = 'candidates = ["oil_8"]'


def test_the_comparison_table(read: Read) -> None:
    more = (
        'focus = ["hit_depth_10_per_min:front", "deep_hits_per_min:front", "sag_difference"]\n'
        'smallest_change = { dynamic_sag = "2 points","hit_depth_10_per_min:front" = "1.5 points", packing = "1 mm" }\n'
        "named_at = 2026-05-16T08:40:00\nplanned_runs = [3, 6]\n"
    )
    settings = read(more=more).comparison
    assert (settings.baseline, settings.candidates) == ("oil_20", ("oil_8",))
    assert settings.focus == (
        ("hit_depth_10_per_min", "front"),
        ("deep_hits_per_min", "front"),
        ("sag_difference", None),
    )
    assert settings.smallest_change["dynamic_sag", None].amount == 2.0
    assert settings.smallest_change["hit_depth_10_per_min", "front"].entered == "1.5 points"
    assert (settings.named_at, settings.planned_runs) == (dt.datetime(2026, 5, 16, 8, 40), (3, 6))


def test_a_measure_within_a_phase_is_named_either_way(read: Read) -> None:
    more = (
        'focus = ["dynamic_sag:front@braking", "travel_p95@landing:rear", "sag_difference@coasting"]\n'
        'smallest_change = { "dynamic_sag@braking" = "1 points" }\n'
    )
    settings = read(more=more).comparison
    assert settings.focus == (
        ("dynamic_sag@braking", "front"),
        ("travel_p95@landing", "rear"),
        ("sag_difference@coasting", None),
    )
    assert settings.smallest_change["dynamic_sag@braking", None].amount == 1.0


def test_without_the_table_nothing_is_wished(read: Read) -> None:
    settings = read(('[comparison]\nbaseline = "oil_20"\n' + CANDIDATES, "")).comparison
    assert (settings.baseline, settings.candidates, settings.focus) == (None, (), ())
    assert (settings.planned_runs, settings.spread_from) == ((), None)
    none = read((CANDIDATES, "spread_from = []\n" + CANDIDATES)).comparison
    assert none.spread_from == ()


def test_one_candidate_may_stand_alone(read: Read) -> None:
    assert read((CANDIDATES, 'candidate = "oil_8"')).comparison.candidates == ("oil_8",)


@pytest.mark.parametrize(
    ("lines", "key", "words"),
    [
        ('candidates = ["oil_9"]', "comparison.candidates[1]", "'oil_8'"),
        ('candidate = "oil_9"', "comparison.candidate", "'oil_8'"),
        ('candidates = ["oil_20"]', "comparison.candidates[1]", "another setup"),
        ('candidates = ["oil_8", "oil_8"]', "comparison.candidates[2]", "once"),
        ('candidate = "oil_8"\ncandidates = ["oil_8"]', "comparison.candidate", "one of the two"),
        ('focus = ["hit_depth"]', "comparison.focus[1]", "'hit_depth_10_per_min'"),
        ('focus = ["travel_max"]', "comparison.focus[1]", "verdict"),
        ('focus = ["dynamic_sag:middle"]', "comparison.focus[1]", "front or rear"),
        ('focus = ["dynamic_sag:both"]', "comparison.focus[1]", "front or rear"),
        ('focus = ["sag_difference:front"]', "comparison.focus[1]", "both"),
        ('focus = ["packing", "packing:front", "packing:rear", "dynamic_sag"]', "comparison.focus", "at most 3"),
        ('focus = ["packing", "packing"]', "comparison.focus[2]", "once"),
        ('focus = ["dynamic_sag:front@brakeing"]', "comparison.focus[1]", "'braking'"),
        ('focus = ["dynamic_sag@"]', "comparison.focus[1]", "a phase of the ride"),
        ('focus = ["travel_max@braking"]', "comparison.focus[1]", "verdict"),
        ('focus = ["dynamic_sag@braking:both"]', "comparison.focus[1]", "front or rear"),
        ('focus = ["dynamic_sag:front@braking", "dynamic_sag@braking:front"]', "comparison.focus[2]", "once"),
        ("planned_runs = 1", "comparison.planned_runs", "2 to 30"),
        ("planned_runs = 2.5", "comparison.planned_runs", "whole number"),
        ("planned_runs = [6, 3]", "comparison.planned_runs", "each larger"),
        ("planned_runs = []", "comparison.planned_runs", "one number"),
        ("planned_looks = 2", "comparison.planned_looks", "planned_runs"),
        ('spread_from = ["../a", "../b"]', "comparison.spread_from", "3 to 50 earlier days"),
        ('spread_from = ["a", "b", "c"]', "comparison.spread_from[2]", "another day's ride_day.toml"),
        ('named_at = "morning"', "comparison.named_at", "date and time"),
        ("smallest_change = { dynamic_sagg = '2 points' }", "comparison.smallest_change.dynamic_sagg", "'dynamic_sag'"),
        ("smallest_change = { travel_max = '2 points' }", "comparison.smallest_change.travel_max", "verdict"),
    ],
)
def test_comparison_and_plan_gone_wrong(problems: Problems, lines: str, key: str, words: str) -> None:
    assert words in problems((CANDIDATES, lines))[key].expected


def test_an_unknown_baseline(problems: Problems) -> None:
    assert "'oil_20'" in problems(('baseline = "oil_20"', 'baseline = "oil20"'))["comparison.baseline"].expected


@pytest.mark.parametrize(
    ("measure", "text", "amount", "form"),
    [
        ("dynamic_sag", "2 points", 2.0, "points"),
        ("dynamic_sag", "1 point", 1.0, "points"),
        ("dynamic_sag", " .5  points ", 0.5, "points"),
        ("hit_depth_10_per_min", "2points", 2.0, "points"),
        ("sag_difference", "1.5 points", 1.5, "points"),
        ("packing", "1 mm", 1.0, "mm"),
        ("packing", "0.5 mm per hit", 0.5, "mm"),
        ("compression_speed_10_per_min", "10 %", 10.0, "percent"),
        ("compression_speed_10_per_min", "10%", 10.0, "percent"),
        ("compression_speed_10_per_min", "25 mm/s", 25.0, "unit"),
        ("rebound_speed_10_per_min", "25 mm/s", 25.0, "unit"),
        ("recovery_time", "0.05 s", 0.05, "unit"),
        ("hits_per_min", "5 1/min", 5.0, "unit"),
        ("hits_per_min", "5 a minute", 5.0, "unit"),
        ("compression_speed_ratio", "10 %", 10.0, "percent"),
        ("deep_hits_per_min", "x1.5", 1.5, "factor"),
        ("deep_hits_per_min", "×2", 2.0, "factor"),
        ("bottom_outs_per_min", "50 %", 50.0, "percent"),
    ],
)
def test_forms_of_a_smallest_change(read: Read, measure: str, text: str, amount: float, form: str) -> None:
    change = read((CANDIDATES, f'smallest_change = {{ {measure} = "{text}" }}')).comparison.smallest_change[
        measure, None
    ]
    assert (change.amount, change.form, change.entered.strip()) == (amount, form, text.strip())


@pytest.mark.parametrize(
    ("measure", "text", "shown"),
    [
        ("dynamic_sag", "2", "'2 points'"),
        ("dynamic_sag", '"2"', "'2 points'"),
        ("dynamic_sag", '"2 %"', "'2 points'"),
        ("dynamic_sag", '"2 mm"', "'2 points'"),
        ("dynamic_sag", '"-2 points"', "'2 points'"),
        ("dynamic_sag", '"0 points"', "'2 points'"),
        ("dynamic_sag", '"200 points"', "'2 points'"),
        ("dynamic_sag", '"2 points 3"', "'2 points'"),
        ("dynamic_sag", "true", "'2 points'"),
        ("packing", '"1 point"', "'1 mm'"),
        ("packing", '"10 %"', "'1 mm'"),
        ("compression_speed_10_per_min", "10", "'10 mm/s'"),
        ("compression_speed_10_per_min", '"10 points"', "'8 %'"),
        ("compression_speed_10_per_min", '"x1.5"', "'8 %'"),
        ("compression_speed_10_per_min", '"25 m/s"', "'25 mm/s'"),
        ("compression_speed_ratio", '"0.1 ratio"', "'8 %'"),
        ("deep_hits_per_min", "1.5", "'x1.5'"),
        ("deep_hits_per_min", '"x1"', "'x1.5'"),
        ("deep_hits_per_min", '"x0.5"', "'x1.5'"),
        ("deep_hits_per_min", '"2 1/min"', "'x1.5'"),
        ("deep_hits_per_min", '"nan %"', "'x1.5'"),
        ("compression_speed_10_per_min", '"' + "9" * 400 + ' %"', "'8 %'"),
    ],
)
def test_other_forms_are_shown_the_right_ones(problems: Problems, measure: str, text: str, shown: str) -> None:
    found = problems((CANDIDATES, f"smallest_change = {{ {measure} = {text} }}"))
    assert shown in found[f"comparison.smallest_change.{measure}"].expected


@pytest.mark.parametrize("spec", FAMILY, ids=lambda spec: spec.name)
def test_every_default_can_be_entered(read: Read, spec: object) -> None:
    name = getattr(spec, "name", "")
    default = SPECS[name].smallest_change
    assert default is not None
    assert parse_smallest_change(default.entered, SPECS[name]) == default


@given(text=st.text(max_size=30), spec=st.sampled_from(FAMILY))
def test_any_text_is_a_change_above_nothing_or_none(text: str, spec: object) -> None:
    change = parse_smallest_change(text, SPECS[getattr(spec, "name", "")])
    assert change is None or 0 < change.amount < float("inf")


def test_the_plan(read: Read, folder: Path) -> None:
    earlier = folder.parent / "march"
    earlier.mkdir()
    (earlier / "ride_day.toml").write_text("", encoding="utf-8")
    more = (
        '[plan]\nspread = { "dynamic_sag:front" = 0.6, packing = 1 }\nspread_from = "../march/ride_day.toml"\n'
        "run_min = 4\nreturn_min = 12\nchange_over_min = 25\n"
    )
    plan = read(more=more).plan
    assert plan is not None
    assert plan.spread == {("dynamic_sag", "front"): 0.6, ("packing", None): 1.0}
    assert plan.spread_from is not None
    assert plan.spread_from.samefile(earlier / "ride_day.toml")
    assert (plan.run_min, plan.return_min, plan.change_over_min) == (4.0, 12.0, 25.0)


@pytest.mark.parametrize(
    ("lines", "key"),
    [
        ("spread = { dynamic_sagg = 0.6 }", "plan.spread.dynamic_sagg"),
        ("spread = { dynamic_sag = 0 }", "plan.spread.dynamic_sag"),
        ("spread = { dynamic_sag = -1 }", "plan.spread.dynamic_sag"),
        ("spread = { dynamic_sag = inf }", "plan.spread.dynamic_sag"),
        ('spread = { dynamic_sag = "0.6" }', "plan.spread.dynamic_sag"),
        ('spread_from = "../nowhere/ride_day.toml"', "plan.spread_from"),
        ('spread_from = ""', "plan.spread_from"),
        ('spread_from = "."', "plan.spread_from"),
        ('spread_from = "/dev/zero"', "plan.spread_from"),
        (f'spread_from = "{"x" * 300}"', "plan.spread_from"),
        ("run_min = -4", "plan.run_min"),
    ],
)
def test_plans_gone_wrong(problems: Problems, lines: str, key: str) -> None:
    assert key in problems(more=f"[plan]\n{lines}\n")


CHASSIS = """
[sensors.crown]
kind = "inertial"
end = "front"
columns = { ax = "ax", ay = "ay", az = "az" }
acceleration_unit = "g"
"""


def test_acceleration_is_refused_as_focus_where_travel_is_read(problems: Problems) -> None:
    """It is measured there, never compared: a focus on it would decide nothing, without a word."""
    found = problems(more='focus = ["chassis_acceleration_rms:front"]\n' + CHASSIS)
    assert found["comparison.focus[1]"].found == (
        "chassis_acceleration_rms where travel is read: measured, not compared"
    )
    assert "dynamic_sag" in found["comparison.focus[1]"].expected
