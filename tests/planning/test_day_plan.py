"""What a plan is made from and sized by: sources of spread, levels, focus, and what can't be planned."""

import math
import re
from dataclasses import replace
from pathlib import Path

import pytest
from scipy import stats

from telemetry.model.catalogue import FAMILY_ROWS
from telemetry.model.day import SmallestChange
from telemetry.model.plan import RunsOf, Work
from telemetry.planning.basis import DEFAULT_SPREADS, basis_of
from telemetry.planning.day_plan import day_order, day_size
from telemetry.planning.rows import JudgedBy
from telemetry.statistics.earlier_days import Borrowed
from tests.planning.made_rows import RUNS, WIDER, plan_row, see
from tests.statistics.by_the_library import detectable, fewest_runs, upper

PLANNING = Path(__file__).parents[2] / "docs" / "planning.md"


class TestSources:
    """Stated, else this day's own runs, else another day's; which one is said."""

    def test_stated_comes_first_and_has_no_band(self):
        row = see(plan_row(stated=0.9, ridden=(RUNS, WIDER))).sees[0]
        assert (row.spread_from, row.spread_words, row.spread_where) == ("stated", "0.90 points", "stated")
        assert row.runs_each == row.runs_each_upper

    def test_own_runs_come_before_another_day(self):
        row = see(plan_row(ridden=(RUNS, WIDER))).sees[0]
        assert (row.spread_from, row.spread_where) == ("own runs", "4 runs of this day")
        assert row.spread_words == "0.71 points"

    def test_runs_needed_and_their_upper_figure_are_the_librarys(self):
        """Two of each that differ by 1: s = sqrt(1/2) on 2 degrees of freedom."""
        found = see(plan_row(ridden=(RUNS,))).sees[0]
        assert found.runs_each == fewest_runs(math.sqrt(0.5), 2.0, 0.05)
        assert found.runs_each_upper == fewest_runs(upper(math.sqrt(0.5), 2), 2.0, 0.05)

    def test_another_day_where_own_runs_are_too_few(self):
        one_each = RunsOf(source="own runs", setups=("a", "b"), orders=(1, 2), values=(30.0, 31.0), minutes=(4.0, 4.0))
        row = see(plan_row(ridden=(one_each, WIDER))).sees[0]
        assert (row.spread_from, row.spread_where) == ("another day", "4 runs of another day")

    def test_before_any_is_known_defaults_stand_in_and_are_marked(self):
        found = see(*(plan_row(name) for name in (*DEFAULT_SPREADS, "deep_hits_per_min")))
        assert {row.spread_from for row in found.sees} == {"default"}
        assert len(found.sees) == len(DEFAULT_SPREADS)
        assert found.sees[0].spread_where == "default, own choice"
        assert found.sees[0].runs_each == found.sees[0].runs_each_upper
        assert "rate" in found.absent[0].reason

    def test_every_measure_that_is_no_rare_event_has_a_default(self):
        assert set(DEFAULT_SPREADS) == {spec.name for spec, _ in FAMILY_ROWS if spec.scale != "count"}

    def test_the_handbook_prints_the_defaults_in_force(self):
        """Its table: names to one number for all or one for each; shares stand as %."""
        printed = {}
        for names, numbers in re.findall(
            r"^\| (`.*`) \| (\d.*) \|$", PLANNING.read_text(encoding="utf-8"), re.MULTILINE
        ):
            measures, values = re.findall(r"`(\w+)`", names), re.findall(r"[\d.]+", numbers)
            scale = 100 if "%" in numbers else 1
            each = values if len(values) > 1 else values * len(measures)
            printed |= {name: float(value) / scale for name, value in zip(measures, each, strict=True)}
        assert printed == DEFAULT_SPREADS

    def test_where_one_is_known_the_others_are_absent_with_the_reason_never_zero(self):
        found = see(plan_row(stated=0.5), plan_row("travel_p95"), plan_row("packing"))
        assert [row.spec.name for row in found.sees] == ["dynamic_sag"]
        assert all("no spread" in row.reason for row in found.absent)

    def test_a_speed_without_a_level_is_planned_on_its_own_scale(self):
        row = see(plan_row("rebound_speed_10_per_min")).sees[0]
        assert row.smallest_change is None
        assert row.detectable[1].difference is None
        assert row.detectable[1].on_scale == pytest.approx(detectable(3, 0.04, 0.05))

    def test_earlier_days_lend_spread_and_degrees_of_freedom(self):
        lent = Borrowed(variance=0.49, nu=14.0, days=4)
        row = see(plan_row(lent=lent, ridden=(WIDER,))).sees[0]
        assert (row.spread_from, row.spread_words) == ("earlier days", "0.70 points")
        assert row.spread_where == "4 earlier days"
        assert row.runs_each == fewest_runs(0.7, 2.0, 0.05, 14.0) < fewest_runs(0.7, 2.0, 0.05)
        assert row.runs_each_upper == fewest_runs(upper(0.7, 14), 2.0, 0.05, 14.0)

    def test_own_runs_and_earlier_days_are_taken_together_where_alike(self):
        """Two of each that differ by 1: s^2 = 1/2 on 2; with 0.64 on 14 that is 0.6225 on 16."""
        lent = Borrowed(variance=0.64, nu=14.0, days=4)
        alike = basis_of(plan_row(lent=lent, ridden=(RUNS,)))
        assert alike.spread.s == pytest.approx(math.sqrt((2 * 0.5 + 14 * 0.64) / 16))
        assert (alike.spread.nu, alike.spread.lent_nu) == (16, 14)
        assert alike.where == "4 runs of this day and 4 earlier days"
        wild = basis_of(plan_row(lent=replace(lent, variance=0.01), ridden=(RUNS,)))
        assert wild.spread.s == pytest.approx(math.sqrt(0.5))
        assert (wild.spread.nu, wild.spread.lent_nu) == (2, 0)

    @pytest.mark.parametrize(("times", "alike"), [(0.99, True), (1.01, False)])
    def test_alike_is_what_one_day_in_a_hundred_exceeds(self, times, alike):
        """Variances, by F: 1/2 on 2 degrees of freedom against what earlier days lend on 14."""
        lent = Borrowed(variance=0.5 / (times * stats.f.ppf(0.99, 2, 14)), nu=14.0, days=4)
        assert (basis_of(plan_row(lent=lent, ridden=(RUNS,))).spread.lent_nu == 14) is alike

    def test_a_stated_spread_stays_and_earlier_days_lend_freedom_to_it(self):
        found = basis_of(plan_row(stated=0.9, lent=Borrowed(variance=0.64, nu=14.0, days=4)))
        assert (found.spread.s, found.spread.lent_nu, found.source) == (0.9, 14.0, "stated")

    def test_why_the_runs_lack_it_is_told(self):
        lacking = RunsOf(source="own runs", reason="fewer than 5 hits past 50 %")
        assert see(plan_row("recovery_time", ridden=(lacking,))).absent[0].reason == "fewer than 5 hits past 50 %"

    def test_runs_that_do_not_differ_have_no_spread(self):
        still = replace(RUNS, values=(30.0,) * 4)
        assert see(plan_row(ridden=(still,))).absent[0].reason == "does not vary at this resolution"

    def test_a_stated_speed_needs_its_level(self):
        assert "level" in see(plan_row("compression_speed_10_per_min", stated=60.0)).absent[0].reason
        known = RunsOf(source="own runs", setups=("a",), orders=(1,), values=(1500.0,), minutes=(4.0,))
        row = see(plan_row("compression_speed_10_per_min", stated=60.0, ridden=(known,))).sees[0]
        assert row.smallest_change == pytest.approx(150.0)
        assert row.spread_words == "4.0 %"

    def test_the_level_is_the_baselines(self):
        speeds = replace(RUNS, values=(1000.0, 1400.0, 1500.0, 1210.0))
        row = see(plan_row("rebound_speed_10_per_min", ridden=(speeds,))).sees[0]
        assert row.smallest_change == pytest.approx(0.1 * 1100.0)
        turned = see(plan_row("rebound_speed_10_per_min", ridden=(speeds,), baseline="b")).sees[0]
        assert turned.smallest_change == pytest.approx(0.1 * math.sqrt(1400 * 1500))

    def test_a_smallest_change_in_the_measures_unit(self):
        change = SmallestChange(amount=55.0, form="unit", entered="55 mm/s")
        speeds = replace(RUNS, values=(1000.0, 1400.0, 1500.0, 1210.0))
        row = see(plan_row("rebound_speed_10_per_min", ridden=(speeds,), smallest_change=change)).sees[0]
        assert row.smallest_change == pytest.approx(55.0)
        assert row.margin == pytest.approx(math.log(1.05))


