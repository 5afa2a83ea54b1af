"""Logs entered and setups changed by form: with a thumb and by keyboard, a question a screen, shown before written."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import parse_qsl, urlencode, urlsplit

import pytest
from playwright.sync_api import Browser, Page

import telemetry
from dashboards.pages.settings import back_from
from tests.browser.served import Server, led_on, opened, serving
from tests.browser.test_pages import OVERLAPS, SETTLED, STICKING_OUT, barriers
from tests.pipeline.small_days import make_day, trail, write_log

pytestmark = pytest.mark.browser

PHONE, SCREEN = {"width": 390, "height": 800}, {"width": 1280, "height": 900}
HOSTILE = "\"]]\n<img src=x onerror=document.title='broken'> harsh # 'here'"
MARKUP = "lifted_2\"><img src=x onerror=document.title='broken'>"
SETUPS = """\
[setups.a]
label = "20 ml per leg"
[setups.a.front]
air_pressure_psi = 88   # at the bench
rebound = { clicks_from_closed = 9, of = 18 }
tyre_pressure_psi = 22
[setups.b]
label = "8 ml per leg"
based_on = "a"
[setups.b.front]
lower_leg_oil_each_ml = 8   # by syringe
"""


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("forms")
    for name, runs in (("entered", "ab"), ("set", "ab"), ("first", "")):
        file = make_day(place / name, ("a", "b"), seconds=2.0) / "ride_day.toml"
        text = file.read_text(encoding="utf-8")
        head, tail = text[: text.index("[setups.a]")], text[text.index("[[runs]]") :]
        file.write_text(head + SETUPS + (tail if runs else ""), encoding="utf-8")
    for made_at, name in enumerate(("lifted_1", "run_3", "sag_1", MARKUP), 1_700_000_000):
        write_log(place / "entered" / f"{name}.csv", *trail(2.0, 9))
        os.utime(place / "entered" / f"{name}.csv", (made_at, made_at))
    return place


@pytest.fixture(scope="module")
def own(root: Path) -> Iterator[Server]:
    with serving(root) as found:
        yield found


@pytest.fixture(scope="module")
def page(browser: Browser, own: Server) -> Iterator[Page]:
    """One tab for all: what it complains of is told in the end."""
    with opened(browser, own.link, figures=False, viewport=PHONE, bypass_csp=True) as (tab, heard):
        yield tab
        assert heard.complaints == []


def fine(tab: Page) -> None:
    """Nothing sticks out or overlaps on a phone and on a screen, light and dark, and nothing bars anybody."""
    for size in (SCREEN, PHONE):
        tab.set_viewport_size(size)  # type: ignore[arg-type]
        tab.evaluate(SETTLED)
        assert tab.evaluate("document.documentElement.scrollWidth") <= size["width"]
        assert tab.evaluate(STICKING_OUT) == []
        assert tab.evaluate(OVERLAPS) == []
    assert barriers(tab) == []
    small = tab.locator("main button:visible, main .answer-of:visible, main .ask input:visible").evaluate_all(
        "all => all.filter(e => e.type !== 'radio' && e.getBoundingClientRect().height < 44).map(e => e.outerHTML)"
    )
    assert small == []


def asked(tab: Page, own: Server, **fields: str) -> None:
    tab.goto(f"{own.link}?{urlencode(fields)}")


def pressed_until(tab: Page, key: str, words: str) -> None:
    """Press a key until what has the focus says so."""
    said = "() => [document.activeElement.textContent, document.activeElement.closest('label')?.textContent].join()"
    for _ in range(30):
        tab.keyboard.press(key)
        if words in tab.evaluate(said):
            return
    raise AssertionError(words)


def test_a_run_is_entered_by_keyboard_alone_and_its_words_stay_words(page: Page, own: Server, root: Path) -> None:
    file = root / "entered" / "ride_day.toml"
    before = file.read_bytes()
    asked(page, own, day="entered", page="enter")
    fine(page)
    pressed_until(page, "Tab", "Enter run_3.csv")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="What is run_3.csv?").wait_for()
    assert page.get_by_label("a run:").is_checked()
    fine(page)
    pressed_until(page, "Tab", "Next")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="What was set?").wait_for()
    assert page.get_by_label("8 ml per leg as the last run").is_checked()
    fine(page)
    pressed_until(page, "Tab", "8 ml per leg")
    page.keyboard.press("ArrowUp")
    pressed_until(page, "Tab", "Next")
    page.keyboard.press("Enter")
    for heading in ("Tyre pressures before the run?", "What did the gauge say after the run?"):
        page.get_by_role("heading", name=heading).wait_for()
        page.locator("main input:visible").first.focus()
        if "gauge" in heading:
            page.keyboard.type("84,5 psi")
        page.keyboard.press("Enter")
    page.get_by_label("Front lever").fill("open")
    page.keyboard.press("Enter")
    page.get_by_label("Air temperature").fill("14")
    page.keyboard.press("Enter")
    page.get_by_label("In the rider's words").fill(HOSTILE)
    fine(page)
    pressed_until(page, "Tab", "Show the change")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Write it").wait_for()
    fine(page)
    assert file.read_bytes() == before
    pressed_until(page, "Tab", "Write it")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="New logs").wait_for()  # three more wait
    run = telemetry.read_ride_day(file).run("run_3")
    assert (run.setup, run.lever_front, run.air_temperature_c, run.rider) == ("a", "open", 14, None)
    assert run.note == HOSTILE.replace("\n", " ")
    assert b"pressure_after_front_psi = 84.5\n" in file.read_bytes()
    assert page.title() == "New logs"


def test_a_recording_is_entered_before_the_run_it_was_made_for(page: Page, own: Server, root: Path) -> None:
    file = root / "entered" / "ride_day.toml"
    asked(page, own, day="entered", page="enter")
    page.get_by_role("button", name="Enter lifted_1.csv").click()
    assert page.get_by_label("a lifted recording").is_checked()
    page.get_by_role("button", name="Next").click()
    page.get_by_label("20 ml per leg").check()
    page.get_by_role("button", name="Next").click()
    page.get_by_role("heading", name="Before which run was it made?").wait_for()
    page.get_by_label("a run that isn't entered yet").check()
    page.get_by_role("button", name="That’s all").click()
    page.get_by_text("enter that run first, then this recording").wait_for()
    fine(page)
    page.get_by_label("run_2").check()
    page.get_by_role("button", name="Next").click()
    page.get_by_role("button", name="Show the change").click()
    page.get_by_role("button", name="Write it").wait_for()
    assert "lifted_1.csv" in page.locator("#news").get_attribute(
        "data-known"
    )  # or it is told as new while it is entered
    page.get_by_role("button", name="Write it").click()
    page.get_by_role("heading", name="New logs").wait_for()
    (item,) = telemetry.read_ride_day(file).static
    assert (item.name, item.kind, item.before_order, item.setup, item.pulled) == (
        "lifted_1.csv",
        "lifted",
        2,
        "a",
        False,
    )


def test_other_tyre_pressures_are_another_setup(page: Page, own: Server, root: Path) -> None:
    file = root / "entered" / "ride_day.toml"
    write_log(root / "entered" / "run_4.csv", *trail(2.0, 9))
    os.utime(root / "entered" / "run_4.csv", (1, 1))
    asked(
        page, own, day="entered", page="enter", what="enter", name="run_4.csv", kind="run", setup_of="b", step="tyres"
    )
    assert page.get_by_label("Front tyre").input_value() == "22 psi"
    page.get_by_label("Front tyre").fill("1,4 bar")
    page.get_by_role("button", name="That’s all").click()
    page.get_by_role("button", name="Write it").click()
    page.get_by_role("heading", name="New logs").wait_for()
    day = telemetry.read_ride_day(file)
    setup = day.setups[day.run("run_4").setup]
    assert setup.label == "8 ml per leg, front tyre 1.4 bar"
    assert (setup.front.value("tyre_pressure_bar"), setup.front.value("lower_leg_oil_each_ml")) == (1.4, 8)
    assert day.setups["b"].front.settings["tyre_pressure_bar"].entered == "22 psi"


def test_a_setup_added_while_a_log_is_entered_leads_back_to_its_question(page: Page, own: Server, root: Path) -> None:
    write_log(root / "entered" / "run_5.csv", *trail(2.0, 9))
    os.utime(root / "entered" / "run_5.csv", (1, 1))
    asked(page, own, day="entered", page="enter", what="enter", name="run_5.csv")
    page.get_by_label("a still recording").check()  # not what it looks like: the answer has to be kept
    page.get_by_role("button", name="Next").click()
    page.get_by_role("button", name="Add a setup first").click()
    page.get_by_text("entering run_5.csv goes on").wait_for()
    fine(page)
    page.get_by_label("What do you call it?").fill("short link")
    page.get_by_role("button", name="Go on: front").click()
    page.get_by_label("Air pressure").fill("8000")
    page.get_by_role("button", name="Show the change").click()
    page.get_by_label("Air pressure").fill("82")  # what is wrong is asked again, and the log isn't forgotten
    page.get_by_role("button", name="Show the change").click()
    assert "run_5.csv" in str(page.locator("#news").get_attribute("data-known"))
    kept = {"page": "enter", "step": "setup", "name": "run_5.csv", "kind": "still"}
    leave = page.get_by_role("link", name="Leave the file as it is").get_attribute("href")
    page.get_by_role("button", name="Write it").click()
    page.get_by_role("heading", name="What was set?").wait_for()
    for link in (leave, page.url):
        assert dict(parse_qsl(urlsplit(link).query)) == {"day": "entered", **kept}
    log = (("kind", "run"), ("name", "front.csv"), ("rear_log", "rear.csv"))  # where each end has a logger of its own
    page_back, answered = back_from((("label", "short link"), ("place", "front"), *log))
    assert (page_back, dict(parse_qsl(answered))) == ("enter", {"step": "setup", **dict(log)})
    page.get_by_label("short link").check()
    fine(page)
    page.get_by_role("button", name="Next").click()
    page.get_by_role("heading", name="Before which run was it made?").wait_for()


def test_a_number_that_makes_no_sense_is_told_at_its_question(page: Page, own: Server, root: Path) -> None:
    before = (root / "entered" / "ride_day.toml").read_bytes()
    fields = {"what": "enter", "name": f"{MARKUP}.csv", "kind": "run", "setup_of": "a", "v_note": "kept"}
    asked(page, own, day="entered", page="write", **fields, v_air_temperature_c="900", v_rider="R1")
    page.get_by_role("heading", name="Weather, rider, trail?").wait_for()
    assert "expected a number from -40 to 60" in page.locator(".ask", has_text="Air temperature").inner_text()
    assert page.get_by_label("Rider").input_value() == "R1"
    page.get_by_label("Air temperature").fill("9")
    with led_on(page, figures=False):
        page.get_by_role("button", name="That’s all").click()
    shown = page.locator(".diff").inner_text()
    assert 'note = "kept"' in shown
    assert f"log = {json.dumps(MARKUP + '.csv')}" in shown
    assert page.title() == f"Enter {MARKUP}.csv: a run"
    assert (root / "entered" / "ride_day.toml").read_bytes() == before


def test_the_first_run_of_a_day_is_entered(page: Page, own: Server, root: Path) -> None:
    """A day without runs has no other page yet."""
    asked(page, own, day="first", page="enter")
    page.get_by_role("button", name="Enter run_1.csv").click()
    page.get_by_role("button", name="Next").click()
    page.get_by_role("button", name="That’s all").click()
    page.get_by_role("button", name="Write it").click()
    page.get_by_role("button", name="Enter run_2.csv").wait_for()
    assert telemetry.read_ride_day(root / "first").runs[0].setup == "a"


def test_a_setup_is_changed_and_what_is_wrong_stands_beside_its_field(page: Page, own: Server, root: Path) -> None:
    file = root / "set" / "ride_day.toml"
    before = file.read_text(encoding="utf-8")
    asked(page, own, day="set", page="set")
    fine(page)
    row = page.locator("tr", has_text="lower-leg oil").first
    assert row.locator("strong").inner_text() == "8\u00a0ml"
    assert "88\u00a0psi" in page.locator("tr", has_text="air pressure").locator("td").nth(1).inner_text()
    assert "from 20 ml per leg" in page.locator("tr", has_text="air pressure").locator("td").nth(1).inner_text()
    page.get_by_role("button", name="Front of 8 ml per leg").click()
    page.get_by_label("Another setting").select_option("lever")
    page.get_by_label("Air pressure").fill("8000")
    page.get_by_role("button", name="Add it to the form").click()
    page.get_by_label("Lever").fill("open")
    page.get_by_label("from closed").fill("30")
    page.get_by_label("of", exact=True).fill("18")
    with led_on(page, figures=False):
        page.get_by_role("button", name="Show the change").click()
    fields = page.locator(".ask", has_text="Air pressure"), page.locator(".ask", has_text="Rebound")
    assert [field.locator(".mistake").count() for field in fields] == [1, 1]
    assert page.get_by_label("Air pressure").get_attribute("aria-invalid") == "true"
    fine(page)
    assert file.read_text(encoding="utf-8") == before
    page.get_by_label("Air pressure").fill("82")
    page.get_by_label("from closed").fill("7")
    page.get_by_label("Lower-leg oil").fill("")
    page.get_by_role("button", name="Show the change").click()
    page.get_by_role("button", name="Write it").click()
    page.get_by_role("heading", name="What is set?").wait_for()
    front = telemetry.read_ride_day(file).setups["b"].front
    assert front.settings["air_pressure_bar"].entered == "82 psi"
    assert (front.value("lower_leg_oil_each_ml"), front.value("lever")) == (None, "open")
    after = file.read_text(encoding="utf-8")
    assert [line for line in before.splitlines() if line not in after.splitlines()] == [
        "lower_leg_oil_each_ml = 8   # by syringe"
    ]
    assert "# by syringe" in after


def test_a_setup_is_added_on_another(page: Page, own: Server, root: Path) -> None:
    asked(page, own, day="set", page="set")
    page.get_by_label("What do you call it?").fill('softer "still" \\')
    page.get_by_label("8 ml per leg").check()
    page.get_by_role("button", name="Go on: front").click()
    page.get_by_label("Called").fill("")
    page.get_by_role("button", name="Show the change").click()
    page.get_by_text("what the setup is called").wait_for()
    page.get_by_label("Called").fill('softer "still" \\')
    page.get_by_label("Air pressure").fill("5,5 bar")
    page.get_by_role("button", name="Show the change").click()
    page.get_by_role("button", name="Write it").click()
    page.get_by_role("heading", name="What is set?").wait_for()
    setup = telemetry.read_ride_day(root / "set").setups["softer_still"]
    assert (setup.label, setup.front.value("air_pressure_bar")) == ('softer "still" \\', 5.5)


def test_every_page_tells_of_a_new_log(page: Page, own: Server, root: Path) -> None:
    own.wait_until_read("set")
    (root / "unridden").mkdir()
    text = (root / "set" / "ride_day.toml").read_text(encoding="utf-8")
    (root / "unridden" / "ride_day.toml").write_text(text[: text.index("[[runs]]")], encoding="utf-8")
    for day in ("set", "unridden"):
        shutil.copy(root / "set" / "run_1.csv", root / day / "new.csv")
        os.utime(root / day / "new.csv", (1, 1))
    leave_out = {"what": "leave_out", "name": "run_1", "reason": "fell"}
    for fields in (
        {"day": "set"},
        {"day": "set", "page": "speed"},
        {"day": "set", "page": "set"},
        {"day": "set", "page": "write", **leave_out},
        {"day": "set", "page": "none"},
        {"day": "unridden"},
        {},
    ):
        asked(page, own, **fields)
        page.get_by_role("link", name="enter it").first.wait_for()
    page.locator("#news", has_text="A new log is here in A test day (new.csv)").wait_for()
