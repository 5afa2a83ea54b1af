"""Expected changes out of rides on paper, and whether a measured one agrees."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm, t

from telemetry.bench.paper.loads import loads_of
from telemetry.bench.paper.spread import (
    MODEL,
    Expected,
    Seen,
    Trials,
    agreements,
    chance_apart,
    expected_change,
    strongest,
)

Z = norm.ppf(0.95)


def trials(by_run: list[float], by_parts: list[float] | None = None, by_ground: list[float] | None = None) -> Trials:
    return Trials(by_run=by_run, by_parts=by_parts or [], by_ground=by_ground or [], apart=2.0)


def known(change: float, half: float) -> Expected:
    sd = half / float(Z)
    return Expected(change=change, half=half, parts=half, ground=0.0, runs=0.0, model=0.0, sd=sd)


def test_half_widths_add_as_squares_each_from_where_it_comes() -> None:
    found = expected_change(trials([1.0, 1.4, 1.2], [0.3, -0.3], [0.21, 0.19]), "dynamic_sag")
    model = MODEL["dynamic_sag"]
    share = model.share**2 * (1.2**2 + 0.09)  # of what the change is with any parts, not with those stated alone
    variances = (0.09, 0.04 - 0.0002 / 2, 0.04 / 3, share + (model.apart * 2.0) ** 2)
    nu = 2 * (sum(variances) / variances[2]) ** 2  # Welch and Satterthwaite: the others are known
    assert found.change == pytest.approx(1.2)
    assert found.sd == pytest.approx(math.sqrt(sum(variances) - variances[2]))
    assert (found.parts, found.ground, found.runs, found.model) == pytest.approx(
        tuple(t.ppf(0.95, nu) * math.sqrt(variance) for variance in variances)
    )
    assert found.half == pytest.approx(math.hypot(found.parts, found.ground, found.runs, found.model))


def test_no_interval_is_narrower_than_a_bike_can_be_known() -> None:
    still = replace(trials([0.0, 0.0, 0.0]), apart=0.0)
    assert expected_change(still, "travel_p95", 2.0).half >= Z * 0.02 * 2.0
    assert expected_change(still, "travel_p95").half < 0.01


def test_where_little_is_counted_one_hit_more_or_less_is_much() -> None:
    none, many = (replace(trials([0.0, 0.0, 0.0]), apart=0.0, counted=counted) for counted in (0.0, 40.0))
    rare, usual = (expected_change(own, "bottom_outs_per_min").half for own in (none, many))
    assert rare > math.log((0.2 + 0.5) / 0.5)  # a hit in five runs
    assert usual < 0.05


def test_where_runs_are_all_there_is_it_is_students_interval() -> None:
    found = expected_change(replace(trials([1.0, 41.4, 21.2]), apart=0.0), "dynamic_sag")
    assert found.half == pytest.approx(t.ppf(0.95, 2) * np.std([1.0, 41.4, 21.2], ddof=1) / math.sqrt(3), rel=0.01)


def test_chance_that_stands_in_the_runs_already_is_not_counted_as_parts() -> None:
    rng = np.random.default_rng(2)
    held, once, twice = 0, [], []
    for _ in range(400):  # a draw moves all runs alike by 0.3; which bumps are the deepest moves each by 1 besides
        common, chance = rng.normal(0, 0.3, 25), rng.normal(0, 1, (25, 3))
        by_run = chance[0]
        first, second = (common[1:] + chance[1:, run] - by_run[run] for run in (0, 1))
        made = replace(trials(list(by_run), list(first)), again=list(zip(first, second, strict=True)), apart=0.0)
        found = expected_change(made, "dynamic_sag")
        held += abs(found.change - common[0]) <= found.half
        once.append(found.half)
        twice.append(expected_change(replace(made, again=()), "dynamic_sag").half)
    assert 0.87 <= held / 400 <= 0.96
    assert np.median(once) < 0.8 * np.median(twice)


def test_drawn_grounds_that_all_move_a_row_one_way_are_not_averaged_away() -> None:
    found = expected_change(trials([1.0] * 9, [], [0.5, 0.5, 0.5]), "dynamic_sag")
    assert found.ground == pytest.approx(Z * 0.5, rel=1e-3)


def test_chance_of_drawn_grounds_is_not_counted_beside_the_runs_own() -> None:
    by_chance = [0.5, -0.5, 0.4, -0.4, 0.6, -0.6]
    assert expected_change(trials([1.0, 1.4, 1.2], [], by_chance), "dynamic_sag").ground == 0.0
    alone = expected_change(trials([1.0], [], [0.5, -0.5]), "dynamic_sag")
    assert alone.ground == pytest.approx(Z * math.sqrt(0.5))  # one run tells no spread of runs


def test_one_run_has_no_spread_of_runs() -> None:
    assert expected_change(trials([1.0]), "dynamic_sag").runs == 0.0


def test_a_measured_change_agrees_disagrees_or_cannot_tell() -> None:
    expected = [known(2.0, 0.5), known(2.0, 0.5), known(0.1, 0.3), known(2.0, 0.5), known(0.0, 0.1)]
    measured = [Seen(2.3, 0.8, 6), Seen(-1.5, 0.8, 6), Seen(0.5, 4.0, 6), None, Seen(0.1, 0.5, 6)]
    words = agreements(expected, measured, [2.0] * 5)
    assert words == ["agrees", "disagrees", "can't tell", None, "agrees"]


def test_rows_that_agree_are_said_to_disagree_on_one_day_in_ten_at_most() -> None:
    rng = np.random.default_rng(4)
    wrong = 0
    for _ in range(200):
        truth = rng.normal(0, 1, 18)
        expected = [known(float(value), float(Z) * 0.4) for value in truth + rng.normal(0, 0.4, 18)]
        runs = truth[:, None] + rng.normal(0, 1.5, (18, 6))  # as many as nu + 1: the mean's own t
        halves = t.ppf(0.95, 5) * runs.std(axis=1, ddof=1) / math.sqrt(6)
        measured = [Seen(float(row.mean()), float(half), 5) for row, half in zip(runs, halves, strict=True)]
        wrong += "disagrees" in agreements(expected, measured, [2.0] * 18)
    assert wrong / 200 <= 0.10 + 2 * math.sqrt(0.1 * 0.9 / 200)


def test_the_figure_that_a_row_follows_most_is_named() -> None:
    rng = np.random.default_rng(1)
    draws = [{"front air_pressure_bar": rng.normal(), "front air_volume_ml": rng.normal()} for _ in range(24)]
    changes = [2 * draw["front air_volume_ml"] + 0.1 * rng.normal() for draw in draws]
    found = strongest(draws, changes)
    assert found is not None
    assert found[0] == "front air_volume_ml"
    assert found[1] > 0.9
    assert strongest(draws, list(rng.normal(size=24))) is None
    assert strongest(draws[:5], changes[:5]) is None


def test_mean_forces_have_to_fit_the_weight() -> None:
    fits = [{"front": (430.0, 420.0), "rear": (560.0, 580.0)}]
    drawn = [{"front": (420.0 + off, 420.0), "rear": (580.0 - off, 580.0)} for off in (-10.0, 0.0, 10.0)]
    assert all(load.fits for load in loads_of(fits, drawn))
    stiff = [{"front": (430.0, 420.0), "rear": (560.0 * 1.2, 580.0)}]
    assert [load.end for load in loads_of(stiff, drawn) if not load.fits] == ["both"]


def test_an_interval_of_another_level_tells_of_the_same_scatter() -> None:
    usual = Seen(2.0, float(t.ppf(0.95, 4)), 4)
    stricter = Seen(2.0, float(t.ppf(0.96, 4)), 4, level=0.08)
    assert chance_apart(0.0, 0.5, stricter) == pytest.approx(chance_apart(0.0, 0.5, usual))
