"""`pushes` and `pushes_one_end`: what three pushes tell; `untrimmed` where they don't."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from tests.trust.one_run import RATE_HZ, Day, assert_says, codes, ridden, the_one, told

DEPTH_MM = 40.0
LEVEL_MM = 60.0


def trip(*, before: bool = True, after: bool = True) -> np.ndarray:
    """Return travel: three pushes from 1.5 to 3.3 s, 40 s of riding, three pushes again."""
    time = np.arange(round(0.4 * RATE_HZ)) / round(0.4 * RATE_HZ)
    push, rest = DEPTH_MM * (1 - np.cos(2 * np.pi * time)) / 2, np.zeros(round(0.3 * RATE_HZ))
    stand, still = np.zeros(round(1.5 * RATE_HZ)), np.zeros(round(1.0 * RATE_HZ))
    three = np.concatenate([stand, push, rest, push, rest, push, still])
    riding = 25 * np.sin(2 * np.pi * 1.25 * np.arange(round(40 * RATE_HZ)) / RATE_HZ)
    return LEVEL_MM + np.concatenate([three] * before + [riding] + [three] * after)


def test_found_before_and_after(tmp_path: Path) -> None:
    run = ridden(tmp_path, trip(), trip())
    finding = the_one(run, "pushes")
    assert finding.severity == "note"
    assert_says(finding, "run_1", "at 1.5", "the start is 3.3", "the end is 45.8", "both ends live and move alike")
    assert abs((finding.second or 0) - 1.5) < 0.05
    assert not told(run, "untrimmed")
    assert abs((run.value("riding_time", "both") or 0) - 42.5) < 0.2  # riding, and two rests under 2 s
    assert run.usable == "good"


def test_one_bound_only(tmp_path: Path) -> None:
    run = ridden(tmp_path, trip(after=False), trip(after=False))
    assert_says(the_one(run, "pushes"), "the start is 3.3", "the end isn't marked", "next time", "three times")
    assert_says(the_one(run, "untrimmed"), "the end isn't known", "end_s", "the log's own bound holds")


def test_stated_bounds_stay(tmp_path: Path) -> None:
    run = ridden(tmp_path, trip(), trip(), Day(run="start_s = 5.0\nend_s = 44.0"))
    assert_says(the_one(run, "pushes"), "the start stays at 5.00 s, as stated", "the end stays at 44.00 s")
    assert not told(run, "untrimmed")
    assert abs((run.value("riding_time", "both") or 0) - 39.0) < 0.1


def test_the_history_says_where_the_bounds_come_from(tmp_path: Path) -> None:
    run = ridden(tmp_path, trip(), trip(), Day(run="start_s = 5.0"))
    (step,) = [step for step in run.history if step.stage == "bounds"]
    assert step.words.startswith("start 5.00 s, as stated; end 45.8")
    assert step.words.endswith("by three pushes")


def test_a_dead_end_is_warned_of(tmp_path: Path) -> None:
    rear = trip()
    pushed = np.abs(rear - LEVEL_MM) > 0
    pushed[round(4.3 * RATE_HZ) : round(44.3 * RATE_HZ)] = False
    rear[pushed] = LEVEL_MM
    run = ridden(tmp_path, trip(), rear)
    found = told(run, "pushes_one_end")
    assert len(found) == 2
    assert (found[0].severity, found[0].end) == ("warning", "rear")
    assert_says(found[0], "run_1, rear", "three pushes at the front", "0.0 % of travel", "at least 10 %", "plug")
    assert "untrimmed" in codes(run)
    assert not told(run, "pushes")


def test_an_end_that_reads_upside_down_is_warned_of(tmp_path: Path) -> None:
    found = told(ridden(tmp_path, 2 * LEVEL_MM - trip(), trip()), "pushes_one_end")
    assert {item.end for item in found} == {"front"}
    assert_says(found[0], "run_1, front", "the other way", "upside down", "points")


def test_both_ends_the_wrong_way_are_told(tmp_path: Path) -> None:
    turned = 2 * LEVEL_MM - trip()
    run = ridden(tmp_path, turned, turned)
    finding = the_one(run, "pushes_upside_down")
    assert finding.severity == "warning"
    assert_says(finding, "run_1", "at 1.5", "both ends move the wrong way", "`points`")
    assert not told(run, "pushes")


def test_ends_that_never_were_pushed_are_not(tmp_path: Path) -> None:
    ridden_on = trip(before=False, after=False)
    assert not told(ridden(tmp_path, ridden_on, ridden_on), "pushes_upside_down")
