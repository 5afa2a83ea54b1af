"""What speaks against a comparison, and what that does to its verdicts."""

from telemetry import comparison
from telemetry.model.comparison import UsedRun
from tests.comparison.days import row
from tests.comparison.test_comparison_words import OIL

USED = tuple(UsedRun(run=f"run_{k}", setup=setup, order=k) for k, setup in enumerate("abba", 1))


def codes(findings):
    return [(item.severity, item.code) for item in findings]


def test_a_day_with_nothing_against_it_says_what_is_not_judged():
    found, withheld = comparison.fairness({"b": (OIL,)}, USED, "a", {})
    assert codes(found) == [("note", "not_all_judged")]
    assert withheld == {}


def test_setups_alike_on_paper_get_numbers_and_no_verdict():
    found, withheld = comparison.fairness({"b": ()}, USED, "a", {})
    assert codes(found)[0] == ("error", "same_setup")
    verdicts = comparison.verdicts([row("abbaab", [30, 36, 36.2, 30.2, 30.1, 36.1])], baseline="a", candidates=["b"])
    (result,) = comparison.without_verdicts(verdicts, withheld).results
    assert result.verdict is None
    assert result.difference == verdicts.results[0].difference
    assert "No verdict: same_setup: b and a are the same on paper." in result.sentence
    assert comparison.without_verdicts(verdicts, {}) == verdicts


def test_one_run_of_each_and_a_run_that_is_left_out_are_told():
    found, _ = comparison.fairness({"b": (OIL,)}, USED[:2], "a", {"run_3": "fell", "run_4": "not_riding"})
    assert codes(found) == [
        ("warning", "one_run_each"),
        ("warning", "run_not_usable"),
        ("warning", "run_not_usable"),
        ("note", "not_all_judged"),
    ]
    assert "run_3 takes no part (fell)" in found[1].message
    assert "run_4 takes no part (not_riding)" in found[2].message
