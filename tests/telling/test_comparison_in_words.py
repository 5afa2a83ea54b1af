"""What people read: sentences and the top of a page."""

import pytest

from telemetry import comparison
from telemetry.model.comparison import SetupDifference
from telemetry.telling.results import next_step, with_sentences
from telemetry.telling.summary import summary
from telemetry.words import MINUS
from tests.comparison.days import row

CLEAR = [30, 36, 36.2, 30.2, 30.1, 36.1]
SAME = [30, 30.1, 29.8, 30.2, 29.9, 30.0]
WIDE = [29, 31, 33, 31, 30, 32]
OIL = SetupDifference(
    candidate="b",
    end="front",
    key="lower_leg_oil_each_ml",
    baseline_value=20.0,
    candidate_value=8.0,
    words="lower-leg oil, front: 20 → 8 ml each",
)


def results(*rows):
    return with_sentences(comparison.verdicts(rows, baseline="a", candidates=["b"])).results


def summed_up(*rows, differences=(OIL,), **options):
    return summary(results(*rows), baseline_label="20 ml", candidate_label="8 ml", differences=differences, **options)


def test_a_sentence_has_finding_number_unit_interval_and_verdict():
    (found,) = results(row("abbaab", CLEAR, measure="hit_depth_p95"))
    for part in (
        "Front",
        "depth of big hits",
        "30.1 to 36.1 %",
        "(48 to 58 mm)",
        "+6.0 points",
        "between +5.8 and +6.2",
    ):
        assert part in found.sentence
    assert found.sentence.endswith("Changed.")


def test_log_rows_are_told_in_percent_with_a_real_minus():
    (found,) = results(row("abbaab", [1000, 800, 820, 1020, 1010, 810], measure="rebound_speed_p95", end="rear"))
    assert f"{MINUS}19.8 %, between {MINUS}21.8 and {MINUS}17.7" in found.sentence
    assert "1010 to 810 mm/s" in found.sentence


def test_undecided_says_what_next():
    three, two = results(row("abbaab", WIDE), row("abba", [29, 30, 31, 30.4], end="rear", noise=0.1))
    assert three.sentence.endswith(f"Undecided: about {three.more_runs} more runs of each.")
    assert f"{two.more_runs} to {two.more_runs_upper} more runs of each" in two.sentence


def test_why_stands_in_the_sentence():
    still, blocks, small = results(
        row("abba", [30, 31, 31, 30]),
        row("aabb", [30, 30.1, 40, 40.3], end="rear"),
        row("abbaab", [30, 30.5, 30.52, 30.02, 30.01, 30.51], measure="travel_p95"),
    )
    assert "does not vary at this resolution" in still.sentence
    assert "can't tell the change from the order ridden" in blocks.sentence
    assert "Unchanged: real but too small to matter." in small.sentence


def test_headline_names_the_one_change_and_both_ends():
    found = summed_up(
        row("abbaab", CLEAR, measure="hit_depth_p95"), row("abbaab", SAME, measure="hit_depth_p95", end="rear")
    )
    assert found.headline == "Lower-leg oil, front: 20 → 8 ml each: front goes deeper on big hits, rear as it was"


@pytest.mark.parametrize("options", [{"differences": (OIL, OIL)}, {"differences": ()}])
def test_headline_claims_no_cause_where_several_things_differ(options):
    headline = summed_up(row("abbaab", CLEAR, measure="hit_depth_p95"), **options).headline
    assert headline == "8 ml against 20 ml: front goes deeper on big hits"


def test_headline_says_when_nothing_is_decided_or_nothing_matters():
    assert summed_up(row("abbaab", WIDE)).headline.endswith(": nothing decided yet")
    assert summed_up(row("abbaab", SAME)).headline.endswith(": nothing changed that matters")
    assert summed_up(row("ab", [30, 36], noise=0.5)).headline.endswith(": nothing decided yet")


def test_lines_stand_focus_first_then_changed_then_the_rest_at_most_five():
    names = ("travel_p95", "hit_depth_p95")
    clear = [row("abbaab", CLEAR, measure=name, end=end) for name in names for end in ("front", "rear")]
    focus = row("abbaab", WIDE, measure="packing", focus=True)
    found = summed_up(*clear, row("abbaab", SAME), row("abbaab", SAME, end="rear"), focus)
    assert len(found.lines) == 5
    assert [line.sign for line in found.lines] == ["?", "▲", "▲", "▲", "="]
    assert "packing" in found.lines[0].finding
    assert found.lines[-1].finding.startswith("Both ends ride at the same height: front 30.0 to 30.0 %")
    few = summed_up(row("abbaab", SAME), row("abbaab", CLEAR, measure="travel_p95"), row("abbaab", WIDE, end="rear"))
    assert [line.sign for line in few.lines] == ["▲", "=", "?"]


def test_what_is_nearest_to_be_decided_keeps_a_line_however_much_changed():
    names = ("travel_p95", "hit_depth_p95", "dynamic_sag")
    clear = [row("abbaab", CLEAR, measure=name, end=end) for name in names for end in ("front", "rear")]
    found = summed_up(*clear, row("abbaab", WIDE, measure="packing"))
    assert [line.sign for line in found.lines] == ["▲", "▲", "▲", "▲", "?"]


def test_measures_of_both_ends_go_by_their_name_alone():
    (found,) = results(row("abbaab", SAME, measure="sag_difference", end="both"))
    assert found.sentence.startswith("Front sag minus rear: ")


def test_a_setup_that_lacks_the_measure_is_named():
    gone, none = results(
        row("abba", [30, None, None, 31]), row("abba", [None] * 4, measure="recovery_time", end="rear")
    )
    assert "30.5 % with the baseline, not measured with the candidate. Undecided: 3 hits, at least 5" in gone.sentence
    assert "Rear, recovery time: not measured. Undecided: 3 hits, at least 5" in none.sentence


def test_two_runs_of_each_are_told_as_a_band():
    (found,) = results(row("abba", [29, 31, 34, 30.5], noise=0.1))
    assert found.more_runs_upper is None
    assert next_step(found) == f"{found.more_runs} to over 30 more runs of each"


def test_signs_follow_the_direction():
    falls = row("abbaab", [36, 30, 30.2, 36.2, 36.1, 30.1])
    (line,) = summed_up(falls).lines
    assert line.sign == "▼"
    assert line.finding.startswith("Front rides higher")
