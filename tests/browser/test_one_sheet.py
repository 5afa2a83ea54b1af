"""The report on paper: the first page is one sheet of A4, and nothing of the evidence stands on it."""

from __future__ import annotations

import re
import zlib
from collections import Counter
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import HOSTILE, write_for_the_customer, write_report
from tests.browser.served import opened
from tests.pipeline.inertial_days import make_inertial_day
from tests.pipeline.setup_days import make_setup_day
from tests.pipeline.small_days import make_day

pytestmark = pytest.mark.browser

SECONDS = 20.0
A4_POINTS = (595, 842)
"""210 mm by 297 mm at 72 points an inch (ISO 216), rounded."""
LONG = "a name that nobody would write out in full, though somebody did, and nobody can say why " * 2
NAMES = "".join(
    f'[{table}]\nname = "{LONG}"\n{other} = "{LONG}"\n' for table, other in (("shop", "contact"), ("customer", "bike"))
)


def three_setups(folder: Path) -> Path:
    return make_day(folder, "abccba", seconds=SECONDS, deeper_mm={"b": 9.0, "c": -9.0})


def long_names(folder: Path) -> Path:
    labels = {name: LONG + name for name in "abcd"}
    return make_day(folder, "abcdabcd", seconds=SECONDS, labels=labels, deeper_mm={"b": 9.0}, extra=NAMES)


def hostile_label(folder: Path) -> Path:
    return make_day(folder, "abba", seconds=SECONDS, labels={"b": HOSTILE}, deeper_mm={"b": 9.0})


def inertial_only(folder: Path) -> Path:
    return make_inertial_day(folder, ("a", "b", "b", "a"), seconds=SECONDS)


def one_setup(folder: Path) -> Path:
    return make_day(folder, "a", seconds=SECONDS)


def recordings_only(folder: Path) -> Path:
    return make_setup_day(folder)


DAYS: Mapping[str, Callable[[Path], Path]] = {
    own.__name__: own for own in (three_setups, long_names, hostile_label, inertial_only, one_setup, recordings_only)
}


def sheets(page: Page, file: Path) -> list[tuple[int, int]]:
    """Return the width and height of each sheet printed, points."""
    page.pdf(path=str(file), prefer_css_page_size=True, print_background=True)
    boxes = re.findall(rb"/Type\s*/Page\b[^s].*?/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]", file.read_bytes(), re.DOTALL)
    return [(round(float(width)), round(float(height))) for width, height in boxes]


@pytest.fixture(scope="module")
def days(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Each day made once."""
    return cache(lambda name: DAYS[name](tmp_path_factory.mktemp(name) / "day"))


@pytest.mark.parametrize("code", ["en", "de"])
@pytest.mark.parametrize("name", DAYS)
def test_what_is_handed_to_the_customer_is_one_sheet_of_a4(
    browser: Browser, tmp_path: Path, days: Callable[[str], Path], name: str, code: str
) -> None:
    file = write_for_the_customer(days(name), tmp_path / "customer.html", code)
    with opened(browser, file.as_uri()) as (page, heard):
        assert sheets(page, tmp_path / "sheet.pdf") == [A4_POINTS]
        assert page.locator("html").get_attribute("lang") == code
        assert page.title() != "broken"
        assert page.locator("main img, main script").count() == 0
        assert page.locator(".sheet h1").inner_text()
        assert page.locator(".evidence, .drawing").count() == 0
        assert heard.complaints == []
        page.set_viewport_size({"width": 390, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert file.stat().st_size < 100_000


def test_the_evidence_begins_on_a_new_sheet(browser: Browser, compared: Path, tmp_path: Path) -> None:
    """The whole report without its evidence is one sheet: nothing of the first page runs on."""
    with opened(browser, compared.as_uri()) as (page, _):
        assert len(sheets(page, tmp_path / "whole.pdf")) > 2
        page.evaluate("document.querySelector('.evidence').replaceChildren('x')")
        assert len(sheets(page, tmp_path / "first.pdf")) == 2
        page.evaluate("document.querySelector('.evidence').remove()")
        assert len(sheets(page, tmp_path / "sheet.pdf")) == 1


def test_figures_keep_their_shape_on_paper(browser: Browser, compared: Path) -> None:
    size = "all => all.map(e => { const b = e.getBoundingClientRect(); return b.width / b.height; })"
    with opened(browser, compared.as_uri()) as (page, _):
        on_screen = page.locator(".drawing").evaluate_all(size)
        page.emulate_media(media="print")
        on_paper = page.locator(".drawing").evaluate_all(size)
        wide = page.locator(".drawing").evaluate_all("all => all.map(e => e.getBoundingClientRect().width)")
    assert on_paper == pytest.approx(on_screen, rel=0.02)
    assert max(wide) <= 336


SAMPLES = Path(__file__).parents[2] / "sample_runs"
MOST_SHEETS = {"longer_link": 8, "lighter_shims": 5}
"""One more than they take: `tests/benchmarks/printed_sheets.py` tells how full each is."""
SHEET_WIDTH_PX = 186 / 25.4 * 96
"""A4 less two margins of 12 mm."""


def images_of_each_sheet(file: Path) -> list[set[bytes]]:
    """Return the pictures drawn on each sheet that has any, by the number each has in the file."""
    written = file.read_bytes()
    parts = dict(re.findall(rb"(?:^|\n)(\d+) 0 obj\n(.*?)\nendobj", written, re.DOTALL))
    drawn = []
    for page in (part for part in parts.values() if re.search(rb"/Type\s*/Page\b", part)):
        content = re.search(rb"/Contents (\d+) 0 R", page)
        assert content is not None
        packed = parts[content[1]].split(b"stream\n", 1)[1].rsplit(b"\nendstream", 1)[0]
        drawn.append(set(re.findall(rb"/X(\d+) Do", zlib.decompress(packed))))
    return [images for images in drawn if images]


@pytest.mark.parametrize("name", MOST_SHEETS)
def test_the_evidence_takes_few_sheets_and_breaks_no_figure(browser: Browser, tmp_path: Path, name: str) -> None:
    report = write_report(SAMPLES / name, tmp_path / "report.html")
    with opened(browser, report.as_uri()) as (page, _):
        assert len(sheets(page, tmp_path / "whole.pdf")) <= MOST_SHEETS[name]
        drawn = Counter(image for images in images_of_each_sheet(tmp_path / "whole.pdf") for image in images)
        assert len(drawn) >= page.locator(".drawing").count()
        assert max(drawn.values()) == 1  # a figure over two sheets is drawn on both
        page.emulate_media(media="print")
        page.set_viewport_size({"width": int(SHEET_WIDTH_PX), "height": 900})
        # a browser prints all of a page that is too wide smaller
        assert page.evaluate("document.documentElement.scrollWidth") <= int(SHEET_WIDTH_PX)
        assert page.locator("main").inner_text().count("may hold trapped pressure") == 1
