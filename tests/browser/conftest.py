"""A real headless Chromium for the tests that look at pages."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, sync_playwright

import telemetry
from dashboards.report import render_for_the_customer, render_report
from telemetry.languages import language
from telemetry.pipeline import report_parts
from tests.browser.served import Server, serving
from tests.pipeline.small_days import make_day

UNUSED = (  # of the browser's own window, loaded anew for every page opened
    "WebUIOmniboxPopup",
    "WebUIOmniboxAimPopup",
    # the last list counts: what Playwright's turns off of network and painting is said again
    "HttpsUpgrades",
    "HttpsFirstBalancedModeAutoEnable",
    "MediaRouter",
    "NetworkTimeServiceQuerying",
    "OptimizationHints",
    "PaintHolding",
    "PreconnectToSearch",
)
FLAGS = (
    "--no-sandbox",
    "--disable-features=" + ",".join(UNUSED),
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
HOSTILE = "<img src=x onerror=document.title='broken'></script><b>8 ml"


def chromium_path() -> str:
    found = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        pytest.fail("no chromium on this machine: install Debian's package chromium, or name it in CHROMIUM")
    return found


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=chromium_path(), args=list(FLAGS))
        yield chromium
        chromium.close()


def write_report(folder: Path, file: Path, **options: bool) -> Path:
    file.write_text(render_report(*report_parts(telemetry.read_ride_day(folder)), **options), encoding="utf-8")
    return file


def write_for_the_customer(folder: Path, file: Path, code: str = "en", **options: bool) -> Path:
    analysis, comparison, _ = report_parts(telemetry.read_ride_day(folder))
    page = render_for_the_customer(analysis, comparison, language=language(code), **options)
    file.write_text(page, encoding="utf-8")
    return file


@pytest.fixture(scope="session")
def compared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A report of two setups whose labels try to be markup."""
    place = tmp_path_factory.mktemp("compared")
    labels = {"a": "20 ml per leg", "b": HOSTILE}
    return write_report(make_day(place / "day", ("a", "b", "b", "a"), labels=labels), place / "report.html")


@pytest.fixture(scope="session")
def lap(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A report of one run."""
    place = tmp_path_factory.mktemp("lap")
    return write_report(make_day(place / "day", ("a",)), place / "report.html")


@pytest.fixture(scope="session")
def days(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder of three ride days: two setups, one setup, and one whose file is wrong."""
    place = tmp_path_factory.mktemp("days")
    labels = {"a": "20 ml per leg", "b": HOSTILE}
    make_day(place / "two", ("a", "b", "b", "a"), labels=labels, deeper_mm={"b": 12.0})
    make_day(place / "lap", ("a",))
    wrong = make_day(place / "wrong", ("a",)) / "ride_day.toml"
    wrong.write_text(wrong.read_text(encoding="utf-8").replace("travel_mm = 160", "travle_mm = 160"), encoding="utf-8")
    return place


@pytest.fixture(scope="session")
def server(days: Path) -> Iterator[Server]:
    """A server of that folder."""
    with serving(days) as found:
        for name in ("two", "lap"):
            found.wait_until_read(name)
        yield found
