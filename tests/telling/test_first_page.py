"""The report's first page in words, on a small day."""

from __future__ import annotations

from dataclasses import replace

import pytest

import telemetry
from telemetry.model.analysis import Analysis, Comparison
from telemetry.model.finding import Finding
from telemetry.pipeline import report_parts
from telemetry.telling.first_page import LONGEST_TEXT, FirstPage, first_page, sentence
from tests.pipeline.small_days import make_day

EXTRA = """
[shop]
name = "Kettle Lane"
contact = "bench@example.org"
[customer]
name = "R. Rider"
bike = "the green one"
[comparison]
focus = ["dynamic_sag:front"]
"""


@pytest.fixture(scope="module")
def parts(tmp_path_factory: pytest.TempPathFactory) -> tuple[Analysis, Comparison]:
    folder = make_day(tmp_path_factory.mktemp("day"), "abbaab", seconds=20.0, deeper_mm={"b": 9.0}, extra=EXTRA)
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    text = text.replace('log = "run_2.csv"', 'log = "run_2.csv"\nnote = "felt calm, R. Rider says"')
    text = text.replace(
        "air_pressure_bar =",
        "rebound = { clicks_from_closed = 6, of = 14 }\npreload_mm = 2\nvolume_spacers = 1\nair_pressure_bar =",
    )
    file.write_text(text, encoding="utf-8")
    analysis, comparison, _ = report_parts(telemetry.read_ride_day(folder))
    assert comparison is not None
    return analysis, comparison


@pytest.fixture(scope="module")
def page(parts: tuple[Analysis, Comparison]) -> FirstPage:
    return first_page(*parts, None)


def test_it_says_who_and_when(page: FirstPage) -> None:
    assert (page.shop, page.contact) == ("Kettle Lane", "bench@example.org")
    assert (page.whom, page.when) == ("for R. Rider · the green one", "16 May 2026")


def test_the_finding_is_said_in_a_riders_words(page: FirstPage) -> None:
    assert page.headline.startswith("More air pressure at the front: front sits deeper while riding, by ")
    assert page.headline.partition("by ")[2].split(",")[0].endswith(" points")


def test_three_things_are_found_each_with_level_and_interval(page: FirstPage) -> None:
    (found,) = page.found
    assert 1 <= len(found.lines) <= 3
    assert all("between" in line.detail and "%)" in line.detail for line in found.lines)
    assert (found.rows[0].measure, found.rows[0].end) == ("dynamic_sag", "front")
    told = {row for line in found.lines for row in line.rows}
    assert told <= {(row.measure, row.end) for row in found.rows}
    open_rows = {(row.measure, row.end) for row in found.rows if row.verdict == "undecided" and not row.focus}
    assert open_rows <= told


def test_what_is_set_now_is_what_the_last_run_had(page: FirstPage) -> None:
    assert page.now == "On the bike after the last run, run_6: setup b."
    assert page.settings.columns == ("setting", "setup a", "setup b (on it now)")
    rows = {row[0]: row[1:] for row in page.settings.rows}
    assert rows["air pressure, front"] == ("6 bar", "7 bar")
    assert rows["preload, front"] == ("2 mm", "2 mm")
    assert rows["rebound from closed, front"] == ("6 of 14", "6 of 14")
    assert "volume spacers, front" not in rows  # alike, and nothing that is set by hand
    assert [page.settings.rows[place][0] for place in page.settings.marked] == ["air pressure, front"]


def test_what_was_done_and_noted(page: FirstPage) -> None:
    assert page.done == ("Air pressure, front: 6 → 7 bar.", "run_2: “felt calm, R. Rider says”")


def test_without_names_nobody_is_named(parts: tuple[Analysis, Comparison]) -> None:
    bare = repr(first_page(*parts, None, names=False))
    assert not any(name in bare for name in ("Kettle", "example.org", "R. Rider", "green one"))


def test_next_are_starting_points(page: FirstPage) -> None:
    assert "a starting point is" in page.to_come[-1]


def test_what_is_too_long_ends_with_a_whole_clause() -> None:
    clause = "one thing differs " * 10
    assert sentence(f"{clause.strip()}; {clause * 2}") == f"O{clause.strip()[1:]} …"
    assert sentence("x" * (LONGEST_TEXT + 1)).endswith("x…")
    assert sentence("one; two") == "One; two."


def test_warnings_that_find_no_room_are_counted(parts: tuple[Analysis, Comparison]) -> None:
    analysis, comparison = parts
    codes = ("order_confounded", "several_changes", "pressure_lost", "put_on_once", "rider_differs", "level_shift")
    found = tuple(Finding(code=code, message=f"what {code} found") for code in codes)
    lines = first_page(analysis, replace(comparison, fairness_findings=found), None).explains
    assert lines[-1] == "2 more warnings are told in the shop’s full report."
    few = first_page(analysis, replace(comparison, fairness_findings=found[:3]), None).explains
    assert few[-1] == "Air was lost during a run."
