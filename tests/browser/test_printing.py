"""A PDF out of the program itself: whole, one sheet where one is asked for, and nothing left behind."""

from __future__ import annotations

import re
import stat
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from dashboards.report import chromium, printed
from telemetry.errors import CallError
from tests.browser.conftest import HOSTILE, chromium_path
from tests.browser.served import PATIENCE_S
from tests.cli.run_here import commanded
from tests.pipeline.small_days import make_day

pytestmark = pytest.mark.browser

NAMED = '[shop]\nname = "Kettle Lane"\ncontact = "kettle@example.org"\n[customer]\nname = "Ada Invented"\n'
A4 = rb"/MediaBox\s*\[0 0 59[45][\d.]* 84[12][\d.]*\]"


def running_in(place: str) -> list[str]:
    """Return the processes whose command line names a place."""
    found = []
    for entry in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            words = entry.read_bytes().replace(b"\0", b" ").decode(errors="replace")
        except OSError:
            continue
        found.extend([words] if place in words else [])
    return found


@pytest.fixture
def own_temp(monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="own-") as place:
        monkeypatch.setattr(tempfile, "tempdir", place)
        yield Path(place)


def test_the_customers_page_is_printed_on_one_sheet_and_holds_no_name(
    tmp_path: Path, own_temp: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CHROMIUM", chromium_path())
    day = make_day(tmp_path / "day", "abba", seconds=20.0, extra=NAMED)
    out = tmp_path / "sheet.pdf"
    done = commanded("report", day, "--for", "customer", "--without-names", "--out", out)
    assert done.returncode == 0, done.stderr
    data = out.read_bytes()
    assert len(re.findall(rb"/Type\s*/Page\b[^s]", data)) == len(re.findall(A4, data)) == 1
    assert b"/Title" in data
    assert not re.search(rb"kettle|invented|\.part/|file:", data, re.IGNORECASE)
    assert not [*own_temp.iterdir()]


def test_names_that_try_to_be_code_are_text_in_a_german_pdf_and_its_title(
    tmp_path: Path, own_temp: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CHROMIUM", chromium_path())
    hostile = f'[shop]\nname = "{HOSTILE}"\nlanguage = "de"\n[customer]\nname = "{{0}} {HOSTILE}"\n'
    day = make_day(tmp_path / "day", "abba", seconds=20.0, labels={"b": HOSTILE}, deeper_mm={"b": 9.0}, extra=hostile)
    out = tmp_path / "sheet.pdf"
    done = commanded("report", day, "--for", "customer", "--out", out)
    assert done.returncode == 0, done.stderr
    data = out.read_bytes()
    assert len(re.findall(rb"/Type\s*/Page\b[^s]", data)) == 1
    assert not re.search(rb"/(?:JS|JavaScript|URI|Launch)\b", data)
    assert b"/Title (broken)" not in data


def test_a_page_is_drawn_as_wide_as_its_figures_fill_their_half_of_the_sheet(
    own_temp: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A figure is set at seven tenths at most; half a sheet is 334 px wide, two halves and their margins 1040 px."""
    page = "<!DOCTYPE html><title>x</title><script>document.title = `wide ${innerWidth}`</script><p>x"
    assert b"/Title (wide 1040)" in printed(page, Path(chromium_path()))


def test_without_a_browser_one_line_says_how_to_print(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("CHROMIUM", raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(CallError, match=r"no Chromium on this machine.*Write it as \.html, open that in a browser"):
        chromium()
    with pytest.raises(CallError, match="no program 'nowhere'"):
        chromium("nowhere")


def script(place: Path, text: str) -> Path:
    place.write_text(f"#!/bin/sh\n{text}\n")
    place.chmod(place.stat().st_mode | stat.S_IXUSR)
    return place


def test_a_browser_that_hangs_is_ended_with_all_it_started(tmp_path: Path, own_temp: Path) -> None:
    """A real one is stopped by its clock while the page keeps it busy."""
    busy = "<script>for (;;) {}</script>"
    with pytest.raises(CallError, match=r"not done after 3 s; expected a PDF"):
        printed(busy, Path(chromium_path()), longest_s=3.0)
    until = time.monotonic() + PATIENCE_S
    while running_in(str(own_temp)) and time.monotonic() < until:
        time.sleep(0.05)
    assert running_in(str(own_temp)) == []
    assert not [*own_temp.iterdir()]


def test_a_browser_that_prints_nothing_is_told(tmp_path: Path, own_temp: Path) -> None:
    with pytest.raises(CallError, match="ended with status 3"):
        printed("<p>x", script(tmp_path / "fails", "exit 3"))
    with pytest.raises(CallError, match="printed nothing whole"):
        printed("<p>x", script(tmp_path / "idles", "exit 0"))
    nothing = script(tmp_path / "text", "")
    nothing.write_text("no program")
    with pytest.raises(CallError, match="doesn't start"):
        printed("<p>x", nothing)
