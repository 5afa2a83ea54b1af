"""The report as a reader meets it: opened from disk in a real browser."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from functools import cache
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.served import SETTLED, Heard, opened

pytestmark = pytest.mark.browser

WIDTHS = (390, 768, 1280, 1600)
STICKING_OUT = """() => [...document.querySelectorAll('main *')]
  .filter(e => !e.closest('.wide') && !e.closest('.visually-hidden') && !e.closest('.drawing'))
  .filter(e => { const b = e.getBoundingClientRect(); return b.width > 0 && b.right > innerWidth + 1; })
  .map(e => e.tagName + ' ' + e.className)"""
OVERLAPS = """() => {
  const boxes = [...document.querySelectorAll('.verdict-row .name, .verdict-row .figure-of, .verdict-row .interval')]
    .filter(e => e.offsetParent).map(e => [e, e.getBoundingClientRect()]);
  const bad = [];
  for (let i = 0; i < boxes.length; i++) for (let j = i + 1; j < boxes.length; j++) {
    const [a, p] = boxes[i], [b, q] = boxes[j];
    const wide = Math.min(p.right, q.right) - Math.max(p.left, q.left);
    const high = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
    if (wide > 1 && high > 1) bad.push(a.textContent.trim() + ' / ' + b.textContent.trim());
  }
  return bad;
}"""


Shown = Callable[..., tuple[Page, Heard]]


@pytest.fixture(scope="module")
def shown(browser: Browser, compared: Path, lap: Path) -> Iterator[Shown]:
    """Both reports by name and colour scheme, each opened once for whoever only looks at it."""
    files = {"compared": compared, "lap": lap}
    with ExitStack() as stack:

        @cache
        def page_of(name: str, scheme: str = "light") -> tuple[Page, Heard]:
            return stack.enter_context(opened(browser, files[name].as_uri(), color_scheme=scheme))

        yield page_of


@pytest.mark.parametrize("name", ["compared", "lap"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_opens_quietly_and_asks_no_network(
    shown: Shown, request: pytest.FixtureRequest, name: str, scheme: str
) -> None:
    _, heard = shown(name, scheme)
    assert heard.complaints == []
    assert heard.requests == [request.getfixturevalue(name).as_uri()]


@pytest.mark.parametrize("name", ["compared", "lap"])
def test_nothing_sticks_out_or_overlaps(browser: Browser, request: pytest.FixtureRequest, name: str) -> None:
    """On a phone as it opens; the others as a window is drawn wider."""
    phone = {"width": WIDTHS[0], "height": 900}
    with opened(browser, request.getfixturevalue(name).as_uri(), viewport=phone) as (page, _):
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            page.evaluate(SETTLED)
            assert page.evaluate("document.documentElement.scrollWidth") <= width
            assert page.evaluate(STICKING_OUT) == [], width
            assert page.evaluate(OVERLAPS) == [], width


def test_a_label_that_looks_like_markup_is_text(shown: Shown) -> None:
    page, heard = shown("compared")
    assert page.locator("main img").count() == 0
    assert page.title() != "broken"
    assert "<img src=x onerror" in page.locator(".key").inner_text()
    assert heard.complaints == []


FOREIGN = (
    "<script>document.title = 'broken'</script>",
    "<img src=x onerror=\"document.title = 'broken'\">",
    "<script src='http://127.0.0.1:9/x.js'></script>",
    "<img src='http://127.0.0.1:9/x.png'>",
    "<link rel='stylesheet' href='http://127.0.0.1:9/x.css'>",
    "<base href='http://127.0.0.1:9/'>",
    "<iframe src='data:text/html,<script>parent.document.title = 1</script>'></iframe>",
)
ONCE_USED = {
    "a link that runs": "<a id='foreign' href=\"javascript:document.title = 'broken'\">x</a>",
    "a form": "<form id='foreign' action='http://127.0.0.1:9/'><input></form>",
}
USE_FOREIGN = """() => {
  const found = document.getElementById('foreign');
  if (found) { if (found.tagName === 'A') found.click(); else found.submit(); }
}"""


def smuggled(report: Path, place: Path, foreign: str) -> Path:
    """Return a report as if a text from a file had not been escaped."""
    file = place / "report.html"
    file.write_text(report.read_text(encoding="utf-8").replace("<main>", f"<main>{foreign}", 1), encoding="utf-8")
    return file


def test_nothing_foreign_runs_or_loads(browser: Browser, lap: Path, tmp_path: Path) -> None:
    """The second barrier, tried with the first one, escaping, taken down by hand."""
    with opened(browser, smuggled(lap, tmp_path, "".join(FOREIGN)).as_uri()) as (page, heard):
        assert page.title().startswith("What happened on this lap?")
        assert len(heard.complaints) >= len(FOREIGN)
        assert all("Content Security Policy" in line for line in heard.complaints)


@pytest.mark.parametrize("foreign", ONCE_USED.values(), ids=list(ONCE_USED))
def test_nothing_foreign_can_be_used(browser: Browser, lap: Path, tmp_path: Path, foreign: str) -> None:
    with opened(browser, smuggled(lap, tmp_path, foreign).as_uri()) as (page, heard):
        with page.expect_console_message():
            page.evaluate(USE_FOREIGN)
        assert page.title() != "broken"
        assert [line for line in heard.complaints if "Content Security Policy" in line] == heard.complaints != []


def test_a_policy_holds_the_scripts_that_stand_there_and_no_other(lap: Path) -> None:
    page_text = lap.read_text(encoding="utf-8")
    scripts = re.findall(r"<script[^>]*>(.*?)</script>", page_text, re.DOTALL)
    stated = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', page_text)
    assert stated is not None
    rules = dict(rule.split(" ", 1) for rule in html.unescape(stated.group(1)).split("; "))
    assert len(rules.pop("script-src").split()) == len(scripts) == 4
    assert rules == {
        "default-src": "'none'",
        "base-uri": "'none'",
        "form-action": "'none'",
        "style-src": "'unsafe-inline'",
    }
    assert page_text.index(stated.group(0)) < page_text.index("<style")


def test_sections_ask_the_tuners_questions_in_order(shown: Shown) -> None:
    titles = shown("compared")[0].locator("h2").all_inner_texts()
    asked = [
        "Did the change do anything?",
        "Is it a fair comparison?",
        "How is the travel used?",
        "How fast does it move?",
        "Do the ends work together?",
    ]
    assert [title for title in titles if title in asked] == asked


def test_a_lap_tells_what_happened_and_gives_no_verdict(shown: Shown) -> None:
    page, _ = shown("lap")
    text = page.locator("main").inner_text()
    assert page.locator("h1").inner_text().startswith("What happened on this lap?")
    assert "Did the change do anything?" not in text
    assert "undecided" not in text.lower()
    assert "points deeper than the" in text


def test_front_stands_right_of_rear_and_above_it_on_a_phone(shown: Shown) -> None:
    place = "e => { const b = e.getBoundingClientRect(); return [b.left, b.top]; }"
    page, _ = shown("compared")
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 900})
        page.evaluate(SETTLED)
        front = page.locator(".pair .panel.at-front").first.evaluate(place)
        rear = page.locator(".pair .panel.at-rear").first.evaluate(place)
        if width > 760:
            assert front[0] > rear[0]
        else:
            assert front[1] < rear[1]


def test_dark_paper_gets_dark_figures(shown: Shown) -> None:
    page, _ = shown("compared", "dark")
    page.wait_for_function("() => document.documentElement.dataset.figures === 'dark'")
    background = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    words = page.evaluate(
        "() => Bokeh.documents.flatMap(d => [...d._all_models.values()])"
        ".filter(m => m.type === 'LinearAxis').map(m => m.major_label_text_color)"
    )
    assert background == "rgb(22, 24, 26)"
    assert {str(word.get("value") if isinstance(word, dict) else word).lower() for word in words} == {"#e8e6e1"}


def test_every_figure_can_be_read_without_seeing_it(shown: Shown) -> None:
    page, _ = shown("compared")
    labels = page.locator("figure[role=group]").evaluate_all("all => all.map(e => e.getAttribute('aria-label'))")
    intervals = page.locator(".interval[role=img]").evaluate_all("a => a.map(e => e.getAttribute('aria-label'))")
    tables = page.locator("details.numbers table, .its-numbers table").count()
    assert len(labels) >= 10
    assert all(labels)
    assert all(intervals)
    assert tables >= len(labels) - 2


def test_dark_is_printed_on_white_paper(browser: Browser, compared: Path) -> None:
    with opened(browser, compared.as_uri(), color_scheme="dark") as (page, heard):
        page.emulate_media(media="print")
        assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(255, 255, 255)"
        assert heard.complaints == []


def test_a_days_report_stays_small(compared: Path) -> None:
    assert compared.stat().st_size < 3_000_000
