"""The link reaches the browser by a file that only its owner may read, not by a command line."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from dashboards.serving import handing_over
from tests.browser.served import PATIENCE_S
from tests.forked import COMMAND
from tests.pipeline.small_days import make_day

pytestmark = pytest.mark.browser

NOTES = """#!{python}
import json, os, sys, time
file = sys.argv[1].removeprefix("file://")
modes = [oct(os.stat(place).st_mode & 0o777) for place in (file, os.path.dirname(file))]
found = {{"arguments": sys.argv, "modes": modes, "text": open(file, encoding="utf-8").read()}}
with open({out!r} + ".part", "w", encoding="utf-8") as out:
    json.dump(found, out)
os.rename({out!r} + ".part", {out!r})
time.sleep(30)
"""


def test_a_browser_is_given_a_file_that_leads_to_the_link_and_is_gone_at_the_end(
    tmp_path: Path, browser: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_day(tmp_path / "days" / "day", ("a",), seconds=5.0)
    runtime, out, program = tmp_path / "runtime", tmp_path / "found.json", tmp_path / "browser"
    runtime.mkdir(mode=0o700)
    program.write_text(NOTES.format(python=sys.executable, out=str(out)), encoding="utf-8")
    program.chmod(0o755)
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(runtime))
    monkeypatch.setenv("BROWSER", str(program))
    patient = f"from dashboards.serving import handing_over; handing_over.KEPT_S = {10 * PATIENCE_S}; {COMMAND}"
    command = [sys.executable, "-c", patient, "serve", str(tmp_path / "days")]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        try:
            assert process.stdout is not None
            link = process.stdout.readline().split()[0]
            ends = time.monotonic() + PATIENCE_S
            while not out.exists() and time.monotonic() < ends:
                time.sleep(0.05)
            found = json.loads(out.read_text(encoding="utf-8"))
            secret = link.split("/")[3]
            assert len(secret) > 20
            assert secret not in json.dumps(found["arguments"])
            assert link in found["text"]
            assert found["modes"] == ["0o600", "0o700"]
            page = browser.new_page()
            page.set_default_timeout(1000 * PATIENCE_S)
            page.goto(found["arguments"][1])
            page.wait_for_url(f"{link}**")
            page.wait_for_function("() => document.title !== 'Ride days' || document.querySelector('h1')")
            page.close()
        finally:
            process.send_signal(signal.SIGINT)
            assert process.wait(timeout=PATIENCE_S) == 0
    assert list(runtime.iterdir()) == []


def test_the_file_is_gone_soon_after_also_while_the_server_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    monkeypatch.setenv("BROWSER", "true")
    monkeypatch.setattr(handing_over, "KEPT_S", 0.1)
    with handing_over.handed_over("http://127.0.0.1:1/x/") as file:
        ends = time.monotonic() + PATIENCE_S
        while file.parent.exists() and time.monotonic() < ends:
            time.sleep(0.02)
        assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("place", ["", "relative", "/nowhere/at/all"])
def test_without_a_folder_of_the_sessions_own_it_stands_among_temporary_files(
    place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_RUNTIME_DIR", place)
    monkeypatch.setenv("BROWSER", "true")
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    with handing_over.handed_over("http://127.0.0.1:1/x/") as file:
        assert file.parent.parent == tmp_path
        assert file.stat().st_mode & 0o777 == 0o600
    assert list(tmp_path.iterdir()) == []
