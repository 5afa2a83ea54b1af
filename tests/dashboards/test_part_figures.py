"""Figures of what the parts do, on numbers written down by hand."""

from __future__ import annotations

from types import MappingProxyType

import numpy as np
import pytest
from bokeh.models.annotations import Label

from dashboards.content.parts import part_panels, part_styles
from dashboards.figures.mechanism import mechanism
from dashboards.figures.parts import _apart, force_against_speed, force_along, leverage_curves
from dashboards.theme import setup_styles
from telemetry.model.bench import Bench, EndBench, SetupBench
from telemetry.model.bench_damper import DamperForces
from telemetry.model.bench_leverage import Band, Leverage, Mechanism
from telemetry.model.bench_springs import Forces, Springs
from tests.dashboards.test_figures import sources

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
    drawn = leverage_curves({"a": lever(3.0, 2.4), "b": lever(3.2, 2.4, band=0.1)}, STYLES)
    held = [source.data for source in sources(drawn.plot)]
    (band,) = [data for data in held if "y1" in data]
    assert np.asarray(band["y2"]) - np.asarray(band["y1"]) == pytest.approx(np.full(7, 0.2))
    marks = [data for data in held if len(data.get("x", ())) == 1]
    assert [mark["x"][0] for mark in marks] == pytest.approx(
        [lever(3.0, 2.4).sag_stroke_mm, lever(3.2, 2.4).sag_stroke_mm]
    )
    rows = {row[0]: row[1:] for row in drawn.numbers.rows}
    assert rows["progression"] == ("20.0 %", "25.0 %")
    assert rows["wheel travel"] == ("162.0 mm", "168.0 mm")
    assert drawn.place == "rear"


def test_a_curve_that_setups_share_has_one_band() -> None:
    drawn = leverage_curves({"a": lever(3.0, 2.4, 0.1), "b": lever(3.0, 2.4, 0.1)}, STYLES)
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
    drawn = force_along({"a": springs("front", 2000.0), "b": springs("front", 1900.0)}, STYLES, "front")
    words = {layout.text.text for layout in drawn.plot.center if hasattr(layout, "text")}
    assert {"main air", "lower legs", "negative air", "−90 N at 90 %"} <= words
    assert "bumper" not in words  # it never pushes
    areas = [source.data for source in sources(drawn.plot) if "y1" in source.data]
    tops = [float(np.asarray(data["y2"])[-1]) for data in areas]
    assert tops == pytest.approx([1800.0, 2600.0, -600.0])  # two that push, one that pulls
    assert drawn.numbers.rows[-1] == ("100 % of travel", "2000 N", "1900 N")


def test_of_three_setups_the_difference_is_that_of_the_one_it_names() -> None:
    held = {"a": springs("front", 2000.0), "b": springs("front", 2020.0), "c": springs("front", 1800.0)}
    styles = setup_styles([*held], {"a": "as it came", "b": "link", "c": "less oil in both of the legs"})
    drawn = force_along(held, styles, "front")
    words = {layout.text.text for layout in drawn.plot.center if hasattr(layout, "text")}
    assert "less oil in bot…: −180 N at 90 %" in words


def test_a_damper_that_nobody_measured_isnt_drawn() -> None:
    bare = DamperForces(speed_mm_s=None, force_n=None, measured_at="", slopes={}, oil=None, adjusters=())
    assert force_against_speed({"a": bare}, STYLES, "front") is None
    speed = np.array([-1000.0, 0.0, 1000.0])
    known = DamperForces(
        speed_mm_s=speed, force_n=np.array([-600.0, 0.0, 300.0]), measured_at="", slopes={}, oil=None, adjusters=()
    )
    drawn = force_against_speed({"a": known, "b": bare}, STYLES, "front")
    assert drawn.numbers.columns == ("shaft speed", "as it came")
    assert drawn.numbers.rows[0] == ("−1 m/s", "−600 N")


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
    panel = force_along({"a": springs("front", 2000.0)}, STYLES, "front")
    labels = {label.text.text: label for label in panel.plot.select({"type": Label})}
    assert 100 < labels["lower legs"].x < panel.plot.x_range.end
    assert labels["negative air"].y < 0 < labels["main air"].y
    assert _apart([(100.0, "b"), (95.0, "a"), (300.0, "c")], 50.0) == [(95.0, "a"), (145.0, "b"), (300.0, "c")]


def test_setups_that_were_ridden_keep_their_colours() -> None:
    shown = setup_styles(["b"], {"b": "other link"})
    styles = part_styles(bench_with(None), shown)
    assert (styles["b"].token, styles["a"].token) == ("setup-1", "setup-2")
