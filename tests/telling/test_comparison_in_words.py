"""What people read: sentences and the top of a page."""

from dataclasses import replace

import pytest

from telemetry import comparison
from telemetry.model.comparison import SetupDifference, TravelView
from telemetry.model.day import SmallestChange
from telemetry.telling.results import next_step, sure_in_words, values_in_words, with_sentences
from telemetry.telling.riders_words import lines_to_the_rider
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
    (found,) = results(row("abbaab", CLEAR, measure="hit_depth_10_per_min"))
    for part in (
        "Front",
        "ten-a-minute hit depth",
        "30.1 to 36.1 %",
        "(48 to 58 mm)",
        "+6.0 points",
        "between +5.8 and +6.2",
    ):
        assert part in found.sentence
    assert found.sentence.endswith("Changed.")


def test_log_rows_are_told_in_percent_with_a_real_minus():
    (found,) = results(row("abbaab", [1000, 800, 820, 1020, 1010, 810], measure="rebound_speed_10_per_min", end="rear"))
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
        row("abbaab", CLEAR, measure="hit_depth_10_per_min"),
        row("abbaab", SAME, measure="hit_depth_10_per_min", end="rear"),
    )
    assert (
        found.headline
        == "Lower-leg oil, front: 20 → 8 ml each: front takes its ten deepest hits a minute deeper, rear as it was"
    )


@pytest.mark.parametrize(
    ("rear", "told"),
    [((), ", rear not measured"), ((SAME,), ", rear as it was where measured"), ((SAME, WIDE), "")],
)
def test_headline_doesnt_call_an_end_unmeasured_that_tells_by_other_measures(rear, told):
    rows = [row("abbaab", CLEAR, measure="moved_rebound_speed_10_per_min")]
    rows += [row("abbaab", [None] * 6, measure="moved_rebound_speed_10_per_min", end="rear")]
    names = ("travel_p95", "dynamic_sag")
    rows += [row("abbaab", values, measure=name, end="rear") for values, name in zip(rear, names, strict=False)]
    found = summed_up(*rows)
    of_the_front = "front makes its ten fastest returns a minute faster (by acceleration)"
    assert found.headline.split(": ")[-1].removeprefix(of_the_front) == told


@pytest.mark.parametrize("options", [{"differences": (OIL, OIL)}, {"differences": ()}])
def test_headline_claims_no_cause_where_several_things_differ(options):
    headline = summed_up(row("abbaab", CLEAR, measure="hit_depth_10_per_min"), **options).headline
    assert headline == "8 ml against 20 ml: front takes its ten deepest hits a minute deeper"


def test_headline_says_when_nothing_is_decided_or_nothing_matters():
    assert summed_up(row("abbaab", WIDE)).headline.endswith(": nothing decided yet")
    assert summed_up(row("abbaab", SAME)).headline.endswith(": nothing changed that matters")
    assert summed_up(row("ab", [30, 36], noise=0.5)).headline.endswith(": nothing decided yet")


def test_headline_names_the_setups_where_something_else_could_explain_it():
    headline = summed_up(row("abbaab", CLEAR), warned=True).headline
    assert headline == "8 ml against 20 ml: front sits deeper while riding"


def test_lines_stand_focus_first_then_changed_then_the_rest_at_most_five():
    names = ("travel_p95", "hit_depth_10_per_min")
    clear = [row("abbaab", CLEAR, measure=name, end=end) for name in names for end in ("front", "rear")]
    focus = row("abbaab", WIDE, measure="packing", focus=True)
    found = summed_up(*clear, row("abbaab", SAME), row("abbaab", SAME, end="rear"), focus)
    assert len(found.lines) == 5
    assert [line.sign for line in found.lines] == ["?", "▲", "▲", "▲", "="]
    assert "packing" in found.lines[0].finding
    assert found.lines[-1].finding.startswith("Both ends ride at the same height: front 30.0 % (48 mm) both times;")
    few = summed_up(row("abbaab", SAME), row("abbaab", CLEAR, measure="travel_p95"), row("abbaab", WIDE, end="rear"))
    assert [line.sign for line in few.lines] == ["▲", "=", "?"]


def test_what_is_nearest_to_be_decided_comes_last_the_nearest_first():
    far = row("abbaab", [26, 31, 36, 31, 27, 34], measure="travel_p95")
    near = row("abbaab", [29.5, 31, 31.8, 30.9, 30, 31.0], measure="hit_depth_10_per_min")
    found = summed_up(row("abbaab", CLEAR), far, near)
    assert [line.finding.split(":")[0] for line in found.lines[1:]] == [
        "Front, ten-a-minute hit depth",
        "Front, deeper one second in twenty",
    ]