class TestCounts:
    """Rare events are planned from rate, minutes and overdispersion."""

    def test_overdispersion_from_own_runs(self):
        rates = replace(RUNS, values=(2.0, 3.0, 6.0, 4.0))
        row = see(plan_row("deep_hits_per_min", ridden=(rates,))).sees[0]
        assert row.spread_from == "own runs"
        phi = ((8 - 12) ** 2 / 12 + (16 - 12) ** 2 / 12 + (12 - 18) ** 2 / 18 + (24 - 18) ** 2 / 18) / 2  # by hand
        assert f"{phi:.1f}" == "3.3"
        assert row.spread_words == "3.0 a minute for 4.0 min, 3.3 x chance"
        assert row.smallest_change == pytest.approx(1.5)
        many = see(plan_row("deep_hits_per_min", ridden=(replace(RUNS, values=(20.0, 30.0, 32.0, 22.0)),))).sees[0]
        assert many.runs_each < many.runs_each_upper

    def test_two_runs_are_enough_to_tell_overdispersion_and_one_is_pure_chance(self):
        """8 and 16 about 12: twice 16/12 over one degree of freedom."""
        two = RunsOf(source="own runs", setups=("a", "a"), orders=(1, 2), values=(2.0, 4.0), minutes=(4.0, 4.0))
        found = basis_of(plan_row("deep_hits_per_min", ridden=(two,)))
        assert (found.spread.phi, found.spread.nu, found.where) == (pytest.approx(32 / 12), 1, "2 runs of this day")
        one = RunsOf(source="own runs", setups=("a",), orders=(1,), values=(2.0,), minutes=(4.0,))
        assert basis_of(plan_row("deep_hits_per_min", ridden=(one,))).spread.phi == 1.0

    @pytest.mark.parametrize(("stated", "phi"), [(2.0, 16 / 3), (1.2, 1.92), (0.5, 1.0)])
    def test_a_stated_spread_of_the_rate_is_a_variance_over_a_mean_and_never_below_chance(self, stated, phi):
        """Rate 3 a minute over 4 minutes: counts of mean 12 and variance (4 x stated)^2."""
        rates = replace(RUNS, values=(3.0, 6.0, 6.0, 3.0))
        found = basis_of(plan_row("deep_hits_per_min", ridden=(rates,), stated=stated))
        assert found.spread.phi == pytest.approx(phi)
        assert (found.spread.rate_per_min, found.spread.minutes, found.spread.nu) == (3.0, 4.0, None)
        assert (found.source, found.where) == ("stated", "stated")

    def test_counts_that_vary_less_than_chance_are_planned_with_chance(self):
        rates = replace(RUNS, values=(3.0, 6.0, 6.0, 3.0))
        found = basis_of(plan_row("deep_hits_per_min", ridden=(rates,)))
        assert (found.spread.phi, found.spread.nu, found.where) == (1.0, 2, "4 runs of this day")

    def test_rate_and_minutes_are_the_baselines_else_those_of_all_runs(self):
        mixed = replace(RUNS, values=(3.0, 6.0, 6.0, 1.0), minutes=(4.0, 5.0, 5.0, 8.0))
        own = basis_of(plan_row("deep_hits_per_min", ridden=(mixed,))).spread
        assert (own.rate_per_min, own.minutes) == pytest.approx((20 / 12, 6.0))
        other = basis_of(plan_row("deep_hits_per_min", ridden=(mixed,), baseline="c")).spread
        assert (other.rate_per_min, other.minutes) == pytest.approx((80 / 22, 22 / 4))
        later = basis_of(
            plan_row("deep_hits_per_min", ridden=(RunsOf(source="own runs"), replace(mixed, source="another day")))
        )
        assert (later.source, later.where) == ("another day", "4 runs of another day")

    def test_one_run_gives_the_rate_and_pure_chance_is_said(self):
        one = RunsOf(source="own runs", setups=("a",), orders=(1,), values=(12.0,), minutes=(5.0,))
        row = see(plan_row("deep_hits_per_min", ridden=(one,))).sees[0]
        assert (row.spread_where, row.runs_each) == ("too few runs: taken as pure chance", row.runs_each_upper)

    def test_the_stated_minutes_of_a_run_count(self):
        rates = replace(RUNS, values=(12.0, 13.0, 16.0, 14.0))
        short, long = (see(plan_row("deep_hits_per_min", ridden=(rates,), run_min=m)).sees[0] for m in (2, 8))
        assert short.runs_each > long.runs_each

    def test_what_never_happened_cannot_be_planned(self):
        assert (
            "never happened"
            in see(plan_row("bottom_outs_per_min", ridden=(replace(RUNS, values=(0.0,) * 4),))).absent[0].reason
        )

    def test_a_change_that_no_fall_shows_has_no_figure(self):
        rare = replace(RUNS, values=(0.25, 0.5, 0.25, 0.5))
        row = see(plan_row("bottom_outs_per_min", ridden=(rare,))).sees[0]
        assert [item.difference for item in row.detectable if item.runs_each == 2] == [None]
        assert (row.runs_each, row.runs_each_upper) == (None, None)


