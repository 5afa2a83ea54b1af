"""What inertial sensors brought, as a reader meets it: a day of them alone, and a sample day with travel beside."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import write_report
from tests.browser.served import Server, opened, serving
from tests.browser.test_pages import OVERLAPS, SETTLED, STICKING_OUT, barriers, link
from tests.pipeline.inertial_days import make_inertial_day

pytestmark = pytest.mark.browser

SAMPLE = Path("sample_runs/lighter_damper_oil")
PAGES = [("felt", "shaken"), ("felt", "fair"), ("sample", "shaken"), ("sample", "forces"), ("felt_lap", "lap")]


@pytest.fixture(scope="module")
def felt_days(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("felt_days")
    make_inertial_day(place / "felt", ("a", "b", "b", "a"), seconds=20.0)
    make_inertial_day(place / "felt_lap", ("a",), seconds=20.0)
    shutil.copytree(SAMPLE, place / "sample")
    return place


@pytest.fixture(scope="module")
def server(felt_days: Path) -> Iterator[Server]:
    with serving(felt_days) as found:
        for name in ("felt", "felt_lap", "sample"):
            found.wait_until_read(name)
        yield found


@pytest.mark.parametrize(("day", "page"), PAGES)
def test_a_page_is_whole_and_open_to_all(browser: Browser, server: Server, day: str, page: str) -> None:
    with opened(browser, link(server, day, page), figures=False, bypass_csp=True) as (tab, heard):
        assert tab.locator("h1").inner_text() == tab.locator("nav a[aria-current]").inner_text()
        for width in (1280, 390):
            tab.set_viewport_size({"width": width, "height": 900})
            tab.evaluate(SETTLED)
            assert barriers(tab) == [], width  # with everything folded open
            assert tab.evaluate("document.documentElement.scrollWidth") <= width
            assert tab.evaluate(STICKING_OUT) == [], width
            assert tab.evaluate(OVERLAPS) == [], width
        assert heard.complaints == []


@pytest.mark.parametrize(("day", "page"), [("felt", "shaken"), ("sample", "forces")])
def test_the_keyboard_reaches_what_folds_and_what_scrolls(
    browser: Browser, server: Server, day: str, page: str
) -> None:
    with opened(browser, link(server, day, page), figures=False) as (tab, _):
        tab.set_viewport_size({"width": 390, "height": 900})
        tab.locator("#content").focus()
        reached = []
        for _step in range(20):
            tab.keyboard.press("Tab")
            reached.append(
                tab.evaluate(
                    "(document.activeElement.getAttribute('aria-label') || '') + document.activeElement.tagName"
                )
            )
            if reached[-1] == "SUMMARY":
                tab.keyboard.press("Enter")
                assert tab.evaluate("document.activeElement.parentElement.open")
        assert any(name.startswith(("Values of each", "Height by")) for name in reached)


def test_an_end_alone_stands_on_its_own_side_with_the_words_beside_it(browser: Browser, server: Server) -> None:
    with opened(browser, link(server, "felt", "shaken")) as (tab, _):
        drawn = tab.locator(".told.only-front .drawing").first.bounding_box()
        words = tab.locator(".told.only-front .lead").first.bounding_box()
        assert drawn is not None
        assert words is not None
        assert words["x"] + words["width"] <= drawn["x"]
        assert drawn["x"] > 600


def test_a_report_without_travel_says_how_hard_it_hits(felt_days: Path, tmp_path: Path) -> None:
    text = write_report(felt_days / "felt", tmp_path / "report.html").read_text(encoding="utf-8")
    shown = text[text.index("<main>") :]
    assert "How hard does it hit?" in shown
    assert "Do the ends work together?" not in shown
    assert "shaking of the chassis" in shown[: shown.index("How hard does it hit?")]  # each run in the order ridden
