"""Twenty of the killed commands; full and read-only disks."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from tests.crash.kills import EDIT, OUTPUTS, Output, beside, kills, state
from tests.forked import COMMAND, LONGEST_S, begun, done
from tests.pipeline.small_days import make_day

COUNTS = {"report": 4, "new": 5, "simulate": 5, "edit": 6, "export": 5}


@pytest.mark.parametrize("output", OUTPUTS, ids=lambda output: output.name)
def test_killed_at_any_moment_nothing_is_half(output: Output, tmp_path: Path) -> None:
    found = Counter(kills(output, COUNTS[output.name], np.random.default_rng(7), tmp_path))
    assert found["HALF"] == 0
    assert found["old"] + found["old, with a leftover"] + found["new"] == COUNTS[output.name]


LIMITED = "import resource, signal; signal.signal(signal.SIGXFSZ, signal.SIG_IGN); "
LIMITED += "resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000)); "


def one_line(ended: subprocess.CompletedProcess[str], *words: str) -> None:
    assert ended.returncode == 2, ended.stderr
    (line,) = ended.stderr.splitlines()
    assert "expected" in line
    assert all(word in line for word in words), line


def said(code: str, *words: str | Path) -> subprocess.CompletedProcess[str]:
    """Run an interpreter that talks through pipes: a limit of files does not cut what it says."""
    line = [sys.executable, "-c", code, *map(str, words)]
    return subprocess.run(line, capture_output=True, text=True, check=False, timeout=LONGEST_S)


@pytest.mark.parametrize("output", OUTPUTS[::2], ids=lambda output: output.name)
def test_a_full_disk_is_one_clear_line(output: Output, tmp_path: Path) -> None:
    words, target = output.ready(tmp_path)
    before = state(target)
    one_line(done(*words, code=LIMITED + COMMAND), target.name, "File too large")
    assert state(target) == before
    assert beside(target) == []


def test_a_draft_and_an_edit_on_a_full_disk_change_nothing(tmp_path: Path) -> None:
    day = make_day(tmp_path / "day", ("a", "b"), seconds=8.0)
    tiny = LIMITED.replace("20_000", "100")
    for name in ("run_3.csv", "lifted_2.csv"):
        shutil.copy(day / "run_1.csv", day / name)
    before = (day / "ride_day.toml").read_bytes()
    assert "CallError" in said(tiny + EDIT, day).stderr
    assert (day / "ride_day.toml").read_bytes() == before
    (day / "ride_day.toml").unlink()
    one_line(said(tiny + COMMAND, "new", day), "ride_day.toml", "File too large")
    assert sorted(path.name for path in day.iterdir()) == ["lifted_2.csv", "run_1.csv", "run_2.csv", "run_3.csv"]


IN_A_MOUNT_OF_ITS_OWN = """
mount -t tmpfs -o size=256k tmpfs "$1" 2>/dev/null || exit 77
printf old > "$1/report.html"
"$2" -c "$3" report "$4" --out "$1/report.html"; code=$?
[ "$(ls -A "$1")" = report.html ] && [ "$(cat "$1/report.html")" = old ] || exit 78
mount -o remount,ro "$1" || exit 77
"$2" -c "$3" report "$4" --out "$1/report.html"; again=$?
[ $code = 2 ] && exit $again
"""


def test_a_small_disk_full_then_read_only(tmp_path: Path) -> None:
    """The disk is mounted where only this test's processes see it, and goes with them."""
    day, disk = make_day(tmp_path / "day", ("a", "b"), seconds=8.0), tmp_path / "disk"
    disk.mkdir()
    unshare = shutil.which("unshare")
    if unshare is None:
        pytest.skip("no unshare: a disk of the test's own can't be mounted")
    words = [unshare, "-m", "sh", "-c", IN_A_MOUNT_OF_ITS_OWN, "sh", disk, sys.executable, COMMAND, day]
    tried = subprocess.run(list(map(str, words)), capture_output=True, text=True, check=False, timeout=LONGEST_S)
    if tried.returncode == 77 or "unshare" in tried.stderr:
        pytest.skip("no right to mount a disk of the test's own")
    assert tried.returncode == 2, tried
    full, read_only = tried.stderr.splitlines()
    assert "No space left on device" in full
    assert "may not be written" in read_only


@pytest.mark.parametrize("form", [[], ["--json"]])
def test_output_that_finds_no_room_is_one_clear_line(form: list[str], tmp_path: Path) -> None:
    day = make_day(tmp_path / "day", ("a", "b"), seconds=8.0)
    errors = tmp_path / "errors"
    errors.touch()
    process = begun(COMMAND, ["analyse", day, *form], out="/dev/full", err=errors)
    process.join(LONGEST_S)
    ended = subprocess.CompletedProcess((), process.exitcode or 0, "", errors.read_text(encoding="utf-8"))
    one_line(ended, "No space left on device")


@pytest.mark.parametrize("place", ["/proc/report.html", "/sys/report.html"])
def test_a_place_that_takes_no_file_is_one_clear_line(place: str, tmp_path: Path) -> None:
    """The kernel's own folders take no file of ours, not even from root."""
    day = make_day(tmp_path / "day", ("a", "b"), seconds=8.0)
    one_line(done("report", day, "--out", place), place)
