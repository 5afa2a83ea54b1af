"""Changes asked for on pages: what is shown is what is written, or it is refused with both shown."""

from __future__ import annotations

import os
import re
import threading
import time
from collections.abc import Callable, Iterator
from html import unescape
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import quote, urlencode, urlsplit

import pytest
from playwright.sync_api import Browser, Route

import telemetry
from tests.browser.served import PATIENCE_S, Server, led_on, opened, serving, told_the_news
from tests.browser.test_pages import barriers
from tests.pipeline.small_days import make_day, trail, write_log

pytestmark = pytest.mark.browser

SECONDS = 4.0
WRITERS = 25
Form = dict[str, str]


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("written")


@pytest.fixture(scope="module")
def own(root: Path) -> Iterator[Server]:
    with serving(root) as found:
        yield found


def day_of(server: Server, root: Path, name: str, runs: str = "ab", seconds: float = SECONDS) -> Path:
    folder = make_day(root / name, tuple(runs), seconds=seconds)
    server.wait_until_read(name)
    return folder / "ride_day.toml"


def sent(server: Server, where: str, fields: Form | None = None) -> tuple[int, str]:
    """Ask, or send a form, as a browser does; return the answer's status, and its text or where it leads."""
    parts = urlsplit(server.link)
    asking = HTTPConnection(parts.hostname or "", parts.port or 0, timeout=PATIENCE_S)
    body = None if fields is None else urlencode(fields)
    headers = {} if body is None else {"Content-Type": "application/x-www-form-urlencoded"}
    asking.request("GET" if body is None else "POST", parts.path + where, body, headers)
    answer = asking.getresponse()
    text = answer.read().decode("utf-8")
    asking.close()
    return answer.status, answer.getheader("Location", text)


def asked(server: Server, **fields: str) -> str:
    status, text = sent(server, f"?{urlencode({'page': 'write', **fields})}")
    assert status == 200
    assert "own fault" not in text
    return text


