"""Twenty of the killed commands; full and read-only disks; what a killed command left behind."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from tests.crash.kills import COMMAND, OUTPUTS, Output, kills
from tests.pipeline.small_days import make_day

COUNTS = {"report": 6, "new": 7, "simulate": 7}


@pytest.mark.parametrize("output", OUTPUTS, ids=lambda output: output.name)
def test_killed_at_any_moment_nothing_is_half(output: Output, tmp_path: Path) -> None:
    found = Counter(kills(output, COUNTS[output.name], np.random.default_rng(7), tmp_path))
    assert found["HALF"] == 0
    assert found["old"] + found["new"] == COUNTS[output.name]


LIMITED = "import resource, signal; signal.signal(signal.SIGXFSZ, signal.SIG_IGN); "
LIMITED += "resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000)); "


def test_a_full_disk_is_one_clear_line(tmp_path: Path) -> None:
    day = make_day(tmp_path / "day", ("a", "b"), seconds=8.0)
    target = tmp_path / "report.html"
    target.write_text("the old report", encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-c", LIMITED + COMMAND, "report", str(day), "--out", str(target)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert "too large" in done.stderr.lower()
    assert target.read_text(encoding="utf-8") == "the old report"
    assert [file.name for file in tmp_path.iterdir() if file.name.endswith(".part")] == []


def test_a_place_that_takes_no_file_is_one_clear_line(tmp_path: Path) -> None:
    """The kernel's own folder takes no file of ours, not even from root."""
    day = make_day(tmp_path / "day", ("a", "b"), seconds=8.0)
    done = subprocess.run(
        [sys.executable, "-c", COMMAND, "report", str(day), "--out", "/proc/report.html"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert "/proc/report.html" in done.stderr
