"""One bad day never harms the list, and no file is looked at where everybody is answered."""

from __future__ import annotations

import json
import os
import re
import shutil
import time
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from urllib.parse import quote, urlencode
from urllib.request import urlopen

import pytest
from playwright.sync_api import Browser

from tests.browser.served import PATIENCE_S, Server, opened, serving, serving_watched, told_the_news
from tests.pipeline.small_days import make_day

pytestmark = pytest.mark.browser
TOLD = re.compile(r"found .*; expected |the program's own fault: RecursionError")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("bad")
    make_day(place / "good", ("a", "b"), seconds=10.0)
    make_day(place / os.fsdecode(b"bytes_\xff"), ("a",), seconds=10.0)
    for name in ("fifo", "folder", "dangling", "deep", "binary", "empty", "wide", "links"):
        (place / name).mkdir()
    os.mkfifo(place / "fifo" / "ride_day.toml")
    (place / "folder" / "ride_day.toml").mkdir()
    (place / "dangling" / "ride_day.toml").symlink_to("nothing.toml")
    (place / "deep" / "ride_day.toml").write_text("a" + ".a" * 500 + " = 1", encoding="ascii")
    (place / "binary" / "ride_day.toml").write_bytes(bytes(range(256)))
    (place / "empty" / "ride_day.toml").write_bytes(b"")
    (place / "wide" / "ride_day.toml").write_text("x = " + "[" * 50_000, encoding="ascii")
    (place / "links" / "ride_day.toml").symlink_to("../good/ride_day.toml")
    (place / "again").symlink_to("good")
    return place


WRONG = ("fifo", "folder", "dangling", "deep", "binary", "empty", "wide", "links")


@pytest.fixture(scope="module")
def server(folder: Path) -> Iterator[Server]:
    with serving(folder) as found:
        found.wait_until_read("good")
        yield found


def rows(server: Server, browser: Browser) -> dict[str, str]:
    """What the list says of each day, by what it calls it."""
    with opened(browser, server.link, figures=False) as (page, heard):
        page.wait_for_selector("ol.days")
        page.wait_for_function("() => !/not read yet|being read/.test(document.body.innerText)")
        texts = [item.inner_text() for item in page.query_selector_all("ol.days > li")]
        assert not heard.complaints
    return {text.splitlines()[0]: text for text in texts}


def test_every_bad_day_is_told_and_every_good_one_stands(server: Server, browser: Browser) -> None:
    found = rows(server, browser)
    assert len(found) == len(WRONG) + 1, found  # two good ones bear one title
    for name in WRONG:
        assert TOLD.search(found[name]), found[name]
    assert "no ordinary file" in found["fifo"]
    assert "leads out of its folder" in found["links"]
    assert not server.lines


@pytest.mark.parametrize("name", [*WRONG, "nowhere", "../good", "bytes_\\xfe"])
def test_a_bad_days_own_page_says_what_is_wrong(server: Server, name: str) -> None:
    ends = time.monotonic() + PATIENCE_S
    text = "Reading the logs"
    while "Reading the logs" in text and time.monotonic() < ends:
        with urlopen(f"{server.link}?day={quote(name)}") as answer:  # noqa: S310 - our own server
            text = unescape(answer.read().decode())
    assert "<h1>This can't be shown</h1>" in text
    assert TOLD.search(text)
    assert not server.lines


def test_a_days_own_page_lists_everything_its_file_lacks_and_leads_elsewhere(tmp_path: Path, browser: Browser) -> None:
    (tmp_path / "drafted").mkdir()
    (tmp_path / "drafted" / "ride_day.toml").write_text(
        '[ride_day]\ntitle = "drafted"\n[bike.front]\ntravel_mm = -1\n', encoding="utf-8"
    )
    with serving(tmp_path) as server, opened(browser, server.link + "?day=drafted", figures=False) as (tab, _):
        tab.wait_for_selector("[role=alert] li")
        told = tab.locator("[role=alert] li").all_inner_texts()
        assert {line.split(":")[0] for line in told} >= {"ride_day.date", "bike.front.travel_mm"}
        assert "telemetry check" not in tab.inner_text("[role=alert]")
        assert tab.get_by_role("link", name="all ride days").count() == 1
        assert tab.get_by_role("link", name="this day as a whole").count() == 0  # it is this very page


