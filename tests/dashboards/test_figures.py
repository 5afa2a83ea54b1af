"""Figures on their own numbers: what a source holds is what the telemetry says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from bokeh.core.validation.check import ValidationIssues, check_integrity
from bokeh.models import ColumnDataSource
from bokeh.models.glyph import Glyph

import telemetry
from dashboards.content.panels import compared_panels
from dashboards.figures.bands import band_of
from dashboards.figures.detectable import LABEL_GAP, detectable, label_heights, telling_rows, times_smallest
from dashboards.figures.ends_together import front_against_rear
from dashboards.figures.lap_trace import close_up, whole_run
from dashboards.figures.runs_in_order import OrderedValue, runs_in_order, shared_span
from dashboards.figures.stroke_speeds import strokes_faster, time_at_speed
from dashboards.figures.travel_use import FLOOR_PCT, time_at_depth, time_deeper
from dashboards.figures.verdicts import carrying_rows, mark_of, verdict_figure
from dashboards.placing import standing_alone
from dashboards.theme import DARK, LIGHT, SetupStyle, setup_styles
from telemetry.comparison import verdicts
from telemetry.errors import CallError
from telemetry.model.catalogue import SPECS
from telemetry.model.curves import RunPicture, SpeedPairs, StrokeRates
from telemetry.pipeline import Known, plan_of, report_parts
from tests.comparison import days
from tests.pipeline.small_days import make_day

LABELS = {"a": "as it came", "b": "softer"}


@pytest.fixture(scope="module")
def parts(tmp_path_factory: pytest.TempPathFactory) -> tuple[telemetry.Analysis, telemetry.Comparison]:
    folder = make_day(tmp_path_factory.mktemp("day"), ("a", "b", "b", "a"), deeper_mm={"b": 9.0}, labels=LABELS)
    analysis, comparison, _ = report_parts(telemetry.read_ride_day(folder))
    assert comparison is not None
    return analysis, comparison


@pytest.fixture(scope="module")
def pictures(parts: tuple[telemetry.Analysis, telemetry.Comparison]) -> list[RunPicture]:
    return [run.picture for run in parts[0].runs if run.picture is not None]


@pytest.fixture(scope="module")
def styles() -> dict[str, SetupStyle]:
    return setup_styles(["a", "b"], LABELS)


def sources(plot: object) -> Iterator[ColumnDataSource]:
    seen = set()
    for renderer in plot.renderers:  # type: ignore[attr-defined]
        if renderer.data_source.id not in seen:
            seen.add(renderer.data_source.id)
            yield renderer.data_source


def test_the_library_finds_nothing_wrong_with_what_is_drawn_and_each_thing_is_drawn_by_one_glyph(
    parts: tuple[telemetry.Analysis, telemetry.Comparison], styles: dict[str, SetupStyle]
) -> None:
    panels = compared_panels(*parts, styles).every
    script, _ = standing_alone(panels)
    for panel in panels:
        assert check_integrity(panel.plot.references()) == ValidationIssues(error=[], warning=[])
        glyphs = {item.id for item in panel.plot.references() if isinstance(item, Glyph)}
        assert len(glyphs) == len(panel.plot.renderers)
        assert all(glyph in script for glyph in glyphs)


def test_a_band_spans_the_runs_and_its_line_is_their_mean() -> None:
    band = band_of(np.arange(3.0), [np.array([1.0, 2.0, 0.0]), np.array([3.0, 2.0, 0.0])], floor=0.1)
    assert band.least.tolist()[:2] == [1.0, 2.0]
    assert band.most.tolist()[:2] == [3.0, 2.0]
    assert band.mean.tolist()[:2] == [2.0, 2.0]
    assert np.isnan(band.mean[2])


@pytest.mark.parametrize("end", ["front", "rear"])
def test_time_deeper_is_the_runs_mean_share(
    pictures: list[RunPicture], styles: dict[str, SetupStyle], end: str
) -> None:
    drawn = time_deeper(pictures, styles, end)  # type: ignore[arg-type]
    for source in sources(drawn.plot):
        runs = [picture.ends[end] for picture in pictures if picture.setup == source.name]  # type: ignore[index]
        mean = np.mean([run.deeper_pct for run in runs], axis=0)
        shown = mean >= FLOOR_PCT
        assert source.data["mean"][shown] == pytest.approx(mean[shown], rel=1e-5)
        assert np.isnan(source.data["mean"][~shown]).all()
        assert (np.diff(mean) <= 0).all()
    assert drawn.place == end
    assert drawn.numbers.columns == ("deeper than", "as it came", "softer")


def test_the_histogram_shares_all_time(pictures: list[RunPicture], styles: dict[str, SetupStyle]) -> None:
    drawn = time_at_depth(pictures, styles, "front")
    for source in sources(drawn.plot):
        assert source.data["y"][:-1].sum() == pytest.approx(100.0)
    for place in (1, 2):
        shares = [float(row[place].removesuffix(" %")) for row in drawn.numbers.rows]
        assert sum(shares) == pytest.approx(100, abs=0.6)


def test_strokes_faster_are_drawn_as_they_were_counted(styles: dict[str, SetupStyle]) -> None:
    speeds = np.array([0.0, 1.0, 2.0])
    hits, returns = np.array([[150.0, 24.0, 3.0], [130.0, 20.0, 1.0]]), np.array([[140.0, 6.0, 0.0], [160.0, 2.0, 0.0]])
    rates = {"b": StrokeRates(speed_m_s=speeds, hits_per_min=hits, returns_per_min=returns)}
    drawn = strokes_faster(rates, styles, "front")
    right, left = sources(drawn.plot)
    assert right.data["x"].tolist() == [0.0, 1.0, 2.0]
    assert right.data["mean"].tolist() == [140.0, 22.0, 2.0]
    assert (right.data["least"].tolist(), right.data["most"].tolist()) == ([130.0, 20.0, 1.0], [150.0, 24.0, 3.0])
    assert left.data["x"].tolist() == [0.0, -1.0, -2.0]
    assert left.data["mean"][:2].tolist() == [150.0, 4.0]
    assert np.isnan(left.data["mean"][2])  # none so fast: a log axis has no zero
    assert (drawn.plot.x_range.start, drawn.plot.x_range.end) == (-2.0, 2.0)
    cells = dict(drawn.numbers.rows)
    assert cells["hits faster than 0.5 m/s"] == "81.0 a minute"  # halfway from 140 to 22
    assert cells["hits faster than 1 m/s"] == "22.0 a minute"
    assert cells["returns faster than 1 m/s"] == "4.0 a minute"
    assert cells["hits faster than 3 m/s"] == "0.0 a minute"
    assert drawn.alternative.endswith("hits faster than 1 m/s: softer 22.0 a minute.")


@pytest.mark.parametrize(
    ("limit_m_s", "step"), [(1.0, 0.5), (2.0, 0.5), (2.5, 1.0), (20.0, 1.0), (20.5, 10.0), (5e5, 1e5)]
)
def test_the_axis_of_speeds_has_few_ticks_however_fast_one_stroke_reads(
    styles: dict[str, SetupStyle], limit_m_s: float, step: float
) -> None:
    """An absurd reading made a tick a metre a second: half a million of them."""
    one = np.array([[3.0, 1.0]])
    rates = {"a": StrokeRates(speed_m_s=np.array([0.0, limit_m_s]), hits_per_min=one, returns_per_min=one)}
    places = strokes_faster(rates, styles, "rear").plot.xaxis[0].ticker.ticks
    assert np.diff(places) == pytest.approx(np.full(len(places) - 1, step))
    assert len(places) <= 41


def test_time_at_speed_is_drawn_on_the_stretched_scale(
    pictures: list[RunPicture], styles: dict[str, SetupStyle]
) -> None:
    source = next(sources(time_at_speed(pictures, styles, "rear").plot))
    steps = np.diff(source.data["x"])
    assert steps == pytest.approx(np.full(steps.shape, steps[0]))
    assert source.data["y"][:-1].sum() == pytest.approx(100.0)


def test_front_against_rear_draws_hits_right_and_returns_left(styles: dict[str, SetupStyle]) -> None:
    share = np.array([0.1, 0.5, 0.9, 0.95])
    hits = SpeedPairs(kind="hits", share=share, front_m_s=np.array([0.1, 0.4, 1.5, 2.0]), rear_m_s=2 * share)
    returns = SpeedPairs(kind="returns", share=share, front_m_s=share, rear_m_s=2 * share)
    pairs, parting = front_against_rear({"a": [hits, returns]}, styles)
    right, left = sources(pairs.plot)
    assert (right.data["x"].tolist(), right.data["y"].tolist()) == ([0.2, 1.0, 1.8, 1.9], [0.1, 0.4, 1.5, 2.0])
    assert (left.data["x"].tolist(), left.data["y"].tolist()) == ([-0.2, -1.0, -1.8, -1.9], [-0.1, -0.5, -0.9, -0.95])
    assert next(sources(parting.plot)).data["y"] == pytest.approx([0.5, 0.4, 1.5 / 1.8, 2 / 1.9])
    assert pairs.plot.x_range.end == pytest.approx(1.08 * 2.0)
    assert pairs.numbers.rows[1] == ("as it came, hits", "slowest 50 % stay under", "0.40 m/s", "1.00 m/s", "0.40")


def test_runs_in_order_share_one_scale_length(styles: dict[str, SetupStyle]) -> None:
    values = [OrderedValue(order=n, run=f"r{n}", setup="ab"[n % 2], value=20.0 + n) for n in range(1, 5)]
    small = [OrderedValue(order=n, run=f"r{n}", setup="ab"[n % 2], value=30.0 + n / 10) for n in range(1, 5)]
    span = shared_span([values, small])
    plots = [runs_in_order(v, styles, "dynamic_sag", "front", span).plot for v in (values, small)]
    lengths = [plot.y_range.end - plot.y_range.start for plot in plots]
    assert lengths[0] == pytest.approx(lengths[1])
    assert plots[0].y_range.start < 21
    assert plots[0].y_range.end > 24


def test_a_close_up_holds_both_ends_and_its_deepest_point_at_zero(
    pictures: list[RunPicture], styles: dict[str, SetupStyle]
) -> None:
    hit = max(pictures[0].deep_hits, key=lambda item: item.depth_pct)
    assert hit.trace_pct[hit.end].max() == pytest.approx(hit.depth_pct)
    assert hit.trace_s[int(np.argmax(hit.trace_pct[hit.end]))] == pytest.approx(hit.at_s)
    assert len(list(sources(close_up(hit, styles["a"]).plot))) == 2


def test_the_overview_loses_no_peak(pictures: list[RunPicture], styles: dict[str, SetupStyle]) -> None:
    picture = pictures[0]
    deepest = max(hit.depth_pct for hit in picture.deep_hits if hit.end == "front")
    source = next(sources(whole_run(picture, styles["a"], "front").plot))
    assert source.data["y"].max() == pytest.approx(deepest)


class TestDetectable:
    """What so many runs see, in times the smallest change that matters; ink and dashes only."""

    def test_lines_hold_what_the_plan_says(self, parts: tuple[telemetry.Analysis, telemetry.Comparison]) -> None:
        rows = plan_of(parts[0].day, Known(own=parts[0])).sees
        drawn = detectable(rows, "front")
        assert drawn is not None
        lines = [s.data for s in sources(drawn.plot) if len(s.data["x"]) > 2]
        for row in telling_rows(rows, "front"):
            runs, times = times_smallest(row)
            assert times[0] == pytest.approx((row.detectable[0].on_scale or 0) / row.margin)
            assert any(list(line["x"]) == runs and list(line["y"]) == times for line in lines)
        assert [cells[0] for cells in drawn.numbers.rows] == [row.spec.label for row in telling_rows(rows, "front")]

    def test_it_is_drawn_where_something_is_undecided(
        self, parts: tuple[telemetry.Analysis, telemetry.Comparison], styles: dict[str, SetupStyle]
    ) -> None:
        assert any(result.verdict == "undecided" for result in parts[1].verdicts.results)
        places = [panel.place for panel in compared_panels(*parts, styles).detectable]
        assert places == ["rear", "front"]

    def test_only_the_focus_where_one_is_named(self, parts: tuple[telemetry.Analysis, telemetry.Comparison]) -> None:
        rows = plan_of(parts[0].day, Known(own=parts[0])).sees
        named = tuple(replace(row, focus=row.spec.name == "packing" and row.end == "rear") for row in rows)
        assert [row.spec.name for row in telling_rows(named, "rear")] == ["packing"]
        assert detectable(named, "front") is None

    def test_labels_do_not_touch(self) -> None:
        heights = label_heights([[1.0, 0.9], [0.95, 0.88], [0.9, 0.87]])
        gaps = -np.diff(np.log(heights))
        assert (gaps >= LABEL_GAP - 1e-9).all()
        assert heights[0] > 1.0
        assert label_heights([[0.01, 0.01]])[0] > 0.05


class TestVerdictFigure:
    """The decision rule, drawn: marks stand where d/D says, the band is one smallest change either way."""

    def test_marks_stand_where_the_numbers_say(self, parts: tuple[telemetry.Analysis, telemetry.Comparison]) -> None:
        results = parts[1].verdicts.results
        figure = verdict_figure(results).scales[0]
        for result in results:
            mark = mark_of(result, figure.reach)
            if mark is None or result.axis is None:
                continue
            assert mark.at == pytest.approx(50 + 50 * np.clip(result.axis.difference / figure.reach, -1, 1))
            if result.verdict == "unchanged":
                assert mark.shape == "block"
                assert mark.thick is not None
                assert figure.band[0] < mark.thick[0] <= mark.thick[1] < figure.band[1]
            if result.verdict == "changed":
                assert mark.shape == "disc"
                assert mark.thin is not None
                assert mark.thin[0] > 50 or mark.thin[1] < 50

    def test_the_band_is_one_smallest_change_either_way(
        self, parts: tuple[telemetry.Analysis, telemetry.Comparison]
    ) -> None:
        figure = verdict_figure(parts[1].verdicts.results).scales[0]
        assert figure.band == (pytest.approx(50 - 50 / figure.reach), pytest.approx(50 + 50 / figure.reach))
        assert {word: at for at, word in figure.ticks}["same"] == 50

    def test_rows_without_a_verdict_are_left_to_the_sentences(
        self, parts: tuple[telemetry.Analysis, telemetry.Comparison]
    ) -> None:
        labels = {row.label for scale in verdict_figure(parts[1].verdicts.results).scales for row in scale.ends}
        assert "Bottom-outs a minute" not in labels
        assert "Dynamic sag" in labels


def test_an_end_without_a_value_stays_empty_and_why_is_said_once() -> None:
    told = [days.row("abba", [20, 26, 26, 20], measure=name) for name in ("dynamic_sag", "travel_p95")]
    empty = [days.row("abba", [None] * 4, end="rear", measure=name) for name in ("dynamic_sag", "travel_p95")]
    figure = verdict_figure(verdicts([*told, *empty], baseline="a", candidates=["b"]).results)
    assert [set(item.cells) for scale in figure.scales for item in scale.ends] == [{"front"}, {"front"}]
    assert len(figure.empty) == 1


def test_what_lies_beyond_the_usual_scale_is_drawn_to_a_marked_one_of_its_own() -> None:
    rows = [
        days.row("abbaab", [30, 30 + by, 30.2 + by, 30.2, 30.1, 30.1 + by], measure=name)
        for name, by in (("dynamic_sag", 3.0), ("travel_p95", 24.0), ("hit_depth_10_per_min", 11.0))
    ]
    results = verdicts(rows, baseline="a", candidates=["b"]).results
    usual, wide = verdict_figure(results).scales
    assert usual.title == ""
    assert wide.title.endswith("ends at 15")
    assert [row.label for row in usual.ends] == ["Dynamic sag"]
    for scale in (usual, wide):
        assert scale.band == (pytest.approx(50 - 50 / scale.reach), pytest.approx(50 + 50 / scale.reach))
    found = {SPECS[result.measure].label: result for result in results}
    for row in wide.ends:
        mark, axis = row.cells["front"].mark, found[row.label].axis
        assert mark is not None
        assert axis is not None
        assert mark.at == pytest.approx(50 + 50 * axis.difference / wide.reach)
        assert not mark.more_left
        assert not mark.more_right
    carried = carrying_rows(results)
    assert [row.scale.reach for row in carried] == [usual.reach, wide.reach, wide.reach]
    assert carried[0].label == "Front, dynamic sag"


def test_more_than_four_setups_are_refused_with_a_choice() -> None:
    names = list("abcde")
    with pytest.raises(CallError, match=r"5 setups .* at most 4 in one figure"):
        setup_styles(names, dict.fromkeys(names, ""))


def contrast(first: str, second: str) -> float:
    """Return the contrast ratio of two colours [WCAG 2.2, relative luminance, from memory]."""

    def luminance(colour: str) -> float:
        parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("theme", [LIGHT, DARK])
def test_text_and_marks_stand_out_from_paper(theme: dict[str, str]) -> None:
    assert contrast(theme["ink"], theme["paper"]) >= 7
    assert contrast(theme["soft"], theme["paper"]) >= 4.5
    for token in ("setup-1", "setup-2", "setup-3", "setup-4"):
        assert contrast(theme[token], theme["paper"]) >= 3


def test_every_colour_has_a_twin_in_the_dark_and_none_stands_for_two() -> None:
    assert set(LIGHT) == set(DARK)
    assert len({colour.lower() for colour in LIGHT.values()}) == len(LIGHT)
    assert len({colour.lower() for colour in DARK.values()}) == len(DARK)
    assert not {c.lower() for c in LIGHT.values()} & {c.lower() for c in DARK.values()}


def test_millimetres_are_drawn_before_their_share_though_one_end_has_none() -> None:
    comparison = telemetry.compare(telemetry.read_ride_day("sample_runs/longer_link"))
    labels = [row.label for scale in verdict_figure(comparison.verdicts.results).scales for row in scale.ends]
    in_mm = [place for place, label in enumerate(labels) if label.endswith(" in mm")]
    assert len(in_mm) >= 3
    assert [labels[place + 1] for place in in_mm] == [labels[place].removesuffix(" in mm") for place in in_mm]