def test_levels_are_those_of_a_row_selected_alone_in_its_family():
    """By hand: the focus has 0.8 of q, the four others share 0.2 of it; a planned first look has 0.8 of all that."""
    rows = [plan_row(stated=0.9, focus=place == 0) for place in range(5)]

    def levels(**more):
        return [row.level for row in see(*rows, **more).sees]

    assert levels() == pytest.approx([0.04, *[0.0025] * 4])
    assert levels(planned_runs=(3, 6)) == pytest.approx([0.032, *[0.002] * 4])
    assert [row.level for row in see(*rows[1:]).sees] == pytest.approx([0.0125] * 4)
    in_mm_too = [replace(row, judged_as=2) for row in rows[:2]]
    assert [row.level for row in see(*in_mm_too, *rows[2:]).sees] == pytest.approx([0.02, *[0.002] * 4])


def test_a_planned_look_spends_its_share_of_the_one_sided_tests_too():
    """Where "unchanged" is what takes the runs: t[.96] + t[.90] in place of t[.95] + t[.90]."""

    def least(share):
        reach = {n: stats.t.isf(share, 2 * n - 2) + stats.t.isf(0.1, 2 * n - 2) for n in range(2, 30)}
        return next(n for n in reach if reach[n] * 1.5 * math.sqrt(2 / n) <= 2.0)

    basis = basis_of(plan_row(stated=1.5))
    found = [basis.runs(JudgedBy(level=0.5, inner_level=inner)) for inner in (0.10, 0.08)]
    assert found == [least(0.05), least(0.04)]
    assert found[1] > found[0]