def test_barred_rows_and_what_never_happened_take_no_line():
    never = row("abbaab", [0.0] * 6, measure="bottom_outs_per_min")
    still = row("abbaab", [30, 31, 31, 30, 30, 31], measure="travel_p95")
    found = summed_up(row("abbaab", CLEAR), never, still)
    assert [line.sign for line in found.lines] == ["▲"]


def test_one_run_of_each_still_says_what_these_two_runs_show():
    found = summed_up(row("ab", [30, 36], noise=0.5), row("ab", [0.0, 0.0], measure="bottom_outs_per_min"))
    (line,) = found.lines
    assert "holds only for this pair of runs" in line.detail


RETURNS = {"measure": "rebound_speed_10_per_min"}
FASTER = [1000, 1300, 1310, 1010, 1020, 1320]


@pytest.mark.parametrize(
    ("ratio", "told"),
    [([0.8, 1.04, 1.05, 0.81, 0.8, 1.05], False), ([1.05, 0.8, 0.81, 1.04, 1.05, 0.8], True)],
    ids=["as the front does", "against what the front does"],
)
def test_front_against_rear_takes_no_line_where_it_only_follows_one_end(ratio, told):
    rows = (row("abbaab", FASTER, **RETURNS), row("abbaab", ratio, measure="rebound_speed_ratio", end="both"))
    found = summed_up(*rows, row("abbaab", [900, 902, 899, 901, 900, 900], end="rear", **RETURNS))
    assert any("against rear" in line.finding for line in found.lines) == told
    assert ("against rear" in found.headline) == told


def in_mm(full_a, full_b, shares, **more):
    """Return a row in mm and its share of an end whose full travel differs between setups."""
    share = replace(row("abbaab", shares, **more), full_travel_mm={"a": full_a, "b": full_b})
    travel = [(full_a if setup == "a" else full_b) * value / 100 for setup, value in zip("abbaab", shares, strict=True)]
    mm = row("abbaab", travel, **more | {"measure": f"{share.spec.name}_mm"})
    change = SmallestChange(amount=0.02 * full_a, form="mm", entered="x")
    return replace(mm, smallest_change=change, full_travel_mm=share.full_travel_mm), share


def test_mm_and_their_share_take_one_line_where_they_say_the_same():
    found = summed_up(*in_mm(160.0, 180.0, CLEAR, end="rear"), row("abbaab", SAME))
    assert [line.finding.split(":")[0] for line in found.lines] == [
        "Rear sits deeper while riding",
        "Front rides at the same height",
    ]
    assert found.headline.endswith(": rear sits deeper while riding, front as it was")
    assert found.lines[0].finding.endswith(": 48.2 to 65.0 mm (30.1 to 36.1 %)")


def test_a_share_that_stayed_beside_mm_that_did_not_says_what_it_is():
    """158 against 200 mm of fork at the same share of it isn't the same height."""
    found = summed_up(*in_mm(158.0, 200.0, SAME), row("abbaab", SAME, end="rear"))
    assert [line.finding.split(":")[0] for line in found.lines] == [
        "Front sits deeper while riding, in mm",
        "Front rides at the same height, as a share of its travel",
        "Rear rides at the same height",
    ]


def test_millimetres_are_read_before_shares_however_much_more_those_changed():
    found = summed_up(*in_mm(160.0, 200.0, [40.0, 34.5, 34.6, 40.1, 40.1, 34.4]))
    assert [line.finding.split(":")[0] for line in found.lines] == [
        "Front sits deeper while riding, in mm",
        "Front rides higher, as a share of its travel",
    ]
    assert found.headline.endswith(": front sits deeper while riding, in mm")


def test_packing_wider_than_there_is_travel_is_not_printed():
    packed = row("abba", [2.0, 30.0, -80.0, 60.0], measure="packing")
    (told,) = results(replace(packed, full_travel_mm={"a": 160.0, "b": 160.0}))
    assert told.high - told.low > 160
    assert "too few runs for an interval that says anything" in told.sentence
    (told,) = results(replace(packed, full_travel_mm={"a": 160.0, "b": 9000.0}))
    assert "between" in told.sentence


