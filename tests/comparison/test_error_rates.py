"""How often the product's verdicts are wrong: 200 days a scenario against the limits, and worse products on fewer.

`tests/benchmarks/error_rates.py` has 1000 days, with four runs of each too.
"""

import math
from dataclasses import replace

import pytest
from scipy import special

from telemetry import comparison
from telemetry.comparison import judging, verdict
from telemetry.statistics import counting, difference
from telemetry.statistics.family import select
from tests.benchmarks import error_rates as benchmark
from tests.comparison.error_rates import EVERY, THIRD, rates

DAYS = 200


@pytest.mark.parametrize("scenario", EVERY)
def test_every_rate_of_error_keeps_its_limit(scenario):
    """Two binomial standard deviations are allowed for luck, more to the worst of several rows."""
    found = list(rates(DAYS, benchmark.SEED, scenarios=[scenario]))
    assert found
    assert not [rate for rate in found if not rate.holds_as_the_worst]


def sections_as_replicates(monkeypatch):
    """Judge by the sections alone, however the runs spread."""

    judged = difference.difference

    def by_sections(baseline, candidate, borrowed=None):
        found = judged(baseline, candidate, borrowed)
        floor = found.floor
        return found if floor is None else replace(found, s=floor.se / found.reach, nu=float(floor.nu))

    monkeypatch.setattr(judging, "difference", by_sections)


def without_phi(monkeypatch):
    """Take counts to spread by chance alone."""
    monkeypatch.setattr(counting, "overdispersion", lambda setups: (1.0, sum(len(s.events) - 1 for s in setups)))
    monkeypatch.setattr(
        counting.RateRatio, "half_width",
        lambda found, level: -float(special.ndtri(level / 2)) * math.sqrt(found.variance),
    )  # fmt: skip
    monkeypatch.setattr(
        counting.RateRatio, "p",
        property(lambda found: 2 * float(special.ndtr(-abs(found.d) / math.sqrt(found.variance)))),
    )  # fmt: skip


def without_drift(monkeypatch):
    """Fit no drift, whatever the order."""
    monkeypatch.setattr(difference, "fits_drift", lambda *_: False)


def one_family_for_all(monkeypatch):
    """Select among the rows of all candidates together."""
    judged = comparison.verdicts

    def together(rows, **more):
        calls = []

        def noted(p_values, q):
            calls.append((p_values, q))
            return select(p_values, q)

        monkeypatch.setattr(verdict, "select", noted)
        judged(rows, **more)
        chosen = iter(select([p for p_values, _ in calls for p in p_values], calls[0][1]))
        monkeypatch.setattr(verdict, "select", lambda p_values, _: tuple(next(chosen) for _ in p_values))
        return judged(rows, **more)

    monkeypatch.setattr(comparison, "verdicts", together)


@pytest.mark.parametrize(
    ("patched", "scenario", "days", "broken"),
    [
        (sections_as_replicates, "run-dominated", 20, "interval holds the truth, the worst measure"),
        (without_phi, "rare counts", 100, "counts: interval holds the truth, the worst"),
        (without_drift, "drifting", 20, "interval holds the truth, the worst measure"),
        (one_family_for_all, THIRD, 60, 'b is a, any "changed" of b'),
    ],
)
def test_a_product_with_a_worse_rule_breaks_a_limit(monkeypatch, patched, scenario, days, broken):
    """On days on which the product keeps them all."""
    assert all(rate.holds_as_the_worst for rate in rates(days, benchmark.SEED, scenarios=[scenario]))
    patched(monkeypatch)
    found = {rate.name: rate for rate in rates(days, benchmark.SEED, scenarios=[scenario])}
    assert not found[broken].holds_as_the_worst


def test_the_command_ends_with_1_where_a_limit_is_broken(monkeypatch, capsys):
    assert benchmark.main(["--days", "40", "--scenarios", THIRD]) == 0
    one_family_for_all(monkeypatch)
    assert benchmark.main(["--days", "40", "--scenarios", THIRD]) == 1
    assert " !\n" in capsys.readouterr().out