def test_one_way_takes_four_of_each_and_more_and_rare_events_get_no_verdict():
    """The standard error is sqrt((4n^2 - 1)/(n^2 - 1)) times that of as many in rounds: 2.05 at four of each."""
    rows = (plan_row(stated=0.5), plan_row("deep_hits_per_min", ridden=(replace(RUNS, values=(9.0,) * 4),)))
    found = see(*rows, one_way=True)
    (sag,) = found.sees
    assert [sag.seen_by(each) for each in (2, 3)] == [None, None]
    assert sag.seen_by(4) == pytest.approx(math.sqrt(63 / 15) * detectable(4, 0.5, 0.025))
    times = {n: math.sqrt((4 * n**2 - 1) / (n**2 - 1)) for n in range(4, 30)}
    assert sag.runs_each == next(n for n in times if n >= fewest_runs(0.5 * times[n], 2.0, 0.025))
    assert "before the other's" in found.absent[0].reason


def test_what_it_would_take_as_the_only_focus_is_known():
    rows = [plan_row(stated=0.7, focus=place < 2) for place in range(6)]
    sees = see(*rows).sees
    assert {row.runs_alone for row in sees} == {fewest_runs(0.7, 2.0, 0.04)}
    assert sees[5].runs_each > sees[0].runs_each >= sees[0].runs_alone


