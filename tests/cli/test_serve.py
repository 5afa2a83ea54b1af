"""`serve` chooses between a folder's days and a library's: by what was named, never by what the environment says."""

from __future__ import annotations

from pathlib import Path
from urllib.request import urlopen

import pytest

from telemetry.cli.serving import _asked
from tests.browser.served import serving
from tests.cli.run_here import commanded
from tests.library.conftest import One, made_once, one  # noqa: F401 - its library, made once


def test_a_folder_is_a_library_only_where_days_are_kept_in_it(
    one: One,  # noqa: F811
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("TELEMETRY_LIBRARY", str(one.root))
    assert _asked(one.root, None) == (one.root, True)
    assert _asked(one.day, None) == (one.day, False)
    assert _asked(one.day.parent, None) == (one.day.parent, False)
    monkeypatch.chdir(one.day)
    assert _asked(None, None) == (Path(), False)
    assert _asked(None, "") == (one.root, True)
    assert _asked(None, str(tmp_path)) == (tmp_path, True)
    monkeypatch.chdir(one.root)
    assert _asked(None, None) == (Path(), True)


def test_two_folders_are_refused_and_a_folder_that_is_no_library(one: One, tmp_path: Path) -> None:  # noqa: F811
    done = commanded("serve", one.day, "--library", one.root, "--no-browser")
    assert done.returncode == 2
    assert "found" in done.stderr
    assert "one folder" in done.stderr
    done = commanded("serve", "--library", tmp_path / "none", "--no-browser")
    assert done.returncode == 2
    assert "found no library" in done.stderr
    assert not (tmp_path / "none").exists()


def test_a_library_is_served_by_its_option(one: One) -> None:  # noqa: F811
    with serving(one.root, "--port", "0") as server, urlopen(server.link) as answer:  # noqa: S310 - our own server
        assert b"Kept days in" in answer.read()
