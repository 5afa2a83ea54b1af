"""Two hundred simulated days: no row contradicts itself or the sentence printed of it."""

import numpy as np
import pytest

from telemetry import comparison
from telemetry.telling.results import with_sentences
from tests.comparison.agreement import TOLD, contradictions
from tests.comparison.made_days import COUNTED, ROWS, Scenario, made_days, rows_of, run_sd

ORDERS = ("ab", "aba", "abba", "aabb", "abbaab", "abbbbb", "aaaabbbb", "abccbaabc", "aaabbb", "abbabaab")
PLANNED = ((), (3,), (3, 6), (2,))
DAYS = 20


def made_results(order, seed, days=DAYS):
    rng = np.random.default_rng(seed)
    spread = np.r_[run_sd(), np.full(len(COUNTED), 0.3)]
    effects = rng.choice([0.0, 1.0, 3.0], size=(days, ROWS, 1)) * spread[:, None]
    made = made_days(
        Scenario(name=order, drift=0.5 * (seed % 4), events=(0.2, 30.0)), order, days, rng, effects=effects
    )
    for number in range(days):
        rules = comparison.Rules(planned_runs=PLANNED[number % len(PLANNED)])
        candidates = sorted(set(order) - {"a"})
        yield with_sentences(
            comparison.verdicts(rows_of(made, number), baseline="a", candidates=candidates, rules=rules)
        ).results


@pytest.mark.parametrize(("seed", "order"), list(enumerate(ORDERS)))
def test_no_row_contradicts_itself_or_its_sentence(seed, order):
    rows = [result.to_dict() for results in made_results(order, seed) for result in results]
    assert [found for row in rows for found in contradictions(row)] == []
    assert sum(TOLD.search(row["sentence"]) is not None for row in rows) > 0.6 * len(rows)


@pytest.mark.parametrize(
    "wrong",
    [
        {"difference": 9.0},
        {"candidate_value": 20.0},
        {"low": 7.9},
        {"level": 0.2},
        {"verdict": "undecided", "reason": "", "more_runs": None},
        {"verdict": "unchanged"},
        {"sentence": "Front, dynamic sag: 30.0 to 31.0 %, −1.0 points, between −2.0 and +4.0 (95 %). Changed."},
        {"sentence": "Front, dynamic sag: 30.0 to 31.0 %, +1.0 points, between +2.0 and +4.0 (95 %). Changed."},
        {"sentence": "Front, dynamic sag: 30.0 to 31.0 %, +1.0 points, between −92.0 and +94.0 (95 %). Changed."},
        {"sentence": "Front, dynamic sag: 30.0 to 31.0 %, +1.0 points, between −2.0 and +4.0. Changed."},
    ],
)
def test_a_row_that_contradicts_itself_is_found(wrong):
    row = {
        "candidate": "b",
        "measure": "dynamic_sag",
        "end": "front",
        "unit": "%",
        "scale": "raw",
        "baseline_value": 30.0,
        "candidate_value": 38.0,
        "difference": 8.0,
        "low": 6.0,
        "high": 10.0,
        "inner_low": 6.5,
        "inner_high": 9.5,
        "smallest_change_low": -2.0,
        "smallest_change_high": 2.0,
        "percent": None,
        "n_baseline": 2,
        "n_candidate": 2,
        "p": 0.001,
        "level": 0.05,
        "verdict": "changed",
        "reason": "",
        "more_runs": None,
        "more_runs_upper": None,
        "sentence": "Front, dynamic sag: 30.0 to 38.0 % (50 to 61 mm), +8.0 points, between +6.0 and +10.0 "
        "(95 %). Changed.",
    }
    assert list(contradictions(row)) == []
    assert list(contradictions(row | wrong)) != []
