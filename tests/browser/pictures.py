"""Picture every page and the report: ``python -m tests.browser.pictures OUT [DAY_FOLDER]``.

Light, dark and printed, 390, 1280 and 1920 px wide; the sample days where no folder is named.
"""

from __future__ import annotations

import sys
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

import telemetry
from dashboards.pages.questions import COMPARED, LAP
from dashboards.report import render_report
from telemetry.pipeline import report_parts
from tests.browser.conftest import FLAGS, chromium_path
from tests.browser.served import DRAWN, READ, serving

SAMPLES = Path(__file__).parent.parent.parent / "sample_runs"
LOOKS = (("light", 1280), ("dark", 1280), ("light", 390), ("dark", 390), ("light", 1920), ("print", 760))


def take(page: Page, file: Path, look: str) -> None:
    """Picture a page that has been drawn."""
    page.wait_for_function(READ, timeout=120_000)
    page.wait_for_function(DRAWN)
    if look == "print":
        page.emulate_media(media="print")
        page.wait_for_function(DRAWN)
    page.screenshot(path=file, full_page=True)


def picture(browser: Browser, link: str, out: Path, name: str) -> None:
    """Picture one link in every look."""
    for look, width in LOOKS:
        scheme = "dark" if look == "dark" else "light"
        context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)
        page = context.new_page()
        page.goto(link)
        take(page, out / f"{name}_{look}_{width}.png", look)
        context.close()


def main() -> None:
    """Write the pictures."""
    out, folder = Path(sys.argv[1]), Path(sys.argv[2]) if len(sys.argv) > 2 else SAMPLES
    out.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright, serving(folder) as server:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=list(FLAGS))
        picture(browser, server.link, out, "days")
        for file in sorted(folder.glob("**/ride_day.toml")):
            name = file.parent.relative_to(folder).as_posix()
            plain = "day" if name == "." else name.replace("/", "-")
            server.wait_until_read(name)
            for question in (*COMPARED, LAP):
                picture(browser, f"{server.link}?day={name}&page={question.name}", out, f"{plain}_{question.name}")
            report = out / f"{plain}_report.html"
            report.write_text(render_report(*report_parts(telemetry.read_ride_day(file))), encoding="utf-8")
            picture(browser, report.resolve().as_uri(), out, f"{plain}_report")
        browser.close()


if __name__ == "__main__":
    main()
