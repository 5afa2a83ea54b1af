"""The folder's days: found where they may be, read once, let go of, noticed when they change."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from dashboards.serving.library import Library
from dashboards.serving.shelves import KEPT_DAYS, Shelf
from telemetry.errors import CallError
from telemetry.pipeline import Selection
from tests.pipeline.small_days import make_day, trail, write_log
from tests.waiting import waited_for


def settled(library: Library, name: str) -> Shelf:
    def there() -> bool:
        shelf = library.shelf(name)
        return shelf.state == "failed" or (shelf.state == "ready" and shelf.read is not None)

    waited_for(there)
    return library.shelf(name)


def test_a_day_is_read_in_the_background(tmp_path: Path) -> None:
    make_day(tmp_path / "day", ("a", "b"), seconds=10.0)
    shelf = settled(Library(tmp_path), "day")
    assert shelf.read is not None
    assert shelf.headline == next(iter(shelf.read.whole.comparison.summaries.values())).headline  # type: ignore[union-attr]


@pytest.mark.parametrize("name", ["", "..", "../day", "/etc", "day/", "none"])
def test_only_a_day_of_the_folder_can_be_asked_for(tmp_path: Path, name: str) -> None:
    make_day(tmp_path / "day", ("a",), seconds=2.0)
    with pytest.raises(CallError, match="no ride day"):
        Library(tmp_path).shelf(name)


def test_a_wrong_day_fails_and_is_read_again_once_mended(tmp_path: Path) -> None:
    file = make_day(tmp_path / "day", ("a",), seconds=10.0) / "ride_day.toml"
    good = file.read_text(encoding="utf-8")
    file.write_text(good.replace("travel_mm = 160", "travel_mm = -1"), encoding="utf-8")
    library = Library(tmp_path)
    assert "bike.front.travel_mm" in settled(library, "day").trouble
    file.write_text(good, encoding="utf-8")
    waited_for(lambda: library.shelf("day").state == "ready")
    assert library.shelf("day").trouble == ""


def test_a_day_read_again_in_vain_stays_as_it_was(tmp_path: Path) -> None:
    file = make_day(tmp_path / "day", ("a",), seconds=10.0) / "ride_day.toml"
    library = Library(tmp_path)
    before = settled(library, "day").read
    file.write_text("nonsense", encoding="utf-8")
    library.again("day")
    shelf = settled(library, "day")
    waited_for(lambda: shelf.state == "failed")
    assert shelf.read is before


def test_changed_files_are_noticed(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a",), seconds=10.0)
    read = settled(Library(tmp_path), "day").read
    assert read is not None
    assert read.changes() == ()
    write_log(folder / "run_1.csv", *trail(9.0, 5))
    assert read.changes() == ("run_1.csv has changed",)
    (folder / "run_1.csv").unlink()
    assert read.changes() == ("run_1.csv is gone",)


def test_an_edit_that_keeps_time_and_size_is_noticed(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a",), seconds=10.0)
    read = settled(Library(tmp_path), "day").read
    assert read is not None
    for path, old, new in (
        (folder / "ride_day.toml", b"A test day", b"A rest day"),
        (folder / "run_1.csv", b"1", b"2"),
    ):
        before = path.stat()
        path.write_bytes(path.read_bytes().replace(old, new, 1))
        os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
        assert path.stat().st_size == before.st_size
    assert read.changes() == ("ride_day.toml has changed", "run_1.csv has changed")


def test_a_day_written_anew_with_the_same_words_has_not_changed(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a",), seconds=10.0)
    read = settled(Library(tmp_path), "day").read
    assert read is not None
    (folder / "ride_day.toml").write_bytes((folder / "ride_day.toml").read_bytes())
    assert read.changes() == ()
    (folder / "ride_day.toml").unlink()
    assert read.changes() == ("ride_day.toml is gone",)


def test_a_day_asked_for_again_while_it_is_read_is_read_once_more(tmp_path: Path) -> None:
    """Whatever was read when the file changed, in the end the page shows the file."""
    file = make_day(tmp_path / "day", ("a",), seconds=10.0) / "ride_day.toml"
    library = Library(tmp_path)
    settled(library, "day")
    for number in range(1, 5):
        text = file.read_text(encoding="utf-8")
        library.again("day")
        time.sleep(0.02 * number)  # somewhere in the middle of reading
        file.write_text(text.replace("A test day", "A test day."), encoding="utf-8")
        library.again("day")
        waited_for(lambda: library.shelf("day").state == "ready")
        read = library.shelf("day").read
        assert read is not None
        assert read.day.source == file.read_bytes()


def test_a_day_is_found_by_the_file_it_was_read_from(tmp_path: Path) -> None:
    file = make_day(tmp_path / "day", ("a",), seconds=10.0) / "ride_day.toml"
    library = Library(tmp_path)
    read = settled(library, "day").read
    assert read is not None
    assert library.day_of("day", read.day.fingerprint) is read.day
    file.write_bytes(file.read_bytes() + b"# more\n")
    library.again("day")
    settled(library, "day")
    assert library.day_of("day", read.day.fingerprint) is read.day
    with pytest.raises(CallError, match="made long ago"):
        library.day_of("day", "0")


def test_the_list_tells_a_log_that_is_missing_until_it_has_come(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "day", ("a", "b"), seconds=5.0)
    (folder / "run_2.csv").rename(tmp_path / "aside.csv")
    library = Library(tmp_path)

    def wrong() -> str:
        (glance,) = [shelf.glance for shelf in library.shelves()] or [None]
        return "not looked at" if glance is None else glance.wrong

    waited_for(lambda: "run_2.csv" in wrong())
    version = library.version()
    (tmp_path / "aside.csv").rename(folder / "run_2.csv")
    waited_for(lambda: wrong() == "" and library.version() != version)


def test_days_nobody_looks_at_are_let_go_of(tmp_path: Path) -> None:
    names = [f"day_{number}" for number in range(KEPT_DAYS + 2)]
    for name in names:
        make_day(tmp_path / name, ("a",), seconds=10.0)
    library = Library(tmp_path)
    for name in names:
        settled(library, name)

    def held() -> list[str]:
        return [shelf.name for shelf in library.shelves() if shelf.read is not None]

    waited_for(lambda: len(held()) <= KEPT_DAYS)
    assert names[-1] in held()
    assert all(shelf.headline for shelf in library.shelves())
    assert settled(library, names[0]).read is not None


def test_looks_are_taken_once(tmp_path: Path) -> None:
    make_day(tmp_path / "day", ("a", "b"), seconds=20.0)
    read = settled(Library(tmp_path), "day").read
    assert read is not None
    assert read.look(Selection(runs=("run_1",))) is read.look(Selection(runs=("run_1",)))
    assert read.look(Selection()) is read.whole
