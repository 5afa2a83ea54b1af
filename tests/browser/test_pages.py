"""The pages as a reader meets them: a real server, a real browser, real ride days."""

from __future__ import annotations

import re
import shutil
import time
from collections.abc import Sequence
from pathlib import Path

import axe_playwright_python
import pytest
from playwright.sync_api import Browser, Page

import telemetry
from tests.browser.open_and_close import rounds
from tests.browser.served import PATIENCE_S, READ, SETTLED, Server, led_on, opened, serving, serving_counted
from tests.pipeline.small_days import make_day, trail, write_log

pytestmark = pytest.mark.browser

COMPARED = ("trust", "fair", "change", "where", "travel", "speed", "together", "expected")
LAP = ("lap", "trust", "where", "travel", "speed", "together")
EVERY = [*(("two", name) for name in COMPARED), *(("lap", name) for name in LAP)]
AXE = Path(axe_playwright_python.__file__).with_name("axe.min.js")
STICKING_OUT = """() => [...document.querySelectorAll('body *')]
  .filter(e => !e.closest('.wide') && !e.closest('.visually-hidden') && !e.closest('.drawing') && !e.closest('nav')
    && !e.closest('.skip'))
  .filter(e => { const b = e.getBoundingClientRect(); return b.width > 0 && b.right > innerWidth + 1; })
  .map(e => e.tagName + ' ' + e.className)"""
OVERLAPS = """() => {
  const parts = 'h1, h2, h3, p, li, table, .drawing, summary, legend, .box, .name, .figure-of, .interval, .end-name';
  const boxes = [...document.querySelectorAll(parts)].filter(e => e.checkVisibility() && !e.closest('.visually-hidden')
    && !e.matches('.visually-hidden')).map(e => [e, e.getBoundingClientRect()]);
  const bad = [];
  for (let i = 0; i < boxes.length; i++) for (let j = i + 1; j < boxes.length; j++) {
    const [a, p] = boxes[i], [b, q] = boxes[j];
    if (a.contains(b) || b.contains(a)) continue;
    const wide = Math.min(p.right, q.right) - Math.max(p.left, q.left);
    const high = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
    if (wide > 1 && high > 1) bad.push(a.textContent.trim().slice(0, 40) + ' / ' + b.textContent.trim().slice(0, 40));
  }
  return bad;
}"""


def link(server: Server, day: str, page: str = "", more: str = "") -> str:
    return f"{server.link}?day={day}&page={page}{more}"


WIDTHS = (1280, 768, 390, 1920)


def looked_at(tab: Page, widths: Sequence[int] = WIDTHS) -> None:
    """Nothing sticks out or overlaps at any width, no serious barrier, legible in the dark: all of it folded open."""
    tab.locator("details").evaluate_all("all => all.forEach(e => { e.open = true; })")
    for width in widths:
        tab.set_viewport_size({"width": width, "height": 900})
        tab.evaluate(SETTLED)
        assert tab.evaluate("document.documentElement.scrollWidth") <= width
        assert tab.evaluate(STICKING_OUT) == [], width
        assert tab.evaluate(OVERLAPS) == [], width
    assert barriers(tab) == []
    tab.emulate_media(color_scheme="dark")
    tab.evaluate(SETTLED)
    assert barriers(tab, "['color-contrast']") == []


@pytest.mark.parametrize(("day", "page"), [*EVERY, ("", ""), ("wrong", "")])
def test_a_page_is_quiet_whole_and_open_to_all(browser: Browser, server: Server, day: str, page: str) -> None:
    """No complaint, no request to elsewhere, nothing sticking out or overlapping, no serious barrier, fit to print."""
    target = link(server, day, page) if day else server.link
    with opened(browser, target, figures=False, bypass_csp=True) as (tab, heard):
        if page:
            assert tab.locator("h1").inner_text() == tab.locator("nav a[aria-current]").inner_text()
        looked_at(tab)
        tab.emulate_media(color_scheme="light", media="print")
        tab.set_viewport_size({"width": 720, "height": 1000})
        tab.evaluate(SETTLED)
        assert tab.evaluate(OVERLAPS) == []
        assert tab.locator("button:visible, input:visible, nav:visible").count() == 0
        own = (server.origin, server.origin.replace("http", "ws"), "data:")
        assert [url for url in heard.requests if not url.startswith(own)] == []
        assert heard.complaints == []


