"""Whole plans from days on disk: without runs, from another day, with own runs; the JSON; what is refused."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

import telemetry
from telemetry.errors import CallError
from telemetry.pipeline.planning import runs_of
from telemetry.statistics.runs_needed import runs_for_changed, runs_for_unchanged
from tests.pipeline.inertial_days import HEAD, make_inertial_day, sensor_tables
from tests.pipeline.small_days import make_day

TOP = {"ride_day", "order", "change_overs", "minutes", "runs_each", "runs_each_upper", "sees", "absent", "infeasible"}
ROW = {"measure", "end", "unit", "smallest_change", "spread_from", "runs_each", "runs_each_upper", "detectable"}
SETUPS = '[setups.a]\n[setups.b]\nbased_on = "a"\n[setups.b.front]\nair_pressure_bar = 7\n'
MINUTES = "run_min = 4\nreturn_min = 12\nchange_over_min = 25\n"


def planned(folder: Path, text: str = "", runs: int | None = None) -> telemetry.Plan:
    """Write a day without runs, two setups and this much more; plan it."""
    make_day(folder, (), extra=SETUPS + text)
    return telemetry.plan(telemetry.read_ride_day(folder), runs)


@pytest.fixture(scope="module")
def ridden(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_day(tmp_path_factory.mktemp("ridden") / "march", ("a", "b", "b", "a"))


def test_a_day_without_runs_from_a_stated_spread(tmp_path: Path) -> None:
    plan = planned(tmp_path / "day", f'[plan]\nspread = {{ "dynamic_sag:front" = 0.6 }}\n{MINUTES}')
    answer = plan.to_dict()
    assert set(answer) == TOP
    rows = answer["sees"]
    assert isinstance(rows, list)
    assert [(row["measure"], row["end"], row["unit"]) for row in rows] == [("dynamic_sag", "front", "%")]
    assert set(rows[0]) == ROW
    level = 0.05 / 25  # every row of both ends counts, 11 measures an end and 3 of both
    needed = max(runs_for_unchanged(0.6, 2.0, most=30) or 99, runs_for_changed(0.6, 2.0, level, most=30) or 99)
    assert answer["runs_each"] == answer["runs_each_upper"] == rows[0]["runs_each"] == needed
    assert [item["runs_each"] for item in rows[0]["detectable"]] == list(range(2, 11))
    order = answer["order"]
    assert isinstance(order, list)
    assert "".join(order) == "abbabaabbaab"
    assert (len(order), answer["change_overs"]) == (2 * needed, 7)
    assert answer["minutes"] == 12 * 16 + 7 * 25
    assert len(plan.absent) == 24
    told = answer["absent"]
    assert isinstance(told, list)
    assert len(told) == 24
    assert all(set(row) == {"measure", "end", "reason"} and row["reason"] for row in told)
    json.dumps(answer, allow_nan=False)


def test_without_minutes_the_length_is_null_and_asked_for(tmp_path: Path) -> None:
    plan = planned(tmp_path / "day", "[plan]\nspread = { dynamic_sag = 0.6 }\nrun_min = 4\n")
    assert plan.to_dict()["minutes"] is None
    assert any("state return_min, change_over_min in [plan]" in line for line in plan.advice)


def test_nothing_to_go_by_is_planned_with_defaults_and_marked(tmp_path: Path) -> None:
    answer = planned(tmp_path / "day").to_dict()
    rows = answer["sees"]
    assert isinstance(rows, list)
    assert {row["spread_from"] for row in rows} == {"default"}
    assert {row["smallest_change"] is None for row in rows if row["measure"].endswith("10_per_min")} == {True, False}
    json.dumps(answer, allow_nan=False)


def test_the_longest_day_and_an_infeasible_focus(tmp_path: Path) -> None:
    settings = '[comparison]\nfocus = ["dynamic_sag:front"]\n[plan]\nspread = { dynamic_sag = 0.9 }\nday_min = 200\n'
    answer = planned(tmp_path / "day", settings + MINUTES).to_dict()
    assert answer["order"] == ["a", "b", "b", "a", "a", "b"]
    assert answer["infeasible"] == [{"measure": "dynamic_sag", "end": "front"}]


def test_a_change_that_cannot_be_undone(tmp_path: Path) -> None:
    answer = planned(tmp_path / "day", "[plan]\ncan_be_undone = false\nspread = { dynamic_sag = 0.2 }\n").to_dict()
    order = answer["order"]
    assert isinstance(order, list)
    assert order == sorted(order)
    assert len(order) >= 8


def test_earlier_days_are_planned_from(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    for place in range(3):
        make_day(tmp_path / f"day_{place}", "abbab"[place:] + "ab"[:place], seconds=12.0)
    names = ", ".join(f'"../day_{place}"' for place in range(3))
    plan = planned(tmp_path / "today", f"[comparison]\nspread_from = [{names}]\n")
    assert {row.spread_from for row in plan.sees} == {"earlier days"}
    assert plan.sees[0].spread_where == "3 earlier days"


def test_another_days_spread(tmp_path: Path, ridden: Path) -> None:
    plan = planned(tmp_path / "day", f'[plan]\nspread_from = "{ridden}"\nspread = {{ "dynamic_sag:front" = 0.6 }}\n')
    sources = {(row.spec.name, row.end): row.spread_from for row in plan.sees}
    assert sources["dynamic_sag", "front"] == "stated"
    assert sources["dynamic_sag", "rear"] == "another day"
    own = telemetry.plan(telemetry.read_ride_day(ridden))
    theirs = {(row.spec.name, row.end): row.spread_words for row in own.sees}
    same = [row for row in plan.sees if row.spread_from == "another day"]
    assert len(same) > 10
    assert all(theirs[row.spec.name, row.end] == row.spread_words for row in same)


def test_own_runs_and_their_riding_time(ridden: Path) -> None:
    day = telemetry.read_ride_day(ridden)
    plan = telemetry.plan(day)
    assert {row.spread_from for row in plan.sees} == {"own runs"}
    sag = next(row for row in plan.sees if (row.spec.name, row.end) == ("dynamic_sag", "front"))
    values = runs_of(telemetry.analyse(day), "dynamic_sag", "front").values
    pooled = math.sqrt(((values[0] - values[3]) ** 2 + (values[1] - values[2]) ** 2) / 4)  # two pairs, by hand
    assert sag.spread_words == f"{pooled:.2f} points"


def test_own_riding_time_stands_in_for_run_min(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a", "b"), extra="[plan]\nreturn_min = 12\nchange_over_min = 25\n")
    plan = telemetry.plan(telemetry.read_ride_day(folder), 2)
    assert plan.order.minutes == pytest.approx(4 * (40 / 60 + 12) + 2 * 25, abs=0.2)
    assert any("the riding time of this day's runs" in line for line in plan.advice)


def test_runs_left_out_say_nothing(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a", "a", "b"))
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('log = "run_2.csv"', 'leave_out = "fell"\nlog = "run_2.csv"'), encoding="utf-8")
    plan = telemetry.plan(telemetry.read_ride_day(folder))
    assert {row.spread_from for row in plan.sees if row.spec.scale != "count"} == {"default"}  # one run of each


def test_what_can_be_afforded(tmp_path: Path) -> None:
    plan = planned(tmp_path / "day", f"[plan]\nspread = {{ dynamic_sag = 0.9 }}\n{MINUTES}", 3)
    answer = plan.to_dict()
    assert answer["order"] == ["a", "b", "b", "a", "a", "b"]
    assert answer["minutes"] == 6 * 16 + 3 * 25
    assert plan.runs_each is not None
    assert plan.runs_each > 3
    assert any("3 of each see of front dynamic sag" in line for line in plan.advice)


def test_the_order_of_runs_in_the_file_does_not_matter(tmp_path: Path, ridden: Path) -> None:
    turned = make_day(tmp_path / "turned", ("a", "b", "b", "a"))
    file = turned / "ride_day.toml"
    head, *runs = file.read_text(encoding="utf-8").split("[[runs]]\n")
    numbered = [f"[[runs]]\norder = {place}\n{run}" for place, run in enumerate(runs, 1)]
    file.write_text(head + "\n".join(reversed(numbered)), encoding="utf-8")
    straight, other = (telemetry.plan(telemetry.read_ride_day(folder)).to_dict() for folder in (ridden, turned))
    assert other == straight


def test_setups_are_those_named_else_ridden_else_written(tmp_path: Path) -> None:
    settings = '[comparison]\nbaseline = "b"\ncandidates = ["a"]\n'
    assert planned(tmp_path / "named", settings).order.setups[0] == "b"
    assert planned(tmp_path / "candidate", '[comparison]\ncandidate = "a"\n').order.setups[0] == "b"
    third = '[setups.c]\nbased_on = "a"\n[setups.c.front]\nair_pressure_bar = 8\n'
    assert planned(tmp_path / "written", third).order.setups[:3] == ("a", "b", "c")
    folder = make_day(tmp_path / "ridden", ("a", "b"), extra=third)
    assert set(telemetry.plan(telemetry.read_ride_day(folder)).order.setups) == {"a", "b"}


def test_a_fork_of_other_travel_is_judged_in_mm_too(tmp_path: Path) -> None:
    """Three shares of travel at the front stand twice: 28 rows in place of 25."""
    longer = SETUPS.replace("air_pressure_bar = 7", "travel_mm = 180")
    make_day(tmp_path / "day", (), extra=longer + "[plan]\nspread = { dynamic_sag = 0.6 }\n")
    plan = telemetry.plan(telemetry.read_ride_day(tmp_path / "day"))
    assert [row.level for row in plan.sees] == [pytest.approx(0.05 / 28)] * 2


def test_one_end_measured_has_a_smaller_family(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", (), extra=SETUPS + "[plan]\nspread = { dynamic_sag = 0.6 }\n")
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    start, end = text.index("[sensors.shock]"), text.index("[setups.a]")
    file.write_text(text[:start] + text[end:], encoding="utf-8")
    plan = telemetry.plan(telemetry.read_ride_day(folder))
    assert [(row.end, row.level) for row in plan.sees] == [("front", pytest.approx(0.05 / 11))]


class TestRefused:
    """One clear error each."""

    def test_one_setup(self, tmp_path: Path) -> None:
        folder = make_day(tmp_path / "day", ("a", "a"))
        with pytest.raises(CallError, match=r"found one setup \('a'\); expected two setups"):
            telemetry.plan(telemetry.read_ride_day(folder))

    def test_no_setup(self, tmp_path: Path) -> None:
        folder = make_day(tmp_path / "day", ())
        with pytest.raises(CallError, match="found no setup; expected two setups"):
            telemetry.plan(telemetry.read_ride_day(folder))

    @pytest.mark.parametrize("runs", [-1, 0, 1, 31])
    def test_runs_that_decide_nothing_or_never_end(self, tmp_path: Path, runs: int) -> None:
        with pytest.raises(CallError, match=f"found runs = {runs}; expected 2 to 30 runs of each"):
            planned(tmp_path / "day", runs=runs)

    def test_another_day_without_runs(self, tmp_path: Path) -> None:
        make_day(tmp_path / "other", ())
        with pytest.raises(CallError, match=r"plan\.spread_from: found a day that can't be used .*no runs"):
            planned(tmp_path / "day", '[plan]\nspread_from = "../other"\n')

    def test_another_day_that_is_wrong(self, tmp_path: Path) -> None:
        other = make_day(tmp_path / "other", ("a",), seconds=2)
        file = other / "ride_day.toml"
        file.write_text(file.read_text().replace("wheelbase_mm", "wheelbse_mm"))
        with pytest.raises(CallError, match=r"plan\.spread_from: found a day that can't be used .*wheelbse_mm"):
            planned(tmp_path / "day", '[plan]\nspread_from = "../other"\n')

    def test_another_day_without_a_usable_run(self, tmp_path: Path) -> None:
        make_day(tmp_path / "other", ("a",), seconds=3)
        with pytest.raises(CallError, match="no usable run"):
            planned(tmp_path / "day", '[plan]\nspread_from = "../other"\n')


def test_what_no_stated_sensor_feels_isnt_planned(tmp_path: Path) -> None:
    """A day without runs and a single sensor, on the frame above the fork: nothing of its wheel."""
    text = HEAD + sensor_tables(["crown"]) + SETUPS
    (tmp_path / "ride_day.toml").write_text(text, encoding="utf-8")
    plan = telemetry.plan(telemetry.read_ride_day(tmp_path))
    assert {(row.spec.name, row.end) for row in plan.sees} == {
        ("chassis_acceleration_rms", "front"),
        ("chassis_acceleration_10_per_min", "front"),
    }
    reasons = {row.measure: row.reason for row in plan.absent}
    assert (
        reasons["wheel_acceleration_rms"] == reasons["unloaded_share"] == "no inertial sensor on the wheel at the front"
    )


def test_what_needs_two_sensors_isnt_planned_with_the_wheels_alone(tmp_path: Path) -> None:
    (tmp_path / "ride_day.toml").write_text(HEAD + sensor_tables(["fork"]) + SETUPS, encoding="utf-8")
    plan = telemetry.plan(telemetry.read_ride_day(tmp_path))
    assert ("wheel_acceleration_rms", "front") in {(row.spec.name, row.end) for row in plan.sees}
    reasons = {row.measure: row.reason for row in plan.absent}
    lacking = "no inertial sensor on the chassis at the front"
    assert reasons["fast_shaking_passed_on"] == reasons["unloaded_share"] == lacking


def test_a_focus_on_travel_within_a_phase_says_why_acceleration_cant_plan_it(tmp_path: Path) -> None:
    place = make_inertial_day(tmp_path / "day", ("a", "b", "b", "a"), seconds=20.0)
    file = place / "ride_day.toml"
    file.write_text(
        file.read_text(encoding="utf-8") + '[comparison]\nfocus = ["dynamic_sag:front@braking"]\n', encoding="utf-8"
    )
    plan = telemetry.plan(telemetry.read_ride_day(place))
    (row,) = [row for row in plan.absent if row.measure == "dynamic_sag@braking"]
    assert row.reason.startswith("no displacement sensor at the front")
