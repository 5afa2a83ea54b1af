"""Words in figures stand as they are: no name from a file becomes a formula."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from bokeh.model import Model

import telemetry
from dashboards.content.panels import compared_panels
from dashboards.content.trail import Shown, average_panels, axis_of, trace_panels
from dashboards.figures.drawn import Drawn
from dashboards.templating import in_two, tied, whole_ranges
from dashboards.theme import bare_figure, plain, setup_styles, ticks
from telemetry.pipeline import report_parts
from tests.pipeline.small_days import make_day

FORMULAS = ("$$x^2$$", r"\(x^2\)", r"\[x^2\]")


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> list[Drawn]:
    """Every panel of a report of runs and setups that are named like formulas."""
    labels = {"a": FORMULAS[0], "b": FORMULAS[1]}
    folder = make_day(tmp_path_factory.mktemp("day"), ("a", "b", "b", "a"), deeper_mm={"b": 9.0}, labels=labels)
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    for number in range(1, 5):
        text = text.replace(f'log = "run_{number}.csv"', f"log = \"run_{number}.csv\"\nname = '$$r_{number}$$'", 1)
    file.write_text(text, encoding="utf-8")
    analysis, comparison, along = report_parts(telemetry.read_ride_day(folder))
    assert along is not None
    styles = setup_styles(["a", "b"], labels)
    pictures = [run.picture for run in analysis.runs if run.picture is not None]
    shown = Shown(pictures=pictures, styles=styles, most_points=400)
    traces = trace_panels(along, shown, axis_of(along))
    panels = compared_panels(analysis, comparison, styles)
    lap = compared_panels(analysis, None, styles)
    return [*panels.every, *lap.every, *(trace.drawn for trace in traces.values()), *average_panels(along, styles)]


def words_of(model: Model) -> Iterator[tuple[str, Any]]:
    """Yield every value of a model in which the drawing library looks for formulas."""
    for name, value in model.properties_with_values(include_defaults=True).items():
        if "TextLike" in str(model.lookup(name).property):
            parts = value.values() if isinstance(value, dict) else value if isinstance(value, list) else [value]
            yield from ((f"{type(model).__name__}.{name}", part) for part in parts if part not in (None, ""))


def test_no_words_are_looked_through_for_formulas(drawn: list[Drawn]) -> None:
    found = [item for panel in drawn for model in panel.plot.references() for item in words_of(model)]
    assert len(drawn) > 10
    assert len(found) > 2 * len(drawn)
    assert [where for where, words in found if isinstance(words, str)] == []


def test_the_place_a_run_is_named_at_says_it_as_it_is(drawn: list[Drawn]) -> None:
    labels = {panel.plot.xaxis[0].axis_label.text for panel in drawn}
    assert any(label.endswith(", as in $$r_1$$") for label in labels)


@pytest.mark.parametrize("formula", FORMULAS)
def test_plain_words(formula: str) -> None:
    assert plain(formula).text == formula
    assert plain("a\u202eb\x1b" + "x" * 1000).text == ("a b " + "x" * 1000)[:119] + "…"
    plot = bare_figure(100)
    ticks(plot.xaxis[0], (1.0,), {1.0: formula})
    assert plot.xaxis[0].major_label_overrides[1.0].text == formula


@pytest.mark.parametrize(
    "words", ["−1 °", "+3 °/s", "82 psi", "14 °C", "590 N", "2.4 Hz", "34 mm²/s", "550 lb/in", "1.5 turns", "9,800 J"]
)
def test_no_line_ends_between_a_figure_and_its_unit(words: str) -> None:
    assert tied(f"it is {words} more") == f"it is {words.replace(' ', chr(0xA0))} more"


def test_a_range_in_brackets_and_a_step_stay_on_one_line() -> None:
    assert whole_ranges("air, front: 5.00 → 5.25 bar") == "air, front: 5.00\u00a0→\u00a05.25 bar"
    assert whole_ranges("up by +1.5 (−2.9 to +0.4); up to 3") == "up by +1.5 (−2.9\u00a0to\u00a0+0.4); up to 3"
    assert "(−1530\u00a0to\u00a0−320)" in in_two("−590 (−1530 to −320)")
