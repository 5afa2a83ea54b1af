"""The run that doesn't belong and the level that steps, on simulated days.

The limits asked for: of clean days at most 1 % accused, of swapped labels 95 % found where setups differ by three
smallest changes in two rows, of sensors remounted by 4 mm of 170 on days of 3 + 3 90 %. Rates may miss them by two
binomial standard deviations.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from telemetry.comparison.fairness.level_shift import FEWEST_RUNS, LEAST_STEP, level_shift
from telemetry.comparison.fairness.of_values import level_shifts, run_stands_apart
from telemetry.comparison.fairness.standing_apart import FAR, stands_apart
from tests.comparison.made_days import CONTINUOUS, Scenario, made_days, margins, rows_of

PLAIN = Scenario(name="plain")
LIVELY = [
    PLAIN,
    Scenario(name="drifting", drift=0.5),
    Scenario(name="noisy between sections", noise=2.0),
    Scenario(name="put on with errors", put_on=0.5),
]
DAYS = 240
LABELS = {"a": "20 ml", "b": "8 ml"}
SAGS = [place for place, (spec, _) in enumerate(CONTINUOUS) if spec.name == "dynamic_sag"]
REMOUNT = 4.0 / 170 * 100 / 2.0  # smallest changes of 2 points


def in_margins(scenario, order, seed, effects=None, days=DAYS):
    """Return values of shape (days, runs, rows) in smallest changes, and setups."""
    made = made_days(scenario, order, days, np.random.default_rng(seed), effects=effects).values
    return np.swapaxes(made / margins()[: len(CONTINUOUS), None], 1, 2), np.array(
        [setup == "b" for setup in order], int
    )


def at_most(share, days=DAYS):
    return share + 2 * math.sqrt(share * (1 - share) / days)


def at_least(share, days=DAYS):
    return share - 2 * math.sqrt(share * (1 - share) / days)


def two_rows(times, rng):
    effects = np.zeros(len(margins()))
    rows = rng.permutation(len(CONTINUOUS))[:2]
    effects[rows] = times * margins()[rows] * rng.choice([-1, 1], 2)
    return effects[None, :, None]


@pytest.mark.parametrize(
    ("scenario", "order"),
    [*((scenario, "abbaab") for scenario in LIVELY), (PLAIN, "abbaabba")],
    ids=["plain", "drifting", "noisy", "put on", "eight runs"],
)
def test_of_clean_days_hardly_any_run_is_accused(scenario, order):
    values, setups = in_margins(scenario, order, 1)
    assert np.mean([stands_apart(day, setups) is not None for day in values]) <= at_most(0.01)


@pytest.mark.parametrize("times", [1.5, 3.0])
def test_nor_on_days_whose_setups_differ(times):
    rng = np.random.default_rng(2)
    told = []
    for seed in range(60):
        values, setups = in_margins(PLAIN, "abbaab", seed, two_rows(times, rng), 5)
        told.extend(stands_apart(day, setups) is not None for day in values)
    assert np.mean(told) <= at_most(0.01)


def test_a_swapped_label_is_found():
    rng = np.random.default_rng(3)
    found, wrong = [], []
    for seed in range(75):
        values, setups = in_margins(PLAIN, "abbaab", 1000 + seed, two_rows(3.0, rng), 4)
        for day in values:
            run = int(rng.integers(len(setups)))
            labels = setups.copy()
            labels[run] = 1 - labels[run]
            apart = stands_apart(day, labels)
            found.append(apart is not None and (apart.run, apart.like) == (run, setups[run]))
            wrong.append(apart is not None and apart.run != run)
    assert np.mean(found) >= at_least(0.95)
    assert np.mean(wrong) <= at_most(0.01)


def test_a_run_on_a_flat_tyre_is_like_none():
    rng = np.random.default_rng(4)
    values, setups = in_margins(PLAIN, "abbaab", 5)
    found = []
    for day in values:
        run, rows = int(rng.integers(len(setups))), rng.permutation(len(CONTINUOUS))[:6]
        day[run, rows] += 4.0 * rng.choice([-1, 1], 6)
        apart = stands_apart(day, setups)
        found.append(apart is not None and (apart.run, apart.like) == (run, None))
    assert np.mean(found) >= 0.9


def exact(order, rows):
    """Return runs a hundredth of a smallest change from their setup's mean, and setups."""
    setups = np.array([setup == "b" for setup in order], int)
    spread = np.resize([0.01, -0.01, 0.0], len(order))
    return np.repeat(spread[:, None], rows, axis=1), setups


@pytest.mark.parametrize(("distance", "told"), [(FAR + 0.05, True), (FAR - 0.05, False)])
def test_setups_have_to_differ_clearly_for_a_run_to_look_like_the_other(distance, told):
    values, setups = exact("abbaab", 4)
    truly = setups.copy()
    truly[3] = 1
    values[truly == 1, :2] += distance
    apart = stands_apart(values, setups)
    assert (apart is not None and (apart.run, apart.like) == (3, 1)) is told


@pytest.mark.parametrize(("rows", "told"), [(2, False), (3, True)])
def test_a_run_like_none_is_so_in_three_rows(rows, told):
    values, setups = exact("abbaab", 6)
    values[2, :rows] -= 5.0
    apart = stands_apart(values, setups)
    assert (apart is not None) is told
    if apart is not None:
        assert (apart.run, apart.like, set(apart.rows)) == (2, None, set(range(rows)))
        assert apart.furthest == pytest.approx(-5.0, abs=0.1)


