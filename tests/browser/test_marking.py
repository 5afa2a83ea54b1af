"""Start, end, a stretch and a place set on a run's trace by mouse, thumb and keyboard, then looked at and written."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

import telemetry
from tests.browser.served import Server, opened, serving
from tests.browser.test_pages import OVERLAPS, STICKING_OUT, barriers
from tests.pipeline.small_days import make_day

pytestmark = pytest.mark.browser

SECONDS = 20.0
CLOSE_PLACES = ((5.0, "gate"), (5.4, "drop"))
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("marked")
    extra = '[[stretches]]\nname = "bumps" # of the gate\n'
    for at_s, name in CLOSE_PLACES:
        extra += f'[[marks]]\nrun = "run_1"\nat_s = {at_s}\nname = "{name}"\n'
    for name in ("mouse", "thumb", "keys"):
        make_day(root / name, ("a",), seconds=SECONDS, extra=extra)
    return root


@pytest.fixture(scope="module")
def own(root: Path) -> Iterator[Server]:
    with serving(root) as found:
        yield found


def names(tab: Page) -> list[str]:
    return tab.locator(".was span:visible").all_inner_texts()


def link(server: Server, day: str) -> str:
    server.wait_until_read(day)
    return f"{server.link}?day={day}&page=mark&event=run_1"


def dragged(tab: Page, share: float, to_share: float, *, by_touch: bool = False, y: float = 60.0) -> None:
    """Drag over the trace from one share of its width to another."""
    tab.locator(".traced").scroll_into_view_if_needed()
    box = tab.locator(".traced").bounding_box()
    assert box is not None
    from_x, to_x, at_y = box["x"] + share * box["width"], box["x"] + to_share * box["width"], box["y"] + y
    if not by_touch:
        tab.mouse.move(from_x, at_y)
        tab.mouse.down()
        tab.mouse.move(to_x, at_y, steps=3)
        tab.mouse.up()
        return
    touch = tab.context.new_cdp_session(tab)
    for kind, x in (("touchStart", from_x), *(("touchMove", from_x + n * (to_x - from_x) / 4) for n in range(1, 5))):
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": at_y}]})
    touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def chosen(tab: Page) -> list[float]:
    return [float(tab.locator(f'input[name="{name}"]').input_value()) for name in ("start", "end")]


def shown_and_written(tab: Page) -> list[str]:
    """Ask for the change, write it; return the lines that came in."""
    tab.get_by_role("button", name="Show the change").click()
    tab.get_by_role("button", name="Write it").wait_for()
    lines = tab.locator(".diff .comes code").all_inner_texts()
    tab.get_by_role("button", name="Write it").click()
    tab.wait_for_url(lambda url: "page=write" not in url and "/write" not in url)
    return lines


def test_a_stretch_is_dragged_out_named_and_written(browser: Browser, own: Server, root: Path) -> None:
    with opened(browser, link(own, "mouse"), figures=False, bypass_csp=True) as (tab, heard):
        dragged(tab, 0.25, 0.5)
        start, end = chosen(tab)
        assert (start, end) == pytest.approx((0.25 * SECONDS, 0.5 * SECONDS), abs=0.1)
        tab.get_by_role("button", name="Closer").click()
        dragged(tab, 0.9, 0.1)
        narrow = chosen(tab)
        assert narrow[1] - narrow[0] == pytest.approx(0.8 * SECONDS / 2, abs=0.1)
        tab.get_by_role("button", name="Whole log").click()
        dragged(tab, 0.25, 0.5)
        assert barriers(tab) == []
        assert tab.evaluate(OVERLAPS) == []
        tab.get_by_label("It is called").fill("bumps")
        lines = shown_and_written(tab)
        assert lines == ['run = "run_1"', f"start_s = {start}", f"end_s = {end}"]
        tab.get_by_text(f"bumps: {start:.1f} to {end:.1f}").wait_for()
        assert heard.complaints == []
    day = telemetry.read_ride_day(root / "mouse")
    assert [(one.name, one.run, one.start_s, one.end_s) for one in day.stretches] == [("bumps", "run_1", start, end)]
    assert "# of the gate" in (root / "mouse" / "ride_day.toml").read_text(encoding="utf-8")


def test_start_and_end_are_set_by_thumb(browser: Browser, own: Server, root: Path) -> None:
    with opened(browser, link(own, "thumb"), figures=False, bypass_csp=True, **PHONE) as (tab, heard):
        tab.get_by_label("start and end of the run").check()
        grip = tab.locator('[data-grip="end"]').bounding_box()
        assert grip is not None
        assert grip["width"] >= 44
        assert grip["x"] + grip["width"] <= 390  # at the log's end it stands within the trace
        assert names(tab) == ["drop"]  # where the next line leaves room
        dragged(tab, 0.1, 0.8, by_touch=True)
        before = chosen(tab)
        assert before == pytest.approx([0.1 * SECONDS, 0.8 * SECONDS], abs=0.2)
        box = tab.locator(".traced").bounding_box()
        assert box is not None
        share = 0.8 + 15 / box["width"]  # on the grip, beside its line
        dragged(tab, share, share - 0.2, by_touch=True, y=box["height"] - 20)
        start, end = chosen(tab)
        assert start == before[0]
        assert end == pytest.approx(0.6 * SECONDS, abs=0.2)
        assert tab.evaluate(STICKING_OUT) == []
        assert barriers(tab) == []
        assert shown_and_written(tab) == [f"start_s = {start}", f"end_s = {end}"]
        assert heard.complaints == []
    run = telemetry.read_ride_day(root / "thumb").run("run_1")
    assert (run.start_s, run.end_s) == (start, end)


def test_a_place_is_set_by_keyboard_alone(browser: Browser, own: Server, root: Path) -> None:
    with opened(browser, link(own, "keys"), figures=False) as (tab, heard):
        tab.get_by_label("a named stretch").focus()
        tab.keyboard.press("ArrowRight")
        assert tab.get_by_label("a place").is_checked()
        tab.keyboard.press("Tab")
        assert tab.evaluate("document.activeElement.getAttribute('aria-label')") == "Place"
        at_s = float(tab.get_by_role("slider").get_attribute("aria-valuenow") or "nan")
        for key in ("ArrowRight", "ArrowRight", "Shift+ArrowLeft", "PageUp"):
            tab.keyboard.press(key)
        assert tab.get_by_role("slider").get_attribute("aria-valuenow") == f"{at_s + 4.2:.4g}"
        field = tab.get_by_label("At, s of the log")
        field.focus()
        tab.keyboard.press("ArrowUp")
        assert float(field.input_value()) == pytest.approx(at_s + 4.3)
        assert tab.get_by_role("slider").get_attribute("aria-valuetext") == f"{at_s + 4.3:.4g} s"
        tab.get_by_label("It is called").focus()
        tab.keyboard.type("first drop")
        lines = shown_and_written(tab)
        assert lines[:2] == ["", "[[marks]]"]
        assert heard.complaints == []
    *_, mark = telemetry.read_ride_day(root / "keys").marks
    assert (mark.name, mark.run) == ("first drop", "run_1")
    assert mark.at_s == pytest.approx(at_s + 4.3)


def test_a_press_sets_a_place_and_a_run_that_is_not_there_is_told(browser: Browser, own: Server) -> None:
    with opened(browser, f"{link(own, 'keys')}", figures=False) as (tab, _):
        tab.get_by_label("a place").check()
        box = tab.locator(".traced").bounding_box()
        assert box is not None
        tab.mouse.click(box["x"] + box["width"] / 4, box["y"] + 50)
        assert chosen(tab)[0] == pytest.approx(SECONDS / 4, abs=0.1)
        tab.goto(f"{own.link}?day=keys&page=mark&event=run_9")
        assert "no run 'run_9'" in tab.locator("main").inner_text()
