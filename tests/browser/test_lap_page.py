"""The lap beside its rider's earlier ones, and how the bike sits: in a real browser, wide and on a phone."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.browser.served import PATIENCE_S, Server, opened, serving
from tests.browser.test_pages import looked_at
from tests.pipeline.setup_days import make_setup_day

pytestmark = pytest.mark.browser

WIDTHS = (390, 1280)
TRAIL = 'title = "A test day"\n'
EARLIER = {"march": ("2026-03-07", ("a", "a")), "april": ("2026-04-11", ("a",))}


def dated(folder: Path, date: str, runs: tuple[str, ...], trail: str = "Quarry gate to footbridge") -> None:
    file = make_setup_day(folder, runs, seconds=20.0) / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace("2026-05-16", date)
    file.write_text(text.replace(TRAIL, f'{TRAIL}trail = "{trail}"\n'), encoding="utf-8")


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    folder = tmp_path_factory.mktemp("laps")
    dated(folder / "may", "2026-05-16", ("a",))
    for name, (date, runs) in EARLIER.items():
        dated(folder / name, date, runs)
    dated(folder / "elsewhere", "2026-04-12", ("a",), "Another trail")
    with serving(folder) as found:
        for name in ("may", *EARLIER, "elsewhere"):
            found.wait_until_read(name)
        yield found


def test_a_lap_in_sentences_with_the_hits_that_tell_most(browser: Browser, server: Server) -> None:
    with opened(browser, f"{server.link}?day=may&page=lap") as (tab, heard):
        text = tab.locator("main").inner_text()
        assert "points deeper than the" in text
        assert "No flight long enough for the legs to show" in text
        for end in ("rear", "front"):
            assert 1 <= tab.locator(f".told-hits .at-{end} .told-hit").count() <= 3
            assert "Deepest" in tab.locator(f".told-hits .at-{end} h3").first.inner_text()
        assert tab.locator(".close-ups").count() == 0
        drawn = tab.locator(".panel").count()
        looked_at(tab, WIDTHS)
        tab.set_viewport_size({"width": 390, "height": 900})
        more = tab.locator("#hits a")
        more.focus()
        tab.keyboard.press("Enter")
        tab.wait_for_url("**event=all*")
        tab.wait_for_function("() => window.Bokeh && Bokeh.documents.length > 0")
        assert tab.locator(".panel").count() == 10 + 2 > drawn
        assert tab.locator("#hits a").inner_text() == "Leave the others out"
        assert heard.complaints == []


def test_a_lap_stands_beside_earlier_ones_of_its_trail_alone(browser: Browser, server: Server) -> None:
    deadline = time.monotonic() + PATIENCE_S
    while time.monotonic() < deadline:
        with opened(browser, f"{server.link}?day=may&page=lap") as (tab, _):
            laps = tab.locator("#earlier tbody th").all_inner_texts()
            told = tab.locator("#earlier").inner_text()
        if "still being read" not in told:
            break
    assert laps == [
        f"{lap}, setup a" for lap in ("this lap", "11 April 2026, run_1", "7 March 2026, run_2", "7 March 2026, run_1")
    ]
    assert "3 earlier laps" in told
    with opened(browser, f"{server.link}?day=elsewhere&page=lap") as (tab, _):
        assert tab.locator("#earlier").count() == 0


def test_how_it_sits_stands_beside_the_runs(browser: Browser, server: Server) -> None:
    with opened(browser, f"{server.link}?day=may&page=sits") as (tab, heard):
        assert tab.locator("h1").inner_text() == "How does it sit?"
        assert "±\N{NO-BREAK SPACE}4.0\N{NO-BREAK SPACE}mm" in tab.locator(".answer").inner_text()
        assert tab.locator(".panel").count() == 2
        looked_at(tab, WIDTHS)
        assert heard.complaints == []