def test_what_cannot_be_planned_still_counts_in_the_family():
    assert see(plan_row(stated=0.9), plan_row("packing")).sees[0].level == pytest.approx(0.025)


def test_detectable_is_in_the_measures_unit_for_two_to_ten_and_what_can_be_afforded():
    row = see(plan_row(stated=0.9), runs=(12,)).sees[0]
    assert [item.runs_each for item in row.detectable] == [*range(2, 11), 12]
    assert row.detectable[2].difference == pytest.approx(detectable(4, 0.9, 0.05))
    speeds = replace(RUNS, values=(1000.0, 1400.0, 1500.0, 1210.0))
    speed = see(plan_row("rebound_speed_10_per_min", ridden=(speeds,))).sees[0]
    item = speed.detectable[2]
    assert item.difference == pytest.approx(1100.0 * math.expm1(item.on_scale))


def test_what_is_detectable_and_the_runs_needed_agree():
    row = see(plan_row(stated=0.7)).sees[0]
    seen = {item.runs_each: item.difference for item in row.detectable}
    assert seen[row.runs_each] <= row.smallest_change


class TestSize:
    """The day is sized by the focus, else by what is stated, else by half of all."""

    def test_by_the_most_demanding_of_the_focus(self):
        rows = see(
            plan_row(stated=0.5, focus=True),
            plan_row("travel_p95", stated=1.2, focus=True),
            plan_row("packing", stated=0.9),
        ).sees
        needed = [row.runs_each for row in rows]
        assert day_size(rows, focus_named=True).runs_each == max(needed[:2]) < needed[2]

    def test_by_what_is_stated(self):
        rows = see(plan_row(stated=0.5, named=True), plan_row("travel_p95", ridden=(RUNS,))).sees
        assert day_size(rows, focus_named=False).runs_each == rows[0].runs_each < rows[1].runs_each

    def test_by_half_of_all(self):
        """Two runs that differ by so much have s = that / sqrt(2); four rows share q."""
        apart = (0.4, 0.8, 1.2, 1.6)
        rows = see(*(plan_row(ridden=(replace(RUNS, values=(30, 32, 32 + x, 30 + x)),)) for x in apart)).sees
        assert day_size(rows, focus_named=False).runs_each == fewest_runs(0.8 / math.sqrt(2), 2.0, 0.05 / 4)
        assert day_size(rows[:3], focus_named=False).runs_each == fewest_runs(0.8 / math.sqrt(2), 2.0, 0.05 / 4)

    def test_a_focus_without_a_spread_is_not_sized_by_others(self):
        rows = see(plan_row(stated=0.5)).sees
        found = day_size(rows, focus_named=True)
        assert (found.runs_each, found.runs_each_upper) == (None, None)


MINUTES = {"run_min": 4, "return_min": 12, "change_over_min": 25}


class TestOrder:
    """Rounds for the runs needed, as far as the longest day takes them."""

    def test_at_least_so_many_and_never_two(self):
        for needed in (2, 3, 5):
            order, limit = day_order(needed, ["a", "b"], Work(), one_way=False)
            assert (order.runs_each, limit) == (max(needed, 3), "")
            assert order.put_on_once == ()
        order, _ = day_order(3, ["a", "b"], Work(), one_way=True)
        assert (order.letters, order.put_on_once) == ("A A A A B B B B", ("A", "B"))

    @pytest.mark.parametrize(
        ("longest", "each", "limit"),
        [(2000, 6, ""), (389, 6, ""), (387, 5, "day"), (192, 3, "day"), (191, 2, "day"), (100, 2, "day")],
    )
    def test_the_longest_day_bounds_it(self, longest, each, limit):
        """6 of each: 12 x 16 + 7 x 25 + 21 = 388 min; 3: 192; 2: 135, which is returned where not even that fits."""
        work = Work(**MINUTES, day_min=longest)
        order, found = day_order(6, ["a", "b"], work, one_way=False)
        assert (order.runs_each, found) == (each, limit)
        assert work.fits(order) == (longest > 100)

    def test_without_minutes_no_day_is_too_long(self):
        assert day_order(9, ["a", "b"], Work(day_min=60), one_way=False)[1] == ""
