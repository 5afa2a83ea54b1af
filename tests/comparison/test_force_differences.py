"""Forces of restoring-force maps between setups: on the log scale, runs as replicates, beside the verdicts."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from telemetry import comparison
from telemetry.model.comparison import UsedRun
from telemetry.model.finding import End
from telemetry.model.force import ForceCells, ForceCurve, ForceMap, NoForceMap, RunForces
from telemetry.telling.forces import force_difference_table, force_sentences

LABELS = {"a": "before", "b": "after"}
SPEEDS = np.array([-0.45, -0.3, -0.1, 0.0, 0.1, 0.3, 0.7])


def curve(at: np.ndarray, force: np.ndarray) -> ForceCurve:
    return ForceCurve(at=at, per_kg=force, low=force - 0.1, high=force + 0.1)


def made_map(damper: float, spring: float, end: End = "front") -> ForceMap:
    """Return a map of a straight damper up to 0.7 m/s and a straight spring from 20 to 60 % of 100 mm."""
    depth = np.arange(20.0, 61.0, 5.0)
    nothing = np.zeros((0, 0))
    cells = ForceCells(
        travel_edges_mm=np.zeros(1), speed_edges_m_s=np.zeros(1), seconds=nothing, counted=nothing.astype(bool)
    )
    return ForceMap(
        end=end,
        full_travel_mm=100.0,
        spring=curve(depth, spring * depth),
        damper=curve(SPEEDS, damper * SPEEDS),
        speed_of="shaft",
        friction=0.5,
        friction_low=0.2,
        friction_high=0.8,
        lag_ms=1.0,
        rider=None,
        cells=cells,
        minutes=3.0,
        explained=0.9,
        limits=(),
    )


def runs(*maps: ForceMap | NoForceMap, setups: str) -> list[RunForces]:
    return [
        RunForces(run=UsedRun(run=f"run_{order}", setup=setup, order=order), maps=(found,))
        for order, (setup, found) in enumerate(zip(setups, maps, strict=True), 1)
    ]


def test_a_force_differs_by_the_pooled_t_of_its_logarithm() -> None:
    dampers = {"a": [10.0, 10.4, 9.8], "b": [7.6, 7.4, 7.7]}
    order = "abbaab"
    values = {setup: iter(found) for setup, found in dampers.items()}
    made = runs(*(made_map(next(values[setup]), 0.4) for setup in order), setups=order)
    found = comparison.force_differences(made, baseline="a", candidates=["b"])
    told = {(item.force, item.at): item for item in found}
    assert set(told) == {("damper", at) for at in (0.1, 0.3, -0.1, -0.3)} | {("spring", at) for at in (30.0, 50.0)}
    logs = [np.log(dampers[setup]) for setup in "ba"]
    apart = logs[0].mean() - logs[1].mean()
    scatter = stats.ttest_ind(*logs).confidence_interval(0.90).high - apart
    half = np.hypot(scatter, 0.03 + 0.4 * abs(apart))  # what maps of one day have in common, as documented
    for at in (0.3, -0.3):
        item = told["damper", at]
        assert item.difference == pytest.approx(100 * np.expm1(apart))
        assert (item.low, item.high) == pytest.approx((100 * np.expm1(apart - half), 100 * np.expm1(apart + half)))
        assert item.baseline_value == pytest.approx(0.3 * np.exp(logs[1].mean()))
        assert item.stands
    assert (told["spring", 30.0].difference, told["spring", 30.0].low) == (pytest.approx(0), None)  # doesn't vary
    assert (item.n_baseline, item.n_candidate) == (3, 3)


def test_with_one_map_of_a_setup_there_is_no_interval_and_without_one_no_row() -> None:
    refused = NoForceMap(end="front", reason="47 s of riding, at least 60 s needed")
    made = runs(made_map(10, 0.4), made_map(8, 0.4), refused, made_map(10.2, 0.4), setups="abba")
    found = comparison.force_differences(made, baseline="a", candidates=["b"])
    assert {(item.n_baseline, item.n_candidate, item.low) for item in found} == {(2, 1, None)}
    only = runs(made_map(10, 0.4), refused, refused, made_map(10.2, 0.4), setups="abba")
    assert comparison.force_differences(only, baseline="a", candidates=["b"]) == ()
    other_end = runs(made_map(10, 0.4), made_map(8, 0.4, "rear"), setups="ab")
    assert comparison.force_differences(other_end, baseline="a", candidates=["b"]) == ()


def test_a_damper_that_pushes_on_has_no_logarithm_and_is_left_out() -> None:
    made = runs(made_map(-10, 0.4), made_map(8, 0.41), setups="ab")
    found = comparison.force_differences(made, baseline="a", candidates=["b"])
    assert {item.force for item in found} == {"spring"}


def test_differences_are_told_in_a_sentence_each_and_in_a_table() -> None:
    made = runs(
        *(made_map(damper, spring) for damper, spring in ((10, 0.4), (7.5, 0.41), (7.6, 0.40), (10.1, 0.402))),
        setups="abba",
    )
    found = comparison.force_differences(made, baseline="a", candidates=["b"])
    lines = force_sentences(found, LABELS)
    item = next(item for item in found if (item.force, item.at) == ("damper", 0.3))
    assert item.low is not None
    assert lines[0] == (
        f"Front damper 25 % lighter at 0.3 m/s compression with after: between −{-item.low:.0f} and "
        f"−{-item.high:.0f} % (90 %)"
    )
    assert lines[-1].startswith("2 forces of 6 looked at without a difference seen")
    shown = force_difference_table(found, "b")
    assert shown is not None
    assert shown.rows[0][:3] == ("Front, damper, 0.3 m/s compression", "3.0 → 2.3 N/kg", "−25 %")
    assert force_difference_table(found, "c") is None
    bare = comparison.force_differences(made[:2], baseline="a", candidates=["b"])
    assert force_sentences(bare, LABELS) == ("6 forces without a range: two maps of each setup are needed",)
    assert force_sentences((), LABELS) == ()
