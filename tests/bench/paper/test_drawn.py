"""Draws of all figures together: few of them spread a change as far as many would."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.bench.paper.drawn import draws_of, laid_out
from telemetry.bench.stated import Draw

SEED = (20260516, 9)


def test_each_figure_spreads_by_one_width_about_none_and_none_goes_with_another() -> None:
    laid = laid_out(24, 23, np.random.default_rng(4))
    assert laid.mean(axis=0) == pytest.approx(np.zeros(23), abs=1e-12)
    assert laid.T @ laid / 24 == pytest.approx(np.eye(23), abs=1e-12)


def test_of_more_figures_than_draws_each_still_spreads_by_one_width() -> None:
    laid = laid_out(24, 60, np.random.default_rng(4))
    assert np.mean(laid**2, axis=0) == pytest.approx(np.ones(60))
    assert laid.mean(axis=0) == pytest.approx(np.zeros(60), abs=1e-12)
    together = laid[:, :23].T @ laid[:, :23] / 24
    assert together == pytest.approx(np.eye(23), abs=1e-12)
    assert laid.max() > 1.8  # as far out as normal draws come: no two-level plan


def test_draws_are_as_normal_ones_are() -> None:
    laid = np.concatenate([laid_out(24, 40, np.random.default_rng(seed)).ravel() for seed in range(40)])
    assert np.mean(np.abs(laid) < 1) == pytest.approx(0.683, abs=0.02)
    assert np.mean(np.abs(laid) < 2) == pytest.approx(0.954, abs=0.02)


def asking(draw: Draw) -> float:
    """Ask for forty figures that both setups share, then for an oil volume that differs: its change follows."""
    shared = [draw("rear", f"shared_{number}", 1.0) for number in range(40)]
    return draw("front", "oil_ml", 8.0) - draw("front", "oil_ml", 22.0) + 0 * sum(shared)


def test_what_setups_differ_by_is_laid_out_first() -> None:
    draws = draws_of(asking, 24, SEED)
    changes = [asking(draws.one(number)) for number in range(24)]
    assert np.mean(np.square(changes)) == pytest.approx(2.0)  # two volumes, each off by itself
    assert np.mean(changes) == pytest.approx(0.0, abs=1e-12)


def test_a_step_is_off_by_as_much_before_and_after_it() -> None:
    draws = draws_of(asking, 8, SEED, alike=True)
    assert [asking(draws.one(number)) for number in range(8)] == pytest.approx([0.0] * 8)


def test_a_figure_that_was_not_asked_for_as_stated_is_drawn_by_itself() -> None:
    draws = draws_of(asking, 24, SEED)
    first, second = draws.one(3), draws.one(4)
    assert first("front", "another", 1.0) == first("front", "another", 1.0) == first.taken["front", "another", "1.0"]
    assert first("front", "another", 1.0) != second("front", "another", 1.0)


def test_too_few_draws_are_drawn_one_by_one() -> None:
    draws = draws_of(asking, 2, SEED)
    assert np.isfinite(asking(draws.one(0)))
    assert draws_of(asking, 0, SEED).off == {}
