"""How full each printed sheet of the sample days' reports is: the lowest ink, in percent of the sheet's height.

Prints with a window as a browser opens it without one, and with a wide one. Needs Chromium, and pdftoppm of poppler.

    python -m tests.benchmarks.printed_sheets [sample day ...]
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from playwright.sync_api import Browser, sync_playwright

from tests.browser.conftest import FLAGS, chromium_path, write_report
from tests.browser.served import opened

SAMPLES = Path(__file__).parents[2] / "sample_runs"
WINDOWS_PX = (800, 1280)
LEAST_PCT = 67
"""Two thirds: every sheet but the last is to be as full."""
PAPER = 225
"""What is lighter counts as paper: grid lines and the grey band alone fill no sheet."""


def fills(pdf: Path) -> list[float]:
    """Return the lowest ink of each sheet in percent of its height."""
    drawn = subprocess.run(["pdftoppm", "-gray", "-r", "40", pdf], check=True, capture_output=True).stdout
    found = []
    while drawn:
        kind, size, _, rest = drawn.split(b"\n", 3)
        width, height = map(int, size.split())
        if kind != b"P5":
            raise ValueError(f"pdftoppm wrote {kind!r}, expected a grey picture, P5")
        grey, drawn = np.frombuffer(rest[: width * height], np.uint8).reshape(height, width), rest[width * height :]
        inked = np.flatnonzero((grey < PAPER).any(axis=1))
        found.append(100 * (inked[-1] + 1) / height if inked.size else 0.0)
    return found


def printed(browser: Browser, report: Path, window_px: int, pdf: Path) -> list[float]:
    """Print a report as a window of this width does; return how full its sheets are."""
    with opened(browser, report.as_uri(), viewport={"width": window_px, "height": 900}) as (page, _):
        page.pdf(path=str(pdf), prefer_css_page_size=True, print_background=True)
    return fills(pdf)


def main() -> None:
    """Print a line a day and window; sheets that are too empty are named."""
    days = sys.argv[1:] or sorted(path.parent.name for path in SAMPLES.glob("*/ride_day.toml"))
    with sync_playwright() as playwright, TemporaryDirectory() as place:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=list(FLAGS))
        for day in days:
            report = write_report(SAMPLES / day, Path(place) / "report.html")
            for window_px in WINDOWS_PX:
                found = printed(browser, report, window_px, Path(place) / "report.pdf")
                few = [str(sheet) for sheet, fill in enumerate(found[:-1], start=1) if fill < LEAST_PCT]
                told = " ".join(f"{fill:.0f}" for fill in found)
                print(f"{day}, window {window_px} px: {len(found)} sheets, full to {told} %", end="")
                print(f"; under {LEAST_PCT} %: sheet {', '.join(few)}" if few else "")
        browser.close()


if __name__ == "__main__":
    main()
