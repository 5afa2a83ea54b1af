"""The trail's figures draw the numbers they are given."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from dashboards.content.trail import Shown, axis_of, laid_over, trace_panels
from dashboards.figures.aligned_hits import aligned_hits
from dashboards.figures.trail_trace import Laid, as_points, course_axis, trail_trace
from dashboards.theme import setup_styles
from telemetry.measures import pyramid
from telemetry.model.curves import AlignedHits, FlownStretch, TrailEvent
from telemetry.pipeline import Along

STYLES = setup_styles(["a", "b"], {"a": "before", "b": "after"})
EVENT = TrailEvent(
    run="run_1",
    setup="a",
    end="front",
    kind="deep hit",
    at_s=12.5,
    place=10.0,
    section=2,
    depth_pct=81.0,
    depth_mm=129.6,
    entry_speed_mm_s=2345.0,
)


def hits(setup: str, level: float) -> AlignedHits:
    time_s = np.linspace(-0.3, 0.7, 11)
    mean = np.full(11, level)
    return AlignedHits(
        end="front", setup=setup, hits=12, time_s=time_s, mean_pct=mean, low_pct=mean - 5, high_pct=mean + 7
    )


def sources(plot: object, name: str) -> list[dict[str, np.ndarray]]:
    return [one.data_source.data for one in plot.renderers if one.data_source.name == name]  # type: ignore[attr-defined]


def test_average_hits_are_drawn_with_their_band() -> None:
    drawn = aligned_hits([hits("a", 60.0), hits("b", 70.0)], STYLES, "front")
    assert drawn is not None
    (first, *_) = sources(drawn.plot, "a")
    np.testing.assert_allclose(first["mean"], 60.0)
    np.testing.assert_allclose(first["least"], 55.0)
    np.testing.assert_allclose(first["most"], 67.0)
    assert drawn.numbers.rows[0][1:] == ("60.0 % (55.0 to 67.0)", "70.0 % (65.0 to 77.0)")
    assert "before 12 hits, after 12 hits" in drawn.alternative
    assert aligned_hits([hits("a", 60.0)], STYLES, "rear") is None


def test_the_trail_is_drawn_as_it_was_ridden_with_its_events() -> None:
    places, values = np.linspace(0, 20, 5), np.array([10.0, 20.0, 81.0, 5.0, 30.0])
    lines = {
        "run_1": Laid(setup="a", runs=1, columns=as_points(places, values)),
        "run_2": Laid(setup="b", runs=1, columns=as_points(places, values + 1)),
    }
    events = [(EVENT, "?event=x"), (replace(EVENT, kind="bottom-out", depth_pct=99.0, setup="b"), "?event=y")]
    flights = [FlownStretch(run="run_1", setup="a", start=3.0, end=4.0)]
    axis = course_axis(np.array([0.0, 8.0, 20.0]), "s", "run_1", (2.0, 12.0))
    found = trail_trace(lines, events, flights, STYLES, axis, "front")
    assert axis.part == (2.0, 12.0)
    np.testing.assert_allclose(found.lines["run_2"].data["y"], values + 1)
    assert found.drawn.numbers.rows == (
        ("front", "run_1", "2", "10.0 s", "12.50 s", "81.0 % (130 mm)", "2.3 m/s", "deep hit"),
        ("front", "run_1", "2", "10.0 s", "12.50 s", "99.0 % (130 mm)", "2.3 m/s", "bottomed"),
    )
    assert "2 runs" in found.drawn.alternative
    assert "1 bottom-out and the 1 deepest hit" in found.drawn.alternative
    marked = [one.data_source.data for one in found.drawn.plot.renderers if "link" in one.data_source.data]
    assert sorted(link for data in marked for link in data["link"]) == ["?event=x", "?event=y"]
    flown = [one.data_source.data for one in found.drawn.plot.renderers if "x0" in one.data_source.data]
    assert [list(data["x0"]) for data in flown] == [[3.0]]


def along_of(runs: int) -> tuple[Along, Shown]:
    """Return runs of two setups over 100 s, each 1 % deeper than the one before."""
    place = np.linspace(0.0, 100.0, 5001)
    traces = {(f"run_{n}", "front"): pyramid(place, 40 + n + 20 * np.sin(place)) for n in range(runs)}
    along = Along(
        borders=np.array([0.0, 100.0]),
        unit="s",
        measured_by="run_0",
        traces=traces,  # type: ignore[arg-type]
        events=(),
        flights=(),
        no_flight=(),
        aligned=(),
    )
    pictures = [SimpleNamespace(run=f"run_{n}", setup="ab"[n % 2]) for n in range(runs)]
    return along, Shown(pictures=pictures, styles=STYLES, most_points=900)  # type: ignore[arg-type]


def test_many_runs_are_a_band_a_setup_that_holds_each() -> None:
    along, shown = along_of(8)
    found = trace_panels(along, shown, axis_of(along))["front"]
    assert list(found.lines) == ["a", "b"]
    assert "8 runs a band a setup" in found.drawn.alternative
    data = found.lines["b"].data
    assert np.nanmax(data["most"]) == pytest.approx(40 + 7 + 20, abs=0.01)
    assert np.nanmin(data["least"]) == pytest.approx(40 + 1 - 20, abs=0.01)
    np.testing.assert_allclose(data["mean"], 44 + 20 * np.sin(data["x"]), atol=0.3)
    near = laid_over(along, shown, (10.0, 10.5), "front")["a"].columns
    assert not np.isnan(near["mean"]).any()
    assert near["x"].size == pytest.approx(12, abs=1)  # of 25 values
    few, shown = along_of(6)
    assert list(trace_panels(few, shown, axis_of(few))["front"].lines) == [f"run_{n}" for n in range(0, 6, 2)] + [
        f"run_{n}" for n in range(1, 6, 2)
    ]


def test_points_travel_as_small_numbers() -> None:
    columns = as_points(np.array([1.0, 2.0]), np.array([3.0, np.nan]))
    assert {column.dtype for column in columns.values()} == {np.dtype(np.float32)}
    assert columns["x"] == pytest.approx([1.0, 2.0])