def barriers(tab: Page, rules: str = "undefined") -> list[str]:
    """Return what axe-core finds that is serious or worse, on everything folded open; by some of its rules, or all."""
    tab.locator("details").evaluate_all("all => all.forEach(e => { e.open = true; })")
    if not tab.evaluate("() => 'axe' in window"):
        tab.add_script_tag(path=str(AXE))
    found = tab.evaluate(f"() => axe.run({{ resultTypes: ['violations'], runOnly: {rules} }})")["violations"]
    return [
        f"{item['id']}: {node['html'][:120]}"
        for item in found
        if item["impact"] in ("serious", "critical")
        for node in item["nodes"]
    ]


def test_the_report_has_no_serious_barrier(browser: Browser, compared: Path, lap: Path) -> None:
    for file in (compared, lap):
        with opened(browser, file.as_uri(), bypass_csp=True) as (tab, _):
            assert barriers(tab) == []


@pytest.mark.parametrize("sections", [None, (1, 2), (3,)])
def test_numbers_are_those_of_the_library(
    browser: Browser, server: Server, days: Path, sections: tuple[int, ...] | None
) -> None:
    day = telemetry.read_ride_day(days / "two")
    results = telemetry.compare(day, sections=sections).to_dict()["results"]
    (sag,) = [row for row in results if row["measure"] == "dynamic_sag" and row["end"] == "front"]  # type: ignore[union-attr]
    more = "" if sections is None else "&section=" + ",".join(map(str, sections))
    with opened(browser, link(server, "two", "change", more), figures=False) as (tab, _):
        row = tab.locator(".verdict-row", has_text="Dynamic sag").first
        shown = row.locator(".figure-of.at-front").inner_text().replace("−", "-")
    assert re.search(r"[+-]?\d+\.\d", shown)[0] == f"{sag['difference']:+.1f}"  # type: ignore[index]


def test_boxes_choose_and_the_link_keeps_the_choice(browser: Browser, server: Server) -> None:
    with opened(browser, link(server, "two", "travel")) as (tab, _):
        before = tab.locator("table.measures").inner_text()
        tab.locator(".chooser summary").click()
        sections = tab.locator('input[name="section"]')
        for place in range(1, sections.count()):
            sections.nth(place).uncheck()
        with led_on(tab):
            tab.get_by_role("button", name="Count these").click()
        assert "section=1" in tab.url
        chosen = tab.locator("table.measures").inner_text()
        assert chosen != before
        with opened(browser, tab.url) as (again, _):
            assert again.locator("table.measures").inner_text() == chosen
            assert again.locator('input[name="section"]:checked').count() == 1
        with led_on(tab):
            tab.get_by_role("link", name="Count everything again").click()
        assert tab.locator("table.measures").inner_text() == before


def test_what_is_chosen_by_looking_gets_no_verdict(browser: Browser, server: Server) -> None:
    verdicts = re.compile(r"\b(changed|unchanged|undecided)\b", re.IGNORECASE)
    with opened(browser, link(server, "two", "change"), figures=False) as (tab, _):
        assert verdicts.search(tab.locator("main").inner_text())
    for page in ("change", "travel", "speed", "together"):
        with opened(browser, link(server, "two", page, "&section=1-2"), figures=False) as (tab, _):
            tab.locator("details.numbers").evaluate_all("all => all.forEach(e => { e.open = true; })")
            assert "explored after the fact" in tab.locator("body").inner_text().lower()
            assert not verdicts.search(tab.locator("main").inner_text())


def test_one_setup_has_a_lap_and_no_verdict(browser: Browser, server: Server) -> None:
    with opened(browser, link(server, "lap")) as (tab, _):
        assert tab.locator("h1").inner_text() == "What happened on this lap?"
        questions = tab.locator("nav a").all_inner_texts()
    assert questions[0] == "What happened on this lap?"
    assert not {"Did the change do anything?", "Is it a fair comparison?", "What should it have done?"} & set(questions)
    with opened(browser, link(server, "two", "change", "&setup=a")) as (tab, _):
        assert tab.locator("h1").inner_text() == "What happened on this lap?"


def test_the_keyboard_alone_is_enough(browser: Browser, server: Server) -> None:
    focused = "() => document.activeElement.textContent.trim() || document.activeElement.value"
    with opened(browser, link(server, "two", "travel")) as (tab, _):

        def tab_to(words: str) -> None:
            for _ in range(80):
                tab.keyboard.press("Tab")
                if words in tab.evaluate(focused):
                    ring = tab.evaluate("() => getComputedStyle(document.activeElement).outlineStyle")
                    assert ring != "none"
                    return
            pytest.fail(f"never reached {words!r}")

        tab_to("Counted:")
        tab.keyboard.press("Enter")
        for _ in range(40):
            tab.keyboard.press("Tab")
            if tab.evaluate("() => document.activeElement.name") == "run":
                break
        tab.keyboard.press("Space")
        tab_to("Count these")
        with led_on(tab):
            tab.keyboard.press("Enter")
        assert tab.url.count("run=") == 3
        tab_to("How fast does it move?")
        with led_on(tab):
            tab.keyboard.press("Enter")
        assert tab.locator("h1").inner_text() == "How fast does it move?"


