"""Ride days are found where they may be, each once, and nothing odd beside them keeps any from being found."""

from __future__ import annotations

import ctypes
import os
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from dashboards.serving.where_days_lie import days_in
from telemetry.ride_day import FILE_NAME


def day(place: Path) -> Path:
    place.mkdir(parents=True)
    (place / FILE_NAME).write_text("", encoding="ascii")
    return place


def test_days_are_found_two_folders_down_and_not_behind_links_out_or_dots(tmp_path: Path) -> None:
    root = tmp_path / "root"
    for place in ("one", "more/two", "more/deep/three", ".hidden", "more/.hidden"):
        day(root / place)
    day(tmp_path / "outside")
    (root / "link").symlink_to(tmp_path / "outside")
    (root / "above").symlink_to(tmp_path)
    (root / "linked").mkdir()
    (root / "linked" / FILE_NAME).symlink_to(tmp_path / "outside" / FILE_NAME)
    found = days_in(root)
    assert found == {"one": root / "one" / FILE_NAME, "more/two": root / "more" / "two" / FILE_NAME}


def test_a_folder_that_is_a_day_itself_is_found(tmp_path: Path) -> None:
    assert days_in(day(tmp_path / "day")) == {".": tmp_path / "day" / FILE_NAME}


def test_a_day_is_found_once_by_its_own_place_however_many_links_lead_to_it(tmp_path: Path) -> None:
    day(tmp_path / "z" / "day")
    day(tmp_path / "far" / "off" / "deep")
    (tmp_path / "a").symlink_to("z/day")
    (tmp_path / "b").symlink_to("z")
    (tmp_path / "loop").symlink_to(".")
    (tmp_path / "itself").symlink_to("itself")
    (tmp_path / "near").symlink_to("far/off/deep")
    (tmp_path / "nearer").symlink_to("far/off/deep")
    assert set(days_in(tmp_path)) == {"z/day", "near"}


def test_a_served_folder_may_be_a_link_itself(tmp_path: Path) -> None:
    day(tmp_path / "real" / "day")
    (tmp_path / "link").symlink_to("real")
    assert set(days_in(tmp_path / "link")) == {"day"}


def test_names_that_are_no_text_are_told_apart_by_names_that_are(tmp_path: Path) -> None:
    names = [b"day_\xff", b"day_\xfe", b"day_\\xff", "dây ☃\n".encode()]
    for name in names:
        day(tmp_path / os.fsdecode(name))
    found = days_in(tmp_path)
    assert sorted(os.fsencode(path.parent.name) for path in found.values()) == sorted(names)
    assert "day_\\xfe" in found
    assert all(name.encode("utf-8") for name in found)


def test_what_only_bears_the_name_is_listed_to_be_told(tmp_path: Path) -> None:
    for kind in ("fifo", "folder", "dangling", "itself"):
        (tmp_path / kind).mkdir()
    os.mkfifo(tmp_path / "fifo" / FILE_NAME)
    (tmp_path / "folder" / FILE_NAME).mkdir()
    (tmp_path / "dangling" / FILE_NAME).symlink_to("nothing.toml")
    (tmp_path / "itself" / FILE_NAME).symlink_to(FILE_NAME)
    assert set(days_in(tmp_path)) == {"fifo", "folder", "dangling", "itself"}


def test_a_folder_that_is_gone_or_may_not_be_listed_keeps_no_other_from_being_found() -> None:
    nobody = 65_534

    def as_nobody(root: Path) -> set[str]:
        if os.getuid() == 0:  # for this thread alone, and without the rights to read everything: setfsuid(2)
            ctypes.CDLL(None).setfsuid(nobody)
        return set(days_in(root))

    with tempfile.TemporaryDirectory() as name, ThreadPoolExecutor(1) as thread:
        root = Path(name)
        root.chmod(0o755)
        for place in ("a", "shut/day", "z"):
            day(root / place)
        (root / "shut").chmod(0)
        assert thread.submit(as_nobody, root).result() == {"a", "z"}
        (root / "shut").chmod(0o755)
    assert days_in(Path(name)) == {}