def form(text: str) -> Form:
    return {name: unescape(value) for name, value in re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', text)}


def written(server: Server, fields: Form) -> str:
    """Send a form; return the page that says why it wasn't written, empty where it was."""
    status, text = sent(server, "write", fields)
    assert status in (200, 303), text
    assert "own fault" not in text
    return text if status == 200 else ""


def lines(text: str, sign: str) -> list[str]:
    return [unescape(line) for line in re.findall(rf'<li class="{sign}">.*?<code>(.*?)</code>', text)]


def swapped(text: str) -> str:
    head, first, second = text.split("[[runs]]")
    return f"{head}[[runs]]{second}\n[[runs]]{first[:-1]}"


def test_a_change_is_shown_before_it_is_written(browser: Browser, own: Server, root: Path) -> None:
    file = day_of(own, root, "shown", "abba", seconds=20.0)
    file.write_text(file.read_text(encoding="utf-8") + "# the tuner's last word\n", encoding="utf-8")
    before = file.read_text(encoding="utf-8")
    sent(own, "again", {"day": "shown"})
    own.wait_until_read("shown")
    with opened(browser, f"{own.link}?day=shown&page=trust") as (tab, heard):
        tab.locator("details.edit summary").first.click()
        tab.get_by_label("Leave it out, because").first.fill('fell <b>"hard"</b>')
        tab.get_by_role("button", name="Show the change").first.click()
        tab.get_by_role("button", name="Write it").wait_for()
        assert file.read_text(encoding="utf-8") == before
        assert tab.locator(".diff .comes").inner_text().endswith('leave_out = "fell <b>\\"hard\\"</b>"')
        tab.get_by_role("button", name="Write it").click()
        tab.get_by_text('Left out of every comparison: fell <b>"hard"</b>').wait_for()
        assert tab.locator(".square.unused").count() == 1
        assert heard.complaints == []
    assert telemetry.read_ride_day(file).run("run_1").leave_out == 'fell <b>"hard"</b>'
    assert file.read_text(encoding="utf-8").replace('leave_out = "fell <b>\\"hard\\"</b>"\n', "") == before


def test_a_new_log_is_taken_in_from_the_page(browser: Browser, own: Server, root: Path) -> None:
    file = day_of(own, root, "longer", seconds=10.0)
    with opened(browser, f"{own.link}?day=longer", figures=False) as (tab, _):
        write_log(file.parent / "run_3.csv", *trail(SECONDS, 9))
        tab.get_by_role("link", name="enter it").click()
        tab.get_by_role("button", name="Enter run_3.csv").click()
        tab.get_by_role("button", name="Next").click()
        tab.get_by_label("setup b").check()
        tab.get_by_role("button", name="That’s all").click()
        tab.get_by_role("button", name="Write it").click()
        tab.get_by_text("run_3 (b)").wait_for()
    assert telemetry.read_ride_day(file).run("run_3").setup == "b"


def test_naming_what_decides_from_the_page(browser: Browser, own: Server, root: Path) -> None:
    day_of(own, root, "decided", "abba", seconds=20.0)
    with opened(browser, f"{own.link}?day=decided&page=fair") as (tab, _):
        tab.get_by_text("Name what decides").click()
        tab.get_by_label("Dynamic sag, front", exact=True).check()
        with led_on(tab, figures=False):
            tab.get_by_role("button", name="Show the change").click()
        assert "named_at" in tab.locator(".diff").inner_text()
        assert "best named before riding" in tab.locator("main").inner_text()
        tab.get_by_role("button", name="Write it").click()
        tab.wait_for_url(lambda url: "page=write" not in url)  # a link followed at once would stop the writing
        tab.get_by_role("link", name="Is it a fair comparison?").click()
        tab.get_by_text("Focus: Dynamic sag, front").wait_for()


def read_again(own: Server, day: str) -> None:
    own.wait_until_read(day)
    sent(own, "again", {"day": day})
    own.wait_until_read(day)


def test_a_link_that_was_followed_is_not_lost_to_a_day_read_again(browser: Browser, own: Server, root: Path) -> None:
    """What is asked for takes its time; meanwhile the page it is asked from would load anew.

    It waits for half a minute by its own clock, which a busy machine may take to read a day: it is stopped.
    """
    day_of(own, root, "followed", seconds=10.0)
    with opened(browser, f"{own.link}?day=followed&page=trust") as (tab, _):
        tab.evaluate("() => { const now = performance.now(); performance.now = () => now; }")
        held: list[Route] = []
        tab.route(re.compile("page=fair"), lambda route: held.append(route))  # noqa: PLW0108 - it has to take marks
        tab.get_by_role("link", name="Is it a fair comparison?").click(no_wait_after=True)
        read_again(own, "followed")
        for _ in range(2):  # the first may have been asked for before; nothing can be asked of a page that is left
            with tab.expect_response(lambda answer: "news?" in answer.url):
                pass
        tab.wait_for_timeout(200)
        for route in held:
            route.continue_()
        tab.wait_for_url(re.compile("page=fair"))


def test_a_form_that_was_begun_is_not_lost_to_a_day_read_again(browser: Browser, own: Server, root: Path) -> None:
    day_of(own, root, "begun")
    with opened(browser, f"{own.link}?day=begun&page=trust") as (tab, _):
        tab.locator("details.edit summary").first.click()
        reason = tab.get_by_label("Leave it out, because").first
        reason.fill("fell")
        read_again(own, "begun")
        told_the_news(tab)
        assert reason.input_value() == "fell"
        tab.get_by_role("link", name="load it").click()
        reason.wait_for(state="hidden")
        assert reason.input_value() == ""


def test_a_change_that_makes_no_sense_is_told(browser: Browser, own: Server, root: Path) -> None:
    file = day_of(own, root, "senseless", seconds=10.0)
    before = file.read_bytes()
    with opened(browser, f"{own.link}?day=senseless&page=trust") as (tab, _):
        for start, words in (("later", "seconds, such as"), ("9999", "")):
            tab.goto(f"{own.link}?day=senseless&page=write&what=bounds&name=run_1&start={start}&end=5")
            assert "can't be shown" in tab.locator("h1").inner_text()
            assert words in tab.locator("main").inner_text()
    assert file.read_bytes() == before


def test_a_page_that_proposes_a_change_stands_still(browser: Browser, own: Server, root: Path) -> None:
    """And so does one that says why it can't be shown."""
    day_of(own, root, "still")
    for name, button in (("run_1", 1), ("run_9", 0)):
        link = f"{own.link}?day=still&page=write&what=leave_out&name={name}&reason=fell"
        with opened(browser, link, figures=False) as (tab, heard):
            loads: list[str] = []
            tab.on("load", lambda _, loads=loads: loads.append("load"))
            told_the_news(tab, since_ms=0)
            assert loads == []
            assert tab.get_by_role("button", name="Write it").count() == button
            assert heard.complaints == []


def test_runs_swapped_while_a_change_is_shown(browser: Browser, own: Server, root: Path) -> None:
    """An edit that keeps size and time: the neighbour isn't written into; after a second look the right one is."""
    file = day_of(own, root, "swapped", seconds=10.0)
    with opened(browser, f"{own.link}?day=swapped&page=trust", figures=False) as (tab, _):
        tab.locator("details.edit summary").first.click()
        tab.get_by_label("Leave it out, because").first.fill("fell")
        tab.get_by_role("button", name="Show the change").first.click()
        tab.get_by_role("button", name="Write it").wait_for()
        before = file.stat()
        file.write_text(swapped(file.read_text(encoding="utf-8")), encoding="utf-8")
        os.utime(file, ns=(before.st_atime_ns, before.st_mtime_ns))
        assert file.stat().st_size == before.st_size
        tab.get_by_role("button", name="Write it").click()
        tab.get_by_role("heading", name="Nothing was written").wait_for()
        assert barriers(tab) == []
        asked_for, since = tab.locator(".diff").all()
        assert asked_for.locator(".comes code").all_inner_texts() == ['leave_out = "fell"']
        assert since.locator(".goes").count() == since.locator(".comes").count() > 0
        assert "leave_out" not in file.read_text(encoding="utf-8")
        tab.get_by_role("button", name="Read the day again").click()
        tab.get_by_role("button", name="Write it").click()
        tab.get_by_text("Left out of every comparison: fell").wait_for()
    day = telemetry.read_ride_day(file)
    assert [(run.name, run.leave_out) for run in day.runs] == [("run_2", None), ("run_1", "fell")]


def test_a_name_that_turns_the_words_around_it_is_shown_straight_and_written_exactly(own: Server, root: Path) -> None:
    name = "turned\u202e_round"
    file = make_day(root / name, ("a", "b"), seconds=SECONDS) / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace("[[runs]]", '[[runs]]\nname = "on\u202ee"', 1)
    file.write_text(text, encoding="utf-8")
    own.wait_until_read(quote(name))
    page = asked(own, day=name, what="leave_out", name="on\u202ee", reason="fell")
    fields = form(page)
    assert (fields["day"], fields["name"]) == (name, "on\u202ee")
    for shown in (page, sent(own, f"?{urlencode({'day': name})}")[1]):
        assert "\u202e" not in re.sub(r'(value|data-day)="[^"]*"', "", shown)
    assert written(own, fields) == ""
    assert telemetry.read_ride_day(file).run("on\u202ee").leave_out == "fell"


EDITS: dict[str, tuple[Callable[[str], bytes], str]] = {
    "last run removed": (lambda text: text[: text.rindex("[[runs]]")].encode(), ""),
    "run renamed": (lambda text: text.replace("[[runs]]", '[[runs]]\nname = "other"', 1).encode(), ""),
    "other encoding": (lambda text: text.replace("A test day", "caf\xe9").encode("latin-1"), "isn't UTF-8"),
    "runs of numbers": (lambda text: f"runs = [1, 2]\n{text[: text.index('[[runs]]')]}".encode(), "expected a table"),
    "runs a word": (lambda text: f'runs = "a"\n{text[: text.index("[[runs]]")]}'.encode(), "runs: found"),
    "no TOML": (lambda text: f"{text}\n[[".encode(), "valid TOML"),
    "empty": (lambda _: b"", "ride_day: found nothing"),
}


@pytest.fixture(scope="module")
def edited_outside(own: Server, root: Path) -> Path:
    return day_of(own, root, "outside")


@pytest.mark.parametrize("edit", EDITS)
def test_a_file_edited_outside_is_told_and_left_alone(own: Server, edited_outside: Path, edit: str) -> None:
    before = edited_outside.read_bytes()
    wish = {"day": "outside", "what": "leave_out", "name": "run_1", "reason": "fell"}
    shown = form(asked(own, **wish))
    change, trouble = EDITS[edit]
    edited = change(before.decode("utf-8"))
    edited_outside.write_bytes(edited)
    try:
        for text in (asked(own, **wish), written(own, shown)):
            assert "Nothing was written" in text
            assert 'leave_out = "fell"' in lines(text, "comes")
            assert trouble in unescape(text)
        assert edited_outside.read_bytes() == edited
    finally:
        edited_outside.write_bytes(before)


@pytest.mark.parametrize(("become", "found"), [("gone", "found no such file"), ("a folder", "found a folder")])
def test_a_file_that_is_none_any_more_is_told(own: Server, root: Path, become: str, found: str) -> None:
    file = day_of(own, root, become.replace(" ", "_"))
    shown = form(asked(own, day=file.parent.name, what="leave_out", name="run_1", reason="fell"))
    file.unlink()
    if become == "a folder":
        file.mkdir()
    else:
        own.wait_until_gone("gone")
    assert found in written(own, shown)


def test_a_day_made_wrong_and_mended_is_looked_at_again(own: Server, root: Path) -> None:
    file = day_of(own, root, "mended")
    good = file.read_text(encoding="utf-8")
    wish = {"day": "mended", "what": "leave_out", "name": "run_1", "reason": "fell"}
    file.write_text(good.replace("travel_mm", "travle_mm"), encoding="utf-8")
    again = form(asked(own, **wish))
    assert sent(own, "again", again) == (303, f"./{again['back']}")
    file.write_text(good.replace("A test day", "Another day"), encoding="utf-8")
    assert sent(own, "again", again)[0] == 303
    own.wait_until_read("mended")
    assert written(own, form(asked(own, **wish))) == ""
    assert telemetry.read_ride_day(file).run("run_1").leave_out == "fell"


def test_a_page_sent_twice_is_written_once(own: Server, root: Path) -> None:
    file = day_of(own, root, "twice")
    shown = form(asked(own, day="twice", what="bounds", name="run_2", start="1,5", end="9"))
    assert written(own, shown) == written(own, shown) == ""
    assert file.read_text(encoding="utf-8").count("start_s = 1.5") == 1


def test_a_change_asked_for_on_a_page_of_an_older_reading_is_refused(own: Server, root: Path) -> None:
    """The run of that name may be another by now."""
    file = day_of(own, root, "older")
    made_from = telemetry.read_ride_day(file).fingerprint
    file.write_text(swapped(file.read_text(encoding="utf-8")), encoding="utf-8")
    sent(own, "again", {"day": "older", "back": "?"})
    own.wait_until_read("older")
    wish = {"day": "older", "what": "leave_out", "name": "run_1", "reason": "fell"}
    assert "Nothing was written" in asked(own, **wish, made_from=made_from)
    assert "Write it" in asked(own, **wish)
    assert "made long ago" in asked(own, **wish, made_from="0")


def test_a_change_other_than_was_shown_is_refused(own: Server, root: Path) -> None:
    file = day_of(own, root, "other")
    before = file.read_bytes()
    shown = form(asked(own, day="other", what="leave_out", name="run_1", reason="fell"))
    for key, value, words in (
        ("name", "run_2", "another change than was shown"),
        ("made_from", "0", "made long ago"),
        ("at", "noon", "no moment"),
        ("at", "2026-05-16T12:00:00", "no moment"),
        ("what", "", "one that a page offers"),
    ):
        assert words in written(own, {**shown, key: value})
    assert file.read_bytes() == before


def test_the_time_that_is_shown_is_the_time_that_is_written(own: Server, root: Path) -> None:
    file = day_of(own, root, "named")
    text = asked(own, day="named", what="focus", focus="packing:rear")
    (line,) = (line for line in lines(text, "comes") if line.startswith("named_at"))
    time.sleep(1.1)
    assert written(own, form(text)) == ""
    assert line in file.read_text(encoding="utf-8").splitlines()


def test_a_new_log_copied_once_more_is_looked_at_again(own: Server, root: Path) -> None:
    file = day_of(own, root, "copied")
    log = file.parent / "run_3.csv"
    write_log(log, *trail(SECONDS, 9))
    os.utime(log, (1_700_000_000, 1_700_000_000))
    shown = form(asked(own, day="copied", what="run", name="run_3.csv", setup_of="b"))
    os.utime(log, (1_700_000_100, 1_700_000_100))
    assert "written again since" in written(own, shown)
    assert written(own, form(asked(own, day="copied", what="run", name="run_3.csv", setup_of="b"))) == ""
    assert telemetry.read_ride_day(file).run("run_3").setup == "b"


def test_of_25_changes_sent_to_two_servers_at_once_none_is_lost(own: Server, root: Path) -> None:
    file = day_of(own, root, "many", "a" * WRITERS, seconds=2.0)
    with serving(root) as other:
        other.wait_until_read("many")
        servers = [own, other] * WRITERS
        wishes = [(servers[n], f"run_{n + 1}", f"reason {n}") for n in range(WRITERS)]
        shown = [form(asked(server, day="many", what="leave_out", name=run, reason=why)) for server, run, why in wishes]
        said: dict[str, str] = {}
        together = threading.Barrier(WRITERS)

        def send(number: int) -> None:
            server, run, why = wishes[number]
            together.wait()
            if not written(server, shown[number]):
                said[run] = why

        senders = [threading.Thread(target=send, args=(number,)) for number in range(WRITERS)]
        for sender in senders:
            sender.start()
        for sender in senders:
            sender.join()
    there = {run.name: run.leave_out for run in telemetry.read_ride_day(file).runs if run.leave_out}
    assert there == said
    assert len(said) == 1
    assert [path.name for path in file.parent.iterdir() if path.name.startswith(".")] == []