@pytest.mark.parametrize("order", ["abba", "aab", "ab", "aabab"])
def test_too_few_runs_are_not_judged(order):
    values, setups = exact(order, 6)
    values[-1] += 50.0
    assert stands_apart(values, setups) is None or order == "aabab"


def test_values_that_never_vary_tell_nothing():
    assert stands_apart(np.zeros((6, 5)), np.array([0, 1, 1, 0, 0, 1])) is None


def steps(order):
    """Return places between runs on both sides of which both setups have a run."""
    return [at for at in range(1, len(order)) if set(order[:at]) == set(order[at:]) == {"a", "b"}]


@pytest.mark.parametrize(("order", "least"), [("abbaab", 0.90), ("abbaabba", 0.90), ("abba", 0.80)])
def test_a_sensor_remounted_by_four_millimetres_is_found(order, least):
    values, setups = in_margins(PLAIN, order, 6)
    rng = np.random.default_rng(7)
    found = []
    for day in values[:, :, SAGS]:
        first = int(rng.choice(steps(order)))
        day[first:, 0] += REMOUNT
        shift = level_shift(day, setups)
        found.append(shift is not None and shift.row == 0)
    assert np.mean(found) >= at_least(least)


@pytest.mark.parametrize("order", ["abba", "abbaab", "abbaabba"])
def test_of_clean_days_hardly_any_is_told_a_step(order):
    for scenario in LIVELY[:2]:
        values, setups = in_margins(scenario, order, 8)
        share = 0.04 if scenario.drift else 0.01  # half a spread a run moves sag by its smallest change in a day
        assert np.mean([level_shift(day[:, SAGS], setups) is not None for day in values]) <= at_most(share)


@pytest.mark.parametrize(("step", "told"), [(LEAST_STEP + 0.02, True), (LEAST_STEP - 0.02, False)])
def test_a_step_is_told_from_its_limit_on(step, told):
    values, setups = exact("abbaab", 1)
    values[3:] += step
    shift = level_shift(values, setups)
    assert (shift is not None) is told
    if shift is not None:
        assert (shift.row, shift.first) == (0, 3)
        assert shift.step == pytest.approx(step, abs=0.02)


@pytest.mark.parametrize("order", ["aabb", "abb", "ab", "aaaa", "abc"])
def test_a_step_that_a_setup_could_have_made_is_none(order):
    setups = np.array(["abc".index(name) for name in order])
    values = np.where(np.arange(len(order)) >= len(order) // 2, 9.0, 0.0)[:, None]
    assert level_shift(values, setups) is None
    assert FEWEST_RUNS > 3


def test_a_run_without_a_level_is_passed_over():
    values, setups = exact("abbaabba", 1)
    values[4:] += 2.0
    values[2] = np.nan
    assert level_shift(values, setups).first == 4


def product_rows(order, change):
    """Return one day's rows as the product judges them, changed."""
    days = made_days(PLAIN, order, 1, np.random.default_rng(11))
    change(days.sections[0])
    return rows_of(days, 0)


def test_a_swapped_label_in_words():
    def lift(sections):
        for place, (spec, _) in enumerate(CONTINUOUS):
            if spec.name in {"dynamic_sag", "compression_speed_10_per_min"}:
                sections[place, [1, 2, 3, 5]] += 5 * margins()[place]  # run 4 is one of b written down as a

    (finding,) = run_stands_apart(product_rows("abbaab", lift), LABELS)
    assert finding.severity == "warning"
    assert finding.message.startswith("run_4 (20 ml) lies apart from the other runs of 20 ml in ")
    assert "dynamic sag" in finding.message
    assert "looks like 8 ml: is its setup right?" in finding.message
    assert run_stands_apart(product_rows("abbaab", lambda _: None), LABELS) == ()


def test_runs_of_several_dates_are_not_judged():
    def apart_and_shifted(sections):
        sections[SAGS[0], 3:] += 6.0
        sections[5:, 1] += 6 * margins()[5 : len(CONTINUOUS), None]

    rows = product_rows("abbaab", apart_and_shifted)
    assert level_shifts(rows)
    assert run_stands_apart(rows, LABELS)
    other = [
        replace(row, runs=tuple(replace(run, run=replace(run.run, day=1 + (run.run.order > 3))) for run in row.runs))
        for row in rows
    ]
    assert level_shifts(other) == run_stands_apart(other, LABELS) == ()


def test_a_flat_tyre_in_words():
    def flat(sections):
        sections[:, 4] += 6 * margins()[: len(CONTINUOUS), None]

    (finding,) = run_stands_apart(product_rows("abbaab", flat), LABELS)
    assert finding.message.startswith("run_5 (20 ml) lies apart")
    assert "measures more" in finding.message
    assert "was a tyre flat" in finding.message


def test_a_remounted_sensor_in_words():
    def remounted(sections):
        sections[SAGS[1], 3:] += 2.5

    (finding,) = level_shifts(product_rows("abbaab", remounted))
    assert (finding.severity, finding.code) == ("warning", "level_shift")
    assert finding.message.startswith("the rear's sag of every setup steps by +2.")
    assert "between run_3 and run_4" in finding.message
