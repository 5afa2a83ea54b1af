"""Open and close a page again and again: what it took is given back.

``python -m tests.browser.open_and_close`` does thirty rounds and prints the server's memory after each.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from tests.browser.served import DRAWN, PATIENCE_S, READ, serving
from tests.pipeline.small_days import make_day

ROUNDS, TABS = 30, 4
UNTIL_GONE_S = 6.0


def rounds(browser: Browser, link: str, count: int, left: Callable[[], float]) -> list[float]:
    """Return what the server holds after a first round and after each further one, once its tabs are closed."""
    held = []
    for _ in range(count + 1):
        context = browser.new_context()
        context.set_default_timeout(1000 * PATIENCE_S)
        tabs = [context.new_page() for _ in range(TABS)]
        for tab in tabs:
            tab.goto(link)
            tab.wait_for_function(READ)
            tab.wait_for_function(DRAWN)
        last = tabs[-1]
        for tab in tabs[:-1]:
            tab.close()
        last.goto("about:blank")
        held.append(left())
        context.close()
    return held


def main() -> None:
    """Print the memory held after each round, and what the last holds against the first."""

    def memory_mb() -> float:
        time.sleep(UNTIL_GONE_S)
        return server.resident_mb

    with tempfile.TemporaryDirectory() as place, sync_playwright() as playwright:
        make_day(Path(place) / "day", ("a", "b", "b", "a"))
        chromium = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        with serving(Path(place)) as server:
            held = rounds(chromium, f"{server.link}?page=travel", ROUNDS, memory_mb)
        chromium.close()
    print(" ".join(f"{value:.0f}" for value in held), "MB")
    print(f"last against first: {held[-1] / held[0]:.2f}")


if __name__ == "__main__":
    main()