def test_no_interval_is_told_as_certain():
    assert [sure_in_words(level) for level in (0.05, 0.015, 0.001, 0.0006, 0.00024)] == [
        "95 %", "98.5 %", "99.9 %", "99.94 %", "99.98 %"
    ]  # fmt: skip


def test_a_headline_without_any_verdict_says_why():
    withheld = comparison.Rules(withheld={"b": "rider_confounded: b and a were ridden by different riders"})
    found = comparison.verdicts([row("abbaab", CLEAR)], baseline="a", candidates=["b"], rules=withheld)
    told = summary(found.results, baseline_label="20 ml", candidate_label="8 ml", differences=[OIL], warned=True)
    assert told.headline == "8 ml against 20 ml: no verdict, b and a were ridden by different riders"


def test_the_end_that_has_no_value_is_not_called_undecided():
    found = summed_up(row("abbaab", CLEAR), row("abbaab", [None] * 6, end="rear"))
    assert found.headline.endswith(": front sits deeper while riding, rear not measured")


def test_values_without_a_difference_are_told_last():
    few = row("ab", [6.0, 0.0], measure="top_outs_per_min")
    found = summed_up(few, row("ab", [30, 36], noise=0.5))
    assert [line.finding.split(":")[0] for line in found.lines] == ["Front, dynamic sag", "Front, top-outs a minute"]


def test_so_far_is_the_headline_below_the_planned_runs():
    rows = with_sentences(
        comparison.verdicts(
            [row("abbaab", CLEAR)], baseline="a", candidates=["b"], rules=comparison.Rules(planned_runs=(4,))
        )
    ).results
    found = summary(rows, baseline_label="20 ml", candidate_label="8 ml", differences=[OIL])
    assert found.headline.endswith("8 ml each: so far: 1 of 4 planned runs of each still to ride")
    assert [line.sign for line in found.lines] == ["?"]


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


def told_to_the_rider(*rows):
    return [(line.sign, line.rows[0]) for line in lines_to_the_rider(results(*rows))]


def test_a_rider_is_told_what_was_asked_then_what_changed_then_what_stayed_of_height_depth_and_speeds():
    speeds = [1000, 1010, 990, 1000, 1000, 1000]
    told = told_to_the_rider(
        row("abbaab", speeds, measure="rebound_speed_10_per_min"),
        row("abbaab", speeds, measure="hits_per_min"),  # stayed, and nothing that a rider asks about
        row("abbaab", WIDE, measure="travel_p95", end="rear"),  # undecided, and nobody asked
        row("abbaab", SAME),
        row("abbaab", CLEAR, measure="hit_depth_10_per_min"),
        row("abbaab", WIDE, measure="hit_depth_10_per_min", end="rear", focus=True),
    )
    assert told == [
        ("?", ("hit_depth_10_per_min", "rear")),
        ("▲", ("hit_depth_10_per_min", "front")),
        ("=", ("dynamic_sag", "front")),
        ("=", ("rebound_speed_10_per_min", "front")),
    ]


def test_a_rider_is_told_what_is_undecided_where_there_is_nothing_else():
    assert told_to_the_rider(row("abbaab", WIDE, measure="travel_p95")) == [("?", ("travel_p95", "front"))]


def test_a_rider_is_not_told_which_part_of_the_spread_was_not_looked_at():
    rows = row("abbaab", CLEAR, measure="hit_depth_10_per_min", sections=4)
    (line,), (own,) = summed_up(rows).lines, lines_to_the_rider(results(rows))
    assert "trail sections not looked at" in line.detail
    assert own.detail.endswith(" %). Changed.")


def test_values_that_print_alike_stand_once():
    (result,) = results(row("abbaab", SAME))
    result = replace(result, baseline_value=27.71, candidate_value=27.69)
    alike = TravelView(baseline_mm=46.1, candidate_mm=46.2, baseline_stroke_pct=25.11, candidate_stroke_pct=25.09)
    assert values_in_words(replace(result, travel=None)) == "27.7 % both times"
    assert values_in_words(replace(result, travel=alike)) == "27.7 % (46 mm, 25.1 % of stroke) both times"
    longer = replace(alike, candidate_mm=47.4)
    assert values_in_words(replace(result, travel=longer)).startswith("27.7 % both times (46 to 47 mm, ")
    assert values_in_words(replace(result, candidate_value=27.8, travel=alike)).startswith("27.7 to 27.8 % (46 mm both")
