"""`serve` on a library: found, looked at over time, opened, forgotten and damaged while a real browser looks on."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode
from urllib.request import urlopen

import pytest
from playwright.sync_api import Browser, Locator, Page

from telemetry import library, pipeline, read_ride_day
from tests.browser.kept_library import (
    BIKE,
    CUSTOMERS,
    HOSTILE_BIKE,
    HOSTILE_RIDER,
    HOSTILE_TRAIL,
    MANY,
    PICTURE,
    RIDER,
    SCRIPT,
    TRAIL,
    make_library,
    set_day,
)
from tests.browser.served import SETTLED, Server, led_on, opened, serving
from tests.browser.test_pages import OVERLAPS, looked_at
from tests.browser.test_who_may_ask import own_path, status
from tests.pipeline.setup_days import BAND_MM

pytestmark = pytest.mark.browser

WIDTHS = (390, 1280)


@dataclass(frozen=True, slots=True)
class Shown:
    """A library, the ids of its named days, and what serves it."""

    root: Path
    ids: dict[str, str]
    server: Server

    def link(self, **asked: str) -> str:
        return f"{self.server.link}?{urlencode(asked)}"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, str]]:
    place = tmp_path_factory.mktemp("kept")
    return place / "library", make_library(place / "library", place / "days")


@pytest.fixture(scope="module")
def shown(made: tuple[Path, dict[str, str]]) -> Iterator[Shown]:
    root, ids = made
    with serving(root) as server:
        yield Shown(root=root, ids=ids, server=server)


@pytest.fixture
def own(made: tuple[Path, dict[str, str]], tmp_path: Path) -> Iterator[Shown]:
    """A copy to be changed."""
    shutil.copytree(made[0], tmp_path / "library")
    with serving(tmp_path / "library") as server:
        yield Shown(root=tmp_path / "library", ids=made[1], server=server)


def words(place: Locator) -> str:
    return place.inner_text().replace("\N{NO-BREAK SPACE}", " ")


def titles(tab: Page) -> list[str]:
    return tab.locator(".days h2, .days h3").all_inner_texts()


def quiet(tab: Page, server: Server) -> None:
    """Nothing of what was written ran, nothing stuck out, and the server said nothing."""
    assert tab.title() != "broken"
    assert tab.locator("main img").count() == 0
    assert "49" not in tab.locator("h1, h2, h3").all_inner_texts()
    assert server.lines == []


def fit_to_print(tab: Page) -> None:
    tab.emulate_media(color_scheme="light", media="print")
    tab.set_viewport_size({"width": 720, "height": 1000})
    tab.evaluate(SETTLED)
    assert tab.evaluate(OVERLAPS) == []
    assert tab.locator("button:visible, input:visible, nav:visible").count() == 0


PAGES = {
    "list": {"bike": "mule", "verdict": "unchanged"},
    "bike": {"page": "bike", "bike": BIKE},
    "laps": {"page": "laps", "bike": BIKE, "trail": TRAIL},
}
HOSTILE = (
    {},
    {"page": "bike", "bike": HOSTILE_BIKE},
    {"page": "laps", "bike": HOSTILE_BIKE, "trail": HOSTILE_TRAIL, "rider": HOSTILE_RIDER},
)


@pytest.mark.parametrize("page", PAGES)
def test_a_page_is_quiet_whole_and_open_to_all(browser: Browser, shown: Shown, page: str) -> None:
    with opened(browser, shown.link(**PAGES[page]), figures=page != "list", bypass_csp=True) as (tab, heard):
        looked_at(tab, WIDTHS)
        fit_to_print(tab)
        own = (shown.server.origin, shown.server.origin.replace("http", "ws"), "data:")
        assert [url for url in heard.requests if not url.startswith(own)] == []
        assert heard.complaints == []
        quiet(tab, shown.server)


def test_what_tries_to_be_code_is_text_on_every_page(browser: Browser, shown: Shown) -> None:
    size = {"width": 390, "height": 900}
    with opened(browser, shown.link(day=shown.ids["hostile"]), figures=False, viewport=size) as (tab, heard):
        tab.get_by_text("over time").first.wait_for()
        for asked in HOSTILE:
            tab.goto(shown.link(**asked))
            tab.evaluate(SETTLED)
            assert tab.evaluate("document.documentElement.scrollWidth") <= size["width"]
            assert tab.evaluate(OVERLAPS) == []
            quiet(tab, shown.server)
        assert heard.complaints == []


def test_the_list_tells_of_a_day_what_is_asked_first(browser: Browser, shown: Shown) -> None:
    with opened(browser, shown.server.link, figures=False) as (tab, _):
        march = tab.locator(".days li", has_text="7 March 2026")
        assert f"{BIKE} · {TRAIL}" in march.inner_text()
        assert "Air pressure, front: 6 → 7 bar" in words(march.locator(".finding"))
        assert "Left with setup b: air pressure, front 7 bar (6 bar with setup a)" in words(march)
        hostile = tab.locator(".days li").first.inner_text()
        assert SCRIPT in hostile
        assert PICTURE in hostile
        assert "{{7*7}}" in hostile
        assert "\u202e" not in hostile


def test_pages_of_the_list_hold_each_day_once_and_the_address_keeps_the_filter(browser: Browser, shown: Shown) -> None:
    seen: list[str] = []
    with opened(browser, shown.link(words="day", bike="fleet"), figures=False) as (tab, _):
        while True:
            seen += titles(tab)
            older = tab.get_by_role("link", name="Older days")
            if not older.count():
                break
            older.focus()
            tab.keyboard.press("Enter")
            tab.wait_for_url(re.compile(rf"skip={len(seen)}$"))
            assert tab.locator("#words").input_value() == "day"
        assert seen == [f"Day {number}" for number in reversed(range(MANY))]
        tab.go_back()
        tab.wait_for_function("() => !location.search.includes('skip=50')")
        assert titles(tab) == seen[25:50]
        with opened(browser, tab.url, figures=False) as (again, _):
            assert titles(again) == seen[25:50]


def test_the_keyboard_alone_finds_a_day_and_opens_it(browser: Browser, shown: Shown) -> None:
    with opened(browser, shown.server.link, figures=False) as (tab, heard):
        tab.get_by_label("Words").focus()
        tab.keyboard.type("quarry 2026 april a")
        tab.get_by_label("Words").fill("")
        tab.keyboard.type("mule footbridge")
        tab.keyboard.press("Enter")
        tab.wait_for_url("**words=mule+footbridge**")
        assert titles(tab) == ["A test day"] * 3
        tab.get_by_text("By bike, customer").focus()
        tab.keyboard.press("Enter")
        tab.get_by_label("To", exact=True).fill("2026-03-31")
        tab.get_by_label("To", exact=True).press("Enter")
        tab.wait_for_url("**until=2026-03-31**")
        assert titles(tab) == ["A test day"]
        tab.locator(".days a").first.focus()
        with led_on(tab):
            tab.keyboard.press("Enter")
        tab.get_by_role("heading", name="Did the change do anything?").wait_for()
        assert tab.locator(".verdict-row").count() > 3
        tab.get_by_role("link", name="All kept days").focus()
        tab.keyboard.press("Enter")
        tab.get_by_role("heading", name="Kept days in").wait_for()
        assert heard.complaints == []


def test_what_was_done_to_a_bike_and_what_it_brought(browser: Browser, shown: Shown) -> None:
    with opened(browser, shown.link(page="bike", bike="test MULE")) as (tab, _):
        assert tab.locator("h1").inner_text() == "What was done to this bike, and what did it bring?"
        done = [words(own) for own in tab.locator(".done li").all()]
        assert "On the day, setup b: air pressure, front 6 → 7 bar; left so." in done[0]
        assert "Before riding: air pressure, front 7 → 6.5 bar." in done[1]
        assert "travel, front 160 → 165 mm" in done[2]
        tab.locator("details").evaluate_all("all => all.forEach(e => { e.open = true; })")
        friction = tab.locator("section section", has=tab.get_by_role("heading", name="Friction band"))
        for end in ("rear", "front"):
            table = friction.locator("table", has=tab.locator("caption", has_text=end))
            values = [float(text) for text in table.locator("tbody td:nth-child(3)").all_inner_texts()]
            assert len(values) == 3
            assert values == pytest.approx([BAND_MM[end]] * 3, rel=0.2)
        assert "front, A is of 160 mm full travel, B is of 165 mm full travel" in words(tab.locator("main"))
        sag = tab.locator("section section", has=tab.get_by_role("heading", name="Dynamic sag"))
        assert sag.locator("table", has=tab.locator("caption", has_text="front")).locator("tbody tr").count() == 4
        assert "As left on 2 May 2026: setup a" in tab.locator("h2").all_inner_texts()
        tab.locator(".done a").first.click()
        tab.get_by_role("heading", name="Did the change do anything?").wait_for()


def test_a_riders_laps_stand_alone_and_each_leads_to_its_lap(browser: Browser, shown: Shown) -> None:
    with opened(browser, shown.link(page="laps", bike=BIKE, trail=TRAIL.upper())) as (tab, _):
        laps = tab.locator("table.laps tbody th").all_inner_texts()
        assert laps[0] == "2 May 2026, run_1"
        assert len(laps) == 4 + 2 + 1
        assert f"Only {RIDER}’s own laps" in tab.locator("main").inner_text()
        assert "beside" not in tab.locator("main").inner_text()  # the latest is of another full travel
        tab.locator("table.laps a").last.click()
        tab.get_by_role("heading", name="What happened on this lap?").wait_for()
        assert "run=run_1" in tab.url
    with opened(browser, shown.link(page="laps", bike=BIKE, trail=TRAIL, rider="R2"), figures=False) as (tab, _):
        assert "No lap of this rider is kept." in tab.locator("main").inner_text()


def test_a_kept_lap_stands_beside_kept_earlier_ones(browser: Browser, shown: Shown) -> None:
    with opened(browser, shown.link(day=shown.ids["april"], page="lap")) as (tab, _):
        laps = tab.locator("#earlier tbody th").all_inner_texts()
    assert laps[0].startswith("this lap")
    assert [lap.split(",")[0] for lap in laps[1:]] == ["11 April 2026", *["7 March 2026"] * 4]


def asked_plainly(shown: Shown, **asked: str) -> str:
    with urlopen(shown.link(**asked)) as answer:  # noqa: S310 - our own server
        return str(answer.read().decode())


def test_a_kept_day_is_not_written_into(shown: Shown) -> None:
    for page in ("set", "mark", "enter", "write"):
        assert "Change it in its own folder" in asked_plainly(shown, day=shown.ids["march"], page=page)
    code, _, _ = status(shown.server, own_path(shown.server) + "write", {"Content-Length": "0"}, "POST")
    assert code in (403, 404, 405)
    asked_plainly(shown, day=shown.ids["march"])
    shown.server.wait_until_read(shown.ids["march"])
    for question in ("trust", "fair", "lap", "where"):
        text = asked_plainly(shown, day=shown.ids["march"], page=question)
        assert "<h1>" in text
        assert not re.search('class="[^"]*edit|page=mark|page=set|value="write"', text)


ODD = {
    "no such bike": {"page": "bike", "bike": SCRIPT},
    "no bike": {"page": "bike"},
    "no trail": {"page": "laps", "bike": PICTURE},
    "a page there isn't": {"page": SCRIPT},
    "no date": {"since": PICTURE},
    "no verdict": {"verdict": SCRIPT},
    "no number": {"skip": "-1"},
    "a huge number": {"skip": "9" * 30},
    "no day": {"day": f"../{SCRIPT}"},
    "a section": {"section": SCRIPT},
}


@pytest.mark.parametrize("asked", ODD.values(), ids=ODD)
def test_an_odd_link_is_one_clear_line(shown: Shown, asked: dict[str, str]) -> None:
    text = asked_plainly(shown, **asked)
    assert "This can't be shown" in text
    assert re.search(r'role="alert">[^<]*found [^<]* expected [^<]*</p>', text.replace("\n", " "))
    assert SCRIPT not in text
    assert shown.server.lines == []


LOOKED_FOR = (SCRIPT, PICTURE, "{{7*7}}", "\u202etxt", "🚵\u200d♀️", "x" * 5000, "%", "\x00", "' OR 1=1 --")


def test_what_is_looked_for_is_text(browser: Browser, shown: Shown) -> None:
    with opened(browser, shown.server.link, figures=False) as (tab, heard):
        for text in LOOKED_FOR:
            tab.goto(shown.link(**dict.fromkeys(("words", "bike", "customer", "trail"), text)))
            assert re.search("No kept day is like that|[0-9]+ kept day", tab.locator(".answer").inner_text())
            assert tab.locator("[name=bike]").input_value() == text.replace("\x00", "\ufffd").strip()
            assert tab.evaluate("document.documentElement.scrollWidth") <= 1280
            quiet(tab, shown.server)
        assert heard.complaints == []


def test_the_new_pages_are_as_shut_in_as_the_others(shown: Shown) -> None:
    asked = f"?{urlencode({'page': 'bike', 'bike': BIKE})}"
    path = own_path(shown.server)
    code, body, headers = status(shown.server, path + asked, {})
    assert code == 200
    assert "default-src 'none'" in headers["Content-Security-Policy"]
    assert BIKE in body
    for refused, more in (
        (f"/{asked}", {}),
        (path + asked, {"Origin": "http://evil.example"}),
        (path + asked, {"Host": "evil.example"}),
    ):
        code, body, _ = status(shown.server, refused, more)
        assert code == 403
        assert BIKE not in body


def test_customers_vanish_from_a_running_server(browser: Browser, own: Shown) -> None:
    name = CUSTOMERS[0]
    with opened(browser, own.link(customer=name), figures=False) as (tab, _):
        assert titles(tab) == ["Day 0"]
        tab.locator(".days a").first.click()
        tab.get_by_text("over time").first.wait_for()
        for customer in CUSTOMERS:
            pipeline.forget(customer, own.root)
        tab.goto(own.link(customer=name))
        assert "No kept day is like that." in tab.locator("main").inner_text()
        for asked in ({}, {"skip": "50"}, {"page": "bike", "bike": "Fleet 0"}):
            tab.goto(own.link(**asked))
            assert "Example" not in tab.content()


def test_a_day_kept_changed_and_taken_out_is_seen_so(browser: Browser, own: Shown, tmp_path: Path) -> None:
    folder = set_day(tmp_path / "june", "2026-06-06", ("a",), {})
    with opened(browser, own.link(bike="mule"), figures=False) as (tab, _):
        assert len(titles(tab)) == 3
        new = pipeline.keep(read_ride_day(folder), own.root).put.id
        tab.reload()
        assert len(titles(tab)) == 4
        with opened(browser, own.link(day=new), figures=False) as (day, _):
            day.get_by_role("heading", name="What happened on this lap?").wait_for()
            file = folder / "ride_day.toml"
            file.write_text(file.read_text(encoding="utf-8").replace("A test day", "Another title"), encoding="utf-8")
            assert pipeline.keep(read_ride_day(folder), own.root).put.id == new
            day.get_by_text("Another title").first.wait_for()  # the page loads by itself
            library.take_out(own.root, new)
            day.reload()
            assert "no kept day" in day.locator(".answer").inner_text()
        tab.reload()
        assert len(titles(tab)) == 3


def test_a_library_damaged_or_gone_is_one_clear_line(browser: Browser, own: Shown) -> None:
    aside = own.root.with_name("aside")
    asked = ({}, {"page": "bike", "bike": BIKE}, {"day": own.ids["march"]})
    own.root.rename(aside)
    for link in asked:
        with opened(browser, own.link(**link), figures=False) as (tab, _):
            assert "found no library" in tab.locator(".answer").inner_text()
    aside.rename(own.root)
    catalogue = own.root / "catalogue.sqlite"
    whole = catalogue.read_bytes()
    for left in own.root.glob("catalogue.sqlite-*"):
        left.unlink()
    catalogue.write_bytes(b"\xff" * len(whole))
    for link in asked:
        with opened(browser, own.link(**link), figures=False) as (tab, _):
            assert "damaged" in tab.locator(".answer").inner_text()
            assert "library check" in tab.locator(".answer").inner_text()
    catalogue.write_bytes(whole)
    record = own.root / "days" / f"{own.ids['april']}.1.json.gz"
    record.write_bytes(b"0")
    with opened(browser, own.link(page="bike", bike=BIKE), figures=False) as (tab, _):
        text = tab.locator("main").inner_text()
        assert "2 kept days" in text
        assert f"{record}: found a damaged file" in text
    with opened(browser, own.link(day=own.ids["april"]), figures=False) as (tab, _):
        assert "found a damaged file" in tab.locator(".answer").inner_text()
    assert own.server.lines == []
