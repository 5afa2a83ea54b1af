"""What should it have done? As a reader meets it: a note while it is ridden, then the answer; and what to state."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.request import urlopen

import pytest
from playwright.sync_api import Browser

from tests.benchmarks.predicted_days import CHANGES, stated_day
from tests.browser.served import PATIENCE_S, Server, opened, serving
from tests.browser.test_pages import link, looked_at
from tests.pipeline.small_days import make_day

pytestmark = pytest.mark.browser

PRESSURE = next(change for change in CHANGES if change.name == "pressure")
TRAIL = {"length_m": 140.0, "speed_m_s": 8.0}


@pytest.fixture(scope="module")
def stated(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server of a day whose parts are stated, and of one whose parts aren't."""
    place = tmp_path_factory.mktemp("expected_days")
    stated_day(place / "stated", 3, PRESSURE, runs=2, trail=TRAIL)
    file = place / "stated" / "ride_day.toml"
    wish = '[wish]\nless = "hit_depth_10_per_min:front"\n\n[log]'
    file.write_text(file.read_text(encoding="utf-8").replace("[log]", wish), encoding="utf-8")
    make_day(place / "bare", ("a", "b", "b", "a"))
    with serving(place) as found:
        for name in ("stated", "bare"):
            found.wait_until_read(name)
        yield found


def test_it_waits_beside_the_other_pages_and_then_says_what_should_have_come(browser: Browser, stated: Server) -> None:
    with urlopen(link(stated, "stated", "expected")) as first:  # noqa: S310 - our own server
        assert 'id="riding"' in first.read().decode()  # asked by a browser, it may be over before that is looked at
    with opened(browser, link(stated, "stated", "expected"), figures=False, bypass_csp=True) as (tab, heard):
        with urlopen(link(stated, "stated", "trust")) as other:  # noqa: S310 - our own server
            assert "Can the logs be trusted?" in other.read().decode()
        tab.wait_for_selector(".expected", timeout=5 * PATIENCE_S * 1e3)  # bikes are ridden meanwhile
        assert tab.locator("h1").inner_text() == "What should it have done?"
        assert "The front should" in tab.locator(".answer").inner_text()
        words = set(tab.locator(".expected .word").all_inner_texts()) - {""}
        assert words
        assert words <= {"agrees", "disagrees", "can't tell"}
        sentences = [row.get_attribute("aria-label") for row in tab.locator(".expected [role=img]").all()]
        assert all(sentences)
        assert tab.get_by_role("heading", name="What to try next").count() == 1
        looked_at(tab, (1280, 390))  # the last as a phone: a suggestion is a card, nothing is scrolled sideways
        assert tab.locator(".tried thead").is_hidden()
        assert tab.eval_on_selector(".wide:has(> .tried)", "node => node.scrollWidth <= node.clientWidth")
        labels = tab.eval_on_selector_all(".tried tr:first-child td", "cells => cells.map(cell => cell.dataset.label)")
        assert labels == ["expected (90 %)", "to be kept", "side effects", "runs to show it"]
        assert heard.complaints == []


def test_a_day_that_states_too_little_says_what_to_state(browser: Browser, stated: Server) -> None:
    with opened(browser, link(stated, "bare", "expected"), figures=False) as (tab, _):
        assert "doesn't state enough" in tab.locator(".answer").inner_text()
        lines = tab.locator("main .sentences li").all_inner_texts()
        assert len(lines) == 2
        assert all("state" in line for line in lines)