def test_a_day_whose_folder_has_no_readable_name_is_shown(server: Server, browser: Browser) -> None:
    name = "bytes_\\xff"
    server.wait_until_read(quote(name))
    for page in ("lap", "travel", "trust"):
        with opened(browser, f"{server.link}?day={quote(name)}&page={page}", figures=page == "travel") as (tab, heard):
            assert "This can't be shown" not in tab.inner_text("main")
            assert not heard.complaints


def test_a_page_that_says_what_is_wrong_with_its_link_is_not_loaded_again_and_again(
    server: Server, browser: Browser
) -> None:
    server.wait_until_read("good")
    with opened(browser, f"{server.link}?day=good&setup=none", figures=False) as (page, heard):
        assert "This can't be shown" in page.inner_text("main")
        told_the_news(page, since_ms=0)
        loads = [request for request in heard.requests if "setup=none" in request]
        assert len(loads) == 1


def news(server: Server, day: str = "") -> dict[str, object]:
    with urlopen(f"{server.link}news?day={quote(day)}") as answer:  # noqa: S310 - our own server
        found: dict[str, object] = json.load(answer)
    return found


def listed(server: Server) -> str:
    with urlopen(server.link) as answer:  # noqa: S310 - our own server
        return answer.read().decode()


def test_days_that_come_and_go_are_noticed_while_the_list_is_looked_at(server: Server, folder: Path) -> None:
    def wait_for(word: str, *, there: bool) -> None:
        ends = time.monotonic() + PATIENCE_S
        while (word in listed(server)) != there or (there and news(server)["version"] == version):
            assert time.monotonic() < ends
            time.sleep(0.2)

    version = news(server)["version"]
    make_day(folder / "later" / "one", ("a",), seconds=5.0)
    wait_for("later/one", there=True)
    shutil.rmtree(folder / "later")
    wait_for("later/one", there=False)
    assert news(server, "later/one")["state"] == "failed"
    make_day(folder / "asked_for", ("a",), seconds=5.0)
    with urlopen(f"{server.link}?day=asked_for") as answer:  # noqa: S310 - our own server
        assert "no ride day" not in answer.read().decode()


def test_nobody_who_is_answered_waits_for_a_file(tmp_path: Path) -> None:
    """Opening, listing and asking about a file are noted where the thread that answers does them."""
    make_day(tmp_path / "day", ("a", "b"), seconds=10.0)
    make_day(tmp_path / "other", ("a",), seconds=5.0)
    with serving_watched(tmp_path) as server:
        server.wait_until_read("day")
        listed(server)
        for page in ("change", "trust", "travel", "where", "fair"):
            with urlopen(f"{server.link}?day=day&page={page}") as answer:  # noqa: S310 - our own server
                assert "This can't be shown" not in answer.read().decode()
        (tmp_path / "day" / "new.csv").write_bytes((tmp_path / "day" / "run_1.csv").read_bytes())
        os.utime(tmp_path / "day" / "new.csv", (0, 0))
        ends = time.monotonic() + PATIENCE_S
        while news(server, "day")["logs"] != [{"day": "day", "title": "", "logs": ["new.csv"]}]:
            assert time.monotonic() < ends
            time.sleep(0.2)
        with urlopen(f"{server.link}?day=day&page=write&what=leave_out&name=run_1&reason=fell") as answer:  # noqa: S310 - our own server
            fields = re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', answer.read().decode())
        for asked, body in (("write", urlencode(fields)), ("again", "day=day")):
            with urlopen(f"{server.link}{asked}", data=body.encode()) as answer:  # noqa: S310 - our own server
                assert "Not written" not in answer.read().decode()
        assert 'leave_out = "fell"' in (tmp_path / "day" / "ride_day.toml").read_text(encoding="utf-8")
        assert server.lines == []
