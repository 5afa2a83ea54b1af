"""Figures of what the parts do, on numbers written down by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import numpy as np
import pytest
from bokeh.models.annotations import Label

from dashboards.content.parts import part_panels, part_styles
from dashboards.figures.drawn import Drawn
from dashboards.figures.mechanism import mechanism
from dashboards.figures.parts import SpringsTold, _apart, force_along, leverage_curves
from dashboards.theme import setup_styles
from telemetry.model.arrays import Floats
from telemetry.model.bench import Bench, EndBench, SetupBench
from telemetry.model.bench_damper import DamperForces
from telemetry.model.bench_figures import Ranged
from telemetry.model.bench_leverage import Band, Leverage, Mechanism
from telemetry.model.bench_springs import Forces, Springs
from telemetry.sheet import table
from tests.bench.bench_days import benched
from tests.dashboards.test_figures import sources

NUMBERS = table(["", "a"], [])
FRONT = SpringsTold(end="front", numbers=NUMBERS, apart={})
STYLES = setup_styles(["a", "b"], {"a": "as it came", "b": "other link"})


def lever(first: float, last: float, band: float | None = None) -> Leverage:
    stroke, ratio = np.linspace(0, 60, 7), np.linspace(first, last, 7)
    travel = first * stroke + (last - first) * stroke**2 / 120
    return Leverage(
        stroke_mm=stroke,
        travel_mm=travel,
        ratio=ratio,
        axle_x_mm=None,
        came_from="leverage.csv",
        known_to="",
        sag_mm=45.0,
        sag_from="rear taken as 30 %",
        ratio_band=None if band is None else Band(low=ratio - band, high=ratio + band),
    )


def arm(axle_y: float) -> Mechanism:
    places = {
        pose: MappingProxyType(
            {"main": (0.0, 0.0), "axle": (-400.0, axle_y + up), "eye": (-100.0, 100.0), "top": (90.0, 200.0)}
        )
        for pose, up in (("topped_out", 0.0), ("sag", 45.0), ("full_travel", 150.0))
    }
    return Mechanism(
        bodies=MappingProxyType({"swingarm": ("main", "axle", "eye")}),
        shock=("top", "eye"),
        axle="axle",
        fixed=("main", "top"),
        places_mm=MappingProxyType(places),
    )


def springs(end: str, most: float) -> Springs:
    travel = np.linspace(0, 170, 101)
    force = most * np.linspace(0, 1, 101)
    parts = {
        "positive_air": 0.9 * force,
        "lower_legs": 0.4 * force,
        "negative_air": -0.3 * force,
        "bumper": 0.0 * force,
    }
    forces = Forces(exponent=1.3, settled_mm=None, parts=MappingProxyType(parts), total_n=force, energy_j=1.0)
    return Springs(
        end=end,
        travel_mm=travel,
        shares=(30, 60),
        slow=forces,
        fast=forces,
        rate_sag_n_mm=None,
        warmer_n=None,
        higher_n=None,
    )


def test_leverage_is_drawn_with_its_band_and_the_mark_of_sag() -> None:
    drawn = leverage_curves({"a": lever(3.0, 2.4), "b": lever(3.2, 2.4, band=0.1)}, STYLES, NUMBERS)
    held = [source.data for source in sources(drawn.plot)]
    (band,) = [data for data in held if "y1" in data]
    assert np.asarray(band["y2"]) - np.asarray(band["y1"]) == pytest.approx(np.full(7, 0.2))
    marks = [data for data in held if len(data.get("x", ())) == 1]
    assert [mark["x"][0] for mark in marks] == pytest.approx(
        [lever(3.0, 2.4).sag_stroke_mm, lever(3.2, 2.4).sag_stroke_mm]
    )
    assert "as it came 162 mm of travel, 20 % progression; other link 168 mm" in drawn.alternative
    assert drawn.place == "rear"


def test_a_curve_that_setups_share_has_one_band() -> None:
    drawn = leverage_curves({"a": lever(3.0, 2.4, 0.1), "b": lever(3.0, 2.4, 0.1)}, STYLES, NUMBERS)
    assert len([source for source in sources(drawn.plot) if "y1" in source.data]) == 1


def test_the_mechanism_is_drawn_in_three_positions_of_each_setup_that_differs() -> None:
    one = mechanism({"a": arm(0.0)}, STYLES)
    both = mechanism({"a": arm(0.0), "b": arm(10.0)}, STYLES)
    alike = mechanism({"a": arm(0.0), "b": arm(0.0)}, STYLES)
    counts = [len([source for source in sources(own.plot) if "xs" in source.data]) for own in (one, both, alike)]
    assert counts == [3, 6, 3]
    assert "150.0 mm up" in one.alternative
    assert [row[0] for row in one.numbers.rows] == ["topped out", "sag", "full travel"]
    assert one.plot.match_aspect  # a mechanism is drawn to scale


def test_force_along_travel_lays_the_parts_upon_each_other_and_tells_the_difference() -> None:
    drawn = force_along({"a": springs("front", 2000.0), "b": springs("front", 1900.0)}, STYLES, FRONT)
    words = {layout.text.text for layout in drawn.plot.center if hasattr(layout, "text")}
    assert {"main air", "lower legs", "negative air", "−90 N at 90 %"} <= words
    assert "bumper" not in words  # it never pushes
    areas = [source.data for source in sources(drawn.plot) if "y1" in source.data]
    tops = [float(np.asarray(data["y2"])[-1]) for data in areas]
    assert tops == pytest.approx([1800.0, 2600.0, -600.0])  # two that push, one that pulls


def test_of_three_setups_the_difference_is_that_of_the_one_it_names() -> None:
    held = {"a": springs("front", 2000.0), "b": springs("front", 2020.0), "c": springs("front", 1800.0)}
    styles = setup_styles([*held], {"a": "as it came", "b": "link", "c": "less oil in both of the legs"})
    drawn = force_along(held, styles, FRONT)
    words = {layout.text.text for layout in drawn.plot.center if hasattr(layout, "text")}
    assert "less oil in bot…: −180 N at 90 %" in words
    (label,) = [own for own in drawn.plot.center if hasattr(own, "text") and own.text.text.startswith("less oil")]
    assert label.text_align == "right"
    assert label.x > 0.95 * drawn.plot.x_range.end  # else a narrow page cuts its beginning


def measured(speed_mm_s: Floats | None, force_n: Floats | None) -> DamperForces:
    return DamperForces(speed_mm_s=speed_mm_s, force_n=force_n, measured_at="", slopes={}, oil=None, adjusters=())


def test_a_damper_that_nobody_measured_isnt_drawn() -> None:
    bare, known = measured(None, None), measured(np.array([-1000.0, 0.0, 1000.0]), np.array([-600.0, 0.0, 3004.0]))
    first, other = bench_with(None).setups
    first, other = (
        replace(own, front=EndBench(end="front", damper=damper)) for own, damper in ((first, known), (other, bare))
    )
    bench = replace(bench_with(None), setups=(first, other))
    (drawn,) = part_panels(bench, STYLES).dampers
    assert drawn.alternative == "Front, damper at 1.0 m/s compression: as it came 3000 N."  # three digits
    assert part_panels(replace(bench, setups=(other,)), STYLES).dampers == ()


class _Day:
    title = "parts"


def bench_with(front: Springs | None) -> Bench:
    return Bench(
        day=_Day(),  # type: ignore[arg-type]
        setups=tuple(
            SetupBench(
                name=name,
                label=label,
                front=EndBench(end="front", springs=front),
                rear=EndBench(end="rear", leverage=lever(3.0, 2.4), springs=springs("rear", 2500.0)),
            )
            for name, label in (("a", "as it came"), ("b", "other link"))
        ),
    )


def test_what_moves_the_shock_stands_first_then_like_beside_like_the_rear_left() -> None:
    both = part_panels(bench_with(springs("front", 2000.0)), STYLES)
    assert [[panel.place for panel in row] for row in (both.link, both.springs, both.dampers)] == [
        ["rear"],
        ["rear", "front"],
        [],
    ]
    rear = part_panels(bench_with(None), STYLES)
    assert [len(row) for row in (rear.link, rear.springs, rear.dampers)] == [1, 1, 0]


def test_words_of_what_comes_in_late_stand_beside_the_figure_and_apart() -> None:
    panel = force_along({"a": springs("front", 2000.0)}, STYLES, FRONT)
    labels = {label.text.text: label for label in panel.plot.select({"type": Label})}
    assert 100 < labels["lower legs"].x < panel.plot.x_range.end
    assert labels["negative air"].y < 0 < labels["main air"].y
    assert _apart([(100.0, "b"), (95.0, "a"), (300.0, "c")], 50.0) == [(95.0, "a"), (145.0, "b"), (300.0, "c")]


def test_setups_that_were_ridden_keep_their_colours() -> None:
    shown = setup_styles(["b"], {"b": "other link"})
    styles = part_styles(bench_with(None), shown)
    assert (styles["b"].token, styles["a"].token) == ("setup-1", "setup-2")


def labelled(panel: Drawn) -> list[str]:
    return [label.text.text for label in panel.plot.select({"type": Label})]


def test_a_difference_on_the_figure_has_its_range_and_no_more_digits_than_are_known() -> None:
    told = replace(FRONT, apart={("b", 90): Ranged(value=-87.0, low=-390.0, high=-40.0)})
    words = labelled(force_along({"a": springs("front", 2000.0), "b": springs("front", 1903.0)}, STYLES, told))
    assert "−90 N at 90 %" in words
    assert "−390 to −40 N" in words


def test_whose_parts_are_pale_is_said_where_there_are_several() -> None:
    both = force_along({"a": springs("front", 2000.0), "b": springs("front", 1900.0)}, STYLES, FRONT)
    alone = force_along({"a": springs("front", 2000.0)}, STYLES, FRONT)
    assert both.title.endswith("pale: the parts of as it came")
    assert "pale" not in alone.title


def test_what_setups_differ_in_stands_first_and_what_is_alike_says_so() -> None:
    bench = bench_with(springs("front", 2000.0))
    alike = part_panels(bench, STYLES)
    assert list(alike.named) == ["link", "springs", "dampers"]
    assert all(panel.title.endswith("; alike in both") for panel in alike.every)
    softer = replace(bench.setups[1], front=EndBench(end="front", springs=springs("front", 1900.0)))
    differing = part_panels(replace(bench, setups=(bench.setups[0], softer)), STYLES)
    assert list(differing.named) == ["springs", "link", "dampers"]
    assert [panel.title.endswith("; alike in both") for panel in differing.springs] == [True, False]


def test_alike_is_said_of_setups_that_all_have_it_over_the_same_way() -> None:
    """A longer shock under one constant ratio, forces measured at other speeds, springs that one alone states."""
    bench = bench_with(springs("front", 2000.0))
    other = bench.setups[1]
    far = replace(lever(2.5, 2.5), stroke_mm=np.linspace(0, 65, 7), travel_mm=2.5 * np.linspace(0, 65, 7))
    first = replace(bench.setups[0], rear=EndBench(end="rear", leverage=lever(2.5, 2.5)))
    longer = part_panels(
        replace(bench, setups=(first, replace(other, rear=EndBench(end="rear", leverage=far)))), STYLES
    )
    assert [panel.title.endswith("; alike in both") for panel in longer.link] == [False]
    alone = part_panels(replace(bench, setups=(bench.setups[0], replace(other, front=EndBench(end="front")))), STYLES)
    assert [panel.title.endswith("; alike in both") for panel in alone.springs if panel.place == "front"] == [False]
    assert "springs" in alone.differing
    ends = [
        EndBench(end="front", damper=measured(np.array([-reach, 0.0, reach]), np.array([-600.0, 0.0, 3004.0])))
        for reach in (1000.0, 500.0)
    ]
    setups = tuple(replace(own, front=end) for own, end in zip(bench.setups, ends, strict=True))
    apart = part_panels(replace(bench, setups=setups), STYLES)
    assert [panel.title.endswith("; alike in both") for panel in apart.dampers] == [False]


def test_one_constant_ratio_is_no_figure() -> None:
    def with_ratio(*ratios: float) -> Bench:
        bench = bench_with(None)
        ends = [EndBench(end="rear", leverage=lever(ratio, ratio)) for ratio in ratios]
        return replace(bench, setups=tuple(replace(own, rear=end) for own, end in zip(bench.setups, ends, strict=True)))

    assert part_panels(with_ratio(2.5, 2.5), STYLES).link == ()
    assert len(part_panels(with_ratio(2.5, 2.7), STYLES).link) == 1


def test_numbers_beside_a_figure_have_the_ranges_of_the_bench(tmp_path: Path) -> None:
    bench = benched(tmp_path)
    styles = setup_styles(["a", "b"], {"a": "20 ml", "b": "8 ml"})
    rear, front = part_panels(bench, styles).springs
    (row,) = [row for row in bench.rows if row.at == ("rear", "springs", "force at 60 % of travel", "N")]
    known = row.values["a"]
    half = (known.high - known.low) / 2
    assert rear.numbers.rows[1] == ("force at 60 % of travel, N", *2 * (f"{known.value:.0f} ± {half:.0f}",))
    apart = bench.apart(("front", "springs", "force at 90 % of travel, fast", "N"), "b")
    assert apart is not None
    assert f"{apart.low:.0f} to {apart.high:.0f} N".replace("-", "−") in labelled(front)


def test_positions_of_the_mechanism_are_named_apart_with_room_for_the_words() -> None:
    """A short travel on a small drawing: topped out and sag lie closer than a line of words is high."""
    panel = mechanism({"a": arm(0.0)}, STYLES)
    places = arm(0.0).places_mm
    xs = [x for at in places.values() for x, _ in at.values()]
    length = max(xs) - min(xs)
    close = replace(
        arm(0.0),
        places_mm=MappingProxyType({**places, "sag": MappingProxyType({**places["sag"], "axle": (-400.0, 3.0)})}),
    )
    heights = sorted(label.y for label in mechanism({"a": close}, STYLES).plot.select({"type": Label}))
    assert min(np.diff(heights)) >= 0.05 * length - 1e-9
    unseen = [source.data["x"][0] for source in sources(panel.plot) if len(source.data.get("x", ())) == 1]
    assert min(unseen) <= min(xs) - 0.3 * length  # a phone's 320 px: 80 for "topped out"
    assert panel.plot.sizing_mode == "scale_width"
