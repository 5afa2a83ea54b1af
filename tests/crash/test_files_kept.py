"""What a file is beside its bytes stays when it is written: its rights, its owner, that it is a link."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from telemetry.errors import CallError
from telemetry.files import check_writable, whole_folder, write_text

AS_NOBODY = """
import os, sys
from pathlib import Path
from telemetry.files import write_text
os.setgroups([]); os.setgid(65534); os.setuid(65534)
write_text(Path(sys.argv[1]), "new")
"""


@contextmanager
def umask(mask: int) -> Iterator[None]:
    before = os.umask(mask)
    try:
        yield
    finally:
        os.umask(before)


def rights(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o644, 0o664, 0o755])
def test_a_file_keeps_its_rights(mode: int, tmp_path: Path) -> None:
    path = tmp_path / "ride_day.toml"
    path.write_text("old", encoding="ascii")
    path.chmod(mode)
    with umask(0o022):
        write_text(path, "new")
    assert path.read_text(encoding="ascii") == "new"
    assert rights(path) == mode


@pytest.mark.parametrize(
    ("mask", "file", "folder"), [(0o022, 0o644, 0o755), (0o077, 0o600, 0o700), (0o002, 0o664, 0o775)]
)
def test_what_is_new_gets_the_rights_the_umask_leaves(mask: int, file: int, folder: int, tmp_path: Path) -> None:
    with umask(mask):
        write_text(tmp_path / "report.html", "new")
        with whole_folder(tmp_path / "made") as beside:
            write_text(beside / "run_1.csv", "new")
    assert rights(tmp_path / "report.html") == rights(tmp_path / "made" / "run_1.csv") == file
    assert rights(tmp_path / "made") == folder


def test_an_empty_folder_that_is_filled_keeps_its_rights(tmp_path: Path) -> None:
    (tmp_path / "made").mkdir(mode=0o700)
    with umask(0o022), whole_folder(tmp_path / "made") as beside:
        write_text(beside / "run_1.csv", "new")
    assert rights(tmp_path / "made") == 0o700


def test_a_disks_own_folder_is_refused_before_the_work_is_done() -> None:
    with (
        pytest.raises(CallError, match="/: found a disk's own folder; expected a folder on it"),
        whole_folder(Path("/")),
    ):
        pytest.fail("nothing is to be written")


def test_a_file_that_may_not_be_written_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "ride_day.toml"
    path.write_text("old", encoding="ascii")
    path.chmod(0o444)
    for write in (check_writable, lambda place: write_text(place, "new")):
        with pytest.raises(CallError, match=r"ride_day\.toml: found a file that may not be written"):
            write(path)
    assert path.read_text(encoding="ascii") == "old"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.skipif(os.geteuid() != 0, reason="only root may give files away")
def test_a_file_keeps_its_owner(tmp_path: Path) -> None:
    path = tmp_path / "ride_day.toml"
    path.write_text("old", encoding="ascii")
    os.chown(path, 12345, 23456)
    write_text(path, "new")
    assert (path.stat().st_uid, path.stat().st_gid) == (12345, 23456)


@pytest.mark.skipif(os.geteuid() != 0, reason="only root may become somebody else")
def test_a_group_that_cant_be_kept_leaves_its_rights_to_nobody(tmp_path: Path) -> None:
    folder = Path("/tmp") / f"telemetry_{os.getpid()}"  # noqa: S108 - where somebody else may go
    folder.mkdir()
    path = folder / "ride_day.toml"
    try:
        path.write_text("old", encoding="ascii")
        path.chmod(0o660)
        os.chown(path, 65534, 23456)
        os.chown(folder, 65534, 65534)
        done = subprocess.run([sys.executable, "-c", AS_NOBODY, path], capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        assert path.read_text(encoding="ascii") == "new"
        assert (rights(path), path.stat().st_gid) == (0o600, 65534)
    finally:
        path.unlink(missing_ok=True)
        folder.rmdir()


def test_a_link_within_its_folder_stays_one(tmp_path: Path) -> None:
    (tmp_path / "days").mkdir()
    (tmp_path / "days" / "morning.toml").write_text("old", encoding="ascii")
    link = tmp_path / "ride_day.toml"
    link.symlink_to("days/morning.toml")
    write_text(link, "new")
    assert link.is_symlink()
    assert (tmp_path / "days" / "morning.toml").read_text(encoding="ascii") == "new"
    assert [path.name for path in (tmp_path / "days").iterdir()] == ["morning.toml"]


def test_a_link_to_nothing_yet_makes_what_it_points_to(tmp_path: Path) -> None:
    (tmp_path / "report.html").symlink_to("latest.html")
    write_text(tmp_path / "report.html", "new")
    assert (tmp_path / "report.html").is_symlink()
    assert (tmp_path / "latest.html").read_text(encoding="ascii") == "new"


@pytest.mark.parametrize(("target", "words"), [("../outside.html", "leads out of its folder"), ("b", "leads nowhere")])
def test_a_link_out_of_its_folder_or_in_a_circle_is_refused(target: str, words: str, tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    folder.mkdir()
    (tmp_path / "outside.html").write_text("old", encoding="ascii")
    (folder / "a").symlink_to(target)
    (folder / "b").symlink_to("a")
    with pytest.raises(CallError, match=words):
        write_text(folder / "a", "new")
    assert (folder / "a").is_symlink()
    assert (tmp_path / "outside.html").read_text(encoding="ascii") == "old"


def test_a_name_too_long_is_one_error(tmp_path: Path) -> None:
    with pytest.raises(CallError, match="File name too long"):
        write_text(tmp_path / ("x" * 250), "new")
    assert list(tmp_path.iterdir()) == []