def test_a_label_that_looks_like_markup_is_text(browser: Browser, server: Server) -> None:
    for page in ("trust", "fair", "change"):
        with opened(browser, link(server, "two", page)) as (tab, heard):
            assert tab.locator("img").count() == 0
            assert tab.title() != "broken"
            assert "<img src=x onerror" in tab.locator(".key").inner_text()
            assert heard.complaints == []


def test_the_list_tells_every_day_and_what_is_wrong(browser: Browser, server: Server) -> None:
    with opened(browser, link(server, "two"), figures=False), opened(browser, server.link, figures=False) as (tab, _):
        tab.wait_for_function("() => !document.body.innerText.includes('not read yet')")
        text = tab.locator("main").inner_text()
    assert text.count("A test day") == 2
    assert "travle_mm" in text
    assert "one setup: nothing to compare" in text


@pytest.mark.parametrize("day", ["../two", "two/..", "/etc", "none", "wrong"])
def test_a_day_that_cannot_be_shown_says_why(browser: Browser, server: Server, day: str) -> None:
    with opened(browser, link(server, day), figures=False) as (tab, heard):
        text = tab.locator("main").inner_text()
        assert heard.complaints == []
    assert "can't be shown" in text
    assert ("travle_mm" if day == "wrong" else "no ride day") in text


@pytest.mark.parametrize("more", ["&section=99", "&section=x", "&run=none", "&setup=none", "&page=none"])
def test_a_link_that_names_what_is_not_there_says_so(browser: Browser, server: Server, more: str) -> None:
    page = "" if "page" in more else "travel"
    target = f"{server.link}?day=two&page={page}{more}" if page else f"{server.link}?day=two{more}"
    with opened(browser, target, figures=False) as (tab, _):
        assert "can't be shown" in tab.locator("h1").inner_text()
        assert "expected" in tab.locator("main").inner_text()


def test_dark_by_choice_stays(browser: Browser, server: Server) -> None:
    with opened(browser, link(server, "two", "travel")) as (tab, _):
        tab.get_by_role("button", name="dark").click()
        tab.wait_for_function("() => document.documentElement.dataset.figures === 'dark'")
        with led_on(tab):
            tab.get_by_role("link", name="How fast does it move?").click()
        tab.wait_for_function("() => document.documentElement.dataset.figures === 'dark'")
        assert tab.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(22, 24, 26)"


def test_what_changes_is_noticed_and_a_file_made_wrong_leaves_the_day_as_it_was_read(
    browser: Browser, tmp_path: Path
) -> None:
    folder = make_day(tmp_path / "day", ("a", "b"))
    with serving(folder) as own, opened(browser, own.link, figures=False) as (tab, _):
        write_log(folder / "run_3.csv", *trail(30.0, 9))
        tab.wait_for_selector("#news:not([hidden])")
        assert "A new log is here (run_3.csv)" in tab.locator("#news").inner_text()
        file = folder / "ride_day.toml"
        file.write_text(
            file.read_text(encoding="utf-8").replace("A test day", "Another title")
            + '[[runs]]\nlog = "run_3.csv"\nsetup = "a"\n',
            encoding="utf-8",
        )
        tab.locator("#news", has_text="ride_day.toml has changed").wait_for()
        tab.get_by_role("button", name="Load it").click()
        tab.get_by_text("Another title").first.wait_for()
        assert tab.locator(".square").count() == 3
        file.write_text(file.read_text(encoding="utf-8") + "nonsense", encoding="utf-8")
        tab.locator("#news", has_text="ride_day.toml has changed").wait_for()
        tab.get_by_role("button", name="Load it").click()
        tab.get_by_text("read before is shown").wait_for()
        assert tab.locator(".verdict-row").count() > 3


def test_five_tabs_at_once(browser: Browser, server: Server) -> None:
    context = browser.new_context()
    tabs = [context.new_page() for _ in COMPARED[:5]]
    for tab, page in zip(tabs, COMPARED, strict=False):
        tab.goto(link(server, "two", page), wait_until="commit")
    for tab in tabs:
        tab.wait_for_function(READ)
        assert tab.locator("h1").count() == 1
    context.close()


