"""Families of tests: one for each candidate, focus apart from the rest, and who gets no verdict out beforehand."""

import math
from dataclasses import replace

import pytest
from scipy import stats

from telemetry import comparison
from telemetry.model.comparison import Family
from tests.comparison.days import row, with_moments

NAMES = ("dynamic_sag", "travel_p95", "hit_depth_10_per_min", "packing")


def near(p, measure="dynamic_sag", **more):
    """Return a row whose pooled t of b against a has exactly this p; c, where it is ridden, differs by far."""
    d = stats.t.isf(p / 2, 4) * math.sqrt(2 / 3)
    values = {"a": with_moments(3, 30.0, 1.0), "b": with_moments(3, 30.0 + d, 1.0), "c": with_moments(3, 60.0, 1.0)}
    setups = more.pop("setups", "abbaab")
    taken = {name: iter(found) for name, found in values.items()}
    return row(setups, [next(taken[setup]) for setup in setups], measure=measure, **more)


def told(*rows, candidates=("b",), **rules):
    return comparison.verdicts(rows, baseline="a", candidates=candidates, rules=comparison.Rules(**rules))


def selected(found, candidate="b"):
    return [result.selected for result in found.results if result.candidate == candidate]


def test_a_third_setup_that_differs_in_everything_loosens_no_threshold():
    """p of 0.03 is over 0.05/2; beside two rows of c in one family it would be third of four, under 3/4 of 0.05."""
    rows = [near(p, name, setups="abccbaabc") for name, p in zip(NAMES, (0.03, 0.9), strict=False)]
    alone, beside = told(*rows), told(*rows, candidates=("b", "c"))
    assert selected(beside) == [False, False]
    assert selected(beside, "c") == [True, True]
    assert beside.results[:2] == alone.results
    assert beside.families == (
        Family(candidate="b", group="all", m=2, q=0.05, looks=1, selected=0),
        Family(candidate="c", group="all", m=2, q=0.05, looks=1, selected=2),
    )
    assert [beside.looked_at(name) for name in "bc"] == [2, 2]


def test_focus_rows_spend_four_fifths_among_themselves_and_the_rest_one_fifth():
    """Two in focus: p of 0.015 and 0.039 against 0.02 and 0.04; of two others 0.0049 and 0.2 against 0.005 and 0.01."""
    p = (0.015, 0.039, 0.0049, 0.2)
    rows = [near(each, name, focus=place < 2) for place, (name, each) in enumerate(zip(NAMES, p, strict=True))]
    found = told(*rows)
    assert selected(found) == [True, True, True, False]
    assert [result.level for result in found.results] == pytest.approx([0.04, 0.04, 0.005, 0.01])
    assert [(family.group, family.m, family.selected) for family in found.families] == [
        ("focus", 2, 2),
        ("other", 2, 1),
    ]
    assert [family.q for family in found.families] == pytest.approx([0.04, 0.01])
    tighter = told(*rows[:2], near(0.0051, NAMES[2]), rows[3])
    assert selected(tighter) == [True, True, False, False]


def test_what_the_focus_shows_lends_the_others_nothing():
    """Beside a row that stands out by far 0.011 passes as second of two at 0.05; a focus row leaves it 0.01."""
    clear, other = near(1e-6, NAMES[0], focus=True), near(0.011, NAMES[1])
    assert selected(told(clear, other)) == [True, False]
    assert selected(told(replace(clear, focus=False), other)) == [True, True]


@pytest.mark.parametrize(("p", "out"), [(0.9, [True]), (1e-6, [False, False])])
def test_rows_without_a_say_neither_tighten_nor_loosen(p, out):
    """By themselves 0.03 of one row is selected, 0.03 and 0.9 of two not; with the front's rows it were otherwise."""
    front = [near(p, name) for name in NAMES[:2]]
    rear = [near(each, name, end="rear") for name, each in zip(NAMES, (0.03, 0.9)[: len(out)], strict=False)]
    found = told(*front, *rear, withheld={("b", "front"): "clipped", ("b", "both"): "clipped"})
    assert [result.selected for result in found.results] == [False, False, *out]
    assert [(result.verdict, result.reason) for result in found.results[:2]] == [(None, "clipped")] * 2
    assert [result.level for result in found.results[:2]] == pytest.approx([0.05 / len(out)] * 2)
    assert found.results[2:] == told(*rear).results
    assert found.looked_at("b") == len(out)
    assert selected(told(*front, *rear))[2:] != out
    short = [replace(item, runs=item.runs[:3]) for item in front]  # one run of a: barred
    assert told(*short, *rear).results[2:] == told(*rear).results


def test_a_withheld_candidate_leaves_the_others_as_they_are():
    rows = [near(0.01, name, setups="abccbaabc") for name in NAMES[:2]]
    free, held = (told(*rows, candidates=("b", "c"), withheld=why) for why in ({}, {"b": "same on paper"}))
    assert [result.verdict for result in held.results if result.candidate == "b"] == [None, None]
    assert [result.p for result in held.results] == [result.p for result in free.results]
    assert held.results[2:] == free.results[2:]
    assert [(family.candidate, family.m) for family in held.families] == [("b", 0), ("c", 2)]