def test_closing_tabs_frees_their_memory(browser: Browser, days: Path) -> None:
    """Two rounds here, and what is held is counted; ``python -m tests.browser.open_and_close`` weighs it in thirty."""
    with serving_counted(days / "two") as own:

        def left() -> float:
            ends, (pages, objects) = time.monotonic() + PATIENCE_S, own.held()
            while pages:
                assert time.monotonic() < ends
                time.sleep(0.3)
                pages, objects = own.held()
            return objects

        own.wait_until_read(".")
        first, last = rounds(browser, f"{own.link}?page=travel", 1, left)
    assert last < first + 1000  # one page is made of some 5000


def test_ctrl_c_ends_it_cleanly(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a",), seconds=10.0)
    with serving(folder) as own:
        assert own.end() == 0


def test_an_empty_folder_says_what_a_ride_day_is(browser: Browser, tmp_path: Path) -> None:
    with serving(tmp_path) as own, opened(browser, own.link, figures=False) as (tab, heard):
        assert "telemetry new" in tab.locator("main").inner_text()
        assert heard.complaints == []


def test_a_day_behind_a_link_out_of_the_folder_is_not_there(browser: Browser, tmp_path: Path, days: Path) -> None:
    shown = tmp_path / "shown"
    shutil.copytree(days / "lap", shown / "lap")
    (shown / "elsewhere").symlink_to(days / "two")
    with serving(shown) as own, opened(browser, link(own, "elsewhere"), figures=False) as (tab, _):
        assert "no ride day" in tab.locator("main").inner_text()


def test_zooming_keeps_the_maximum(browser: Browser, server: Server) -> None:
    deepest = """() => {
      const found = {};
      for (const doc of Bokeh.documents) for (const root of doc.roots()) for (const one of root.renderers) {
        const source = one.data_source;
        if (!(source.name || '').startsWith('run_')) continue;
        const x = source.get_array('x'), y = source.get_array('y');
        found[root.id + source.name] = [y.length, Math.max(...y), Math.min(...x), Math.max(...x)];
      }
      return found;
    }"""
    with opened(browser, link(server, "two", "where")) as (tab, heard):
        whole = tab.evaluate(deepest)
        highest = max(value[1] for value in whole.values())
        width = tab.locator(".drawing").first.evaluate("e => e.clientWidth")
        assert all(value[0] <= 4 * max(width, 600) + 4 for value in whole.values())
        at = tab.locator("table.hits tbody tr").first.locator("td").nth(3).inner_text()
        place = float(at.replace("\u00a0", " ").split()[0])
        tab.evaluate(
            "place => Bokeh.documents[0].get_model_by_name('course').setv({ start: place - 0.5, end: place + 0.5 })",
            place,
        )
        tab.wait_for_url("**from=*")
        tab.wait_for_function(
            f"place => Object.values(({deepest})()).every(v => v[2] > place - 0.6 && v[3] < place + 0.6)", arg=place
        )
        near = tab.evaluate(deepest)
        assert max(value[1] for value in near.values()) == pytest.approx(highest, abs=0.01)
        assert all(value[2] >= place - 0.6 and value[3] <= place + 0.6 for value in near.values())
        assert f"from={place - 0.5:g}"[:8] in tab.url
        tab.get_by_role("button", name="Whole trail").click()
        tab.wait_for_url(lambda url: "from=" not in url)
        tab.wait_for_function(f"whole => JSON.stringify(({deepest})()) === JSON.stringify(whole)", arg=whole)
        tab.get_by_role("button", name="Closer").click()
        tab.wait_for_url("**from=*")
        assert heard.complaints == []


def test_wide_tables_say_that_they_go_on_and_links_are_in_reach(browser: Browser, server: Server) -> None:
    wide = """all => all.filter(e => e.offsetParent).map(e => [
      e.scrollWidth > e.clientWidth + 1, e.tabIndex, e.ariaLabel, getComputedStyle(e, '::before').content])"""
    with opened(browser, link(server, "two", "where"), viewport={"width": 390, "height": 900}) as (tab, _):
        told = tab.locator(".wide").evaluate_all(wide)
        assert any(goes_on for goes_on, *_ in told)
        for goes_on, tab_index, name, words in told:
            assert ("goes on" in words) == goes_on
            if goes_on:
                assert tab_index == 0
                assert name
        boxes = tab.locator("td.look a").evaluate_all("all => all.map(e => e.getBoundingClientRect().right)")
        assert boxes
        assert max(boxes) <= 390


def test_choosing_a_hit_shows_it_closely(browser: Browser, server: Server) -> None:
    with opened(browser, link(server, "two", "where")) as (tab, _):
        row = tab.locator("table.hits tbody tr").nth(3)
        depth = row.locator("td").nth(4).inner_text()
        with led_on(tab):
            row.get_by_role("link").click()
        title = tab.locator("#event").inner_text()
        assert title.startswith("Chosen")
        assert depth in title
        assert "event=" in tab.url
