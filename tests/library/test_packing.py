"""Days packed and taken in: the other library says the same; what is there in other versions is never lost."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry import library
from telemetry.library.archive import PIECE
from telemetry.library.packing import packs_tight
from tests.cli.run_here import Done, commanded
from tests.forked import COMMAND, LONGEST_S, begun
from tests.library.archives import entries
from tests.library.conftest import One
from tests.library.small_library import copied, found, kept, said, small_day, state


def packed(root: Path, file: Path, *words: object) -> Path:
    done = commanded("library", "pack", "--library", root, "--out", file, *words)
    assert done.returncode == 0, done.stderr
    return file


def taken_in(file: Path, root: Path) -> Done:
    return commanded("library", "take-in", file, "--library", root)


def whole(done: Done) -> list[str]:
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


def changed(one: One, place: Path, **texts: str) -> Path:
    """Return a copy of a kept day that says something else."""
    return said(Path(shutil.copytree(one.day, place)), **texts)


def answers(root: Path, bike: str = "mule") -> list[object]:
    """Return what a library says."""
    told = [commanded(*words, "--library", root, "--json").stdout for words in ANSWERS]
    with telemetry.open_library(root) as days:
        for day in days.find()["id"]:
            told.append(telemetry.compare(days.day(day)).to_dict())
            told.append(days.travel(day, "run_1").to_dict())
    return told


ANSWERS = (["find"], ["history", "mule"], ["settings", "mule"], ["history", "other"])


@pytest.fixture(scope="module")
def two_days(made_once: One, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A library of a day in two versions, and one of another bike, entered in another order than by date."""
    place = tmp_path_factory.mktemp("two_days")
    root = copied(made_once.root, place / "days")
    kept(changed(made_once, place / "b", title="Another title"), root)
    kept(small_day(place / "c", name="Other mule", date="2026-05-01"), root)
    return root


def test_another_library_says_the_same(two_days: Path, tmp_path: Path) -> None:
    file = packed(two_days, tmp_path / "days.zip")
    lines = whole(taken_in(file, tmp_path / "other"))
    assert [line.split(",")[-1] for line in lines[:-1]] == [" version 1", " versions 1 to 2"]
    assert answers(tmp_path / "other") == answers(two_days)
    for kind in ("originals", "travel"):
        assert files(tmp_path / "other", kind) == files(two_days, kind)
    with library.reading(two_days) as one, library.reading(tmp_path / "other") as other:
        for stem in library.Store(two_days).stems():
            day, number = stem.split(".")
            before, after = (library.record_of(catalogue, day, int(number)) for catalogue in (one, other))
            assert before.place
            assert replace(before, place="") == after
    assert commanded("library", "check", "--library", tmp_path / "other").returncode == 0
    assert packed(tmp_path / "other", tmp_path / "again.zip").read_bytes() == file.read_bytes()


def files(root: Path, kind: str) -> dict[str, bytes]:
    return {name: data for name, data in state(root).items() if name.startswith(kind)}


def test_taken_in_twice_nothing_changes(one: One, tmp_path: Path) -> None:
    file = packed(one.root, tmp_path / "day.zip")
    for root in (one.root, tmp_path / "other"):
        taken_in(file, root)
        before = state(root)
        assert whole(taken_in(file, root))[0] == f"kept already as {one.id}: nothing has changed"
        assert state(root) == before


def test_the_same_days_make_the_same_bytes(one: One, tmp_path: Path) -> None:
    copy = Path(shutil.copytree(one.day, tmp_path / "elsewhere" / "day"))
    for log in copy.iterdir():
        log.touch()
    for number, day in enumerate((one.day, copy)):
        assert commanded("export", day, "--zip", "--out", tmp_path / f"{number}.zip").returncode == 0
    assert (tmp_path / "0.zip").read_bytes() == (tmp_path / "1.zip").read_bytes()


def test_a_day_of_a_folder_is_taken_in_as_it_would_have_been_kept(one: One, tmp_path: Path) -> None:
    done = commanded("export", one.day, "--zip", "--out", tmp_path / "day.zip")
    assert "1 kept version with 9 files" in done.stdout
    whole(taken_in(tmp_path / "day.zip", tmp_path / "other"))
    assert answers(tmp_path / "other") == answers(one.root)
    with library.reading(tmp_path / "other") as catalogue:
        assert library.record_of(catalogue, one.id).kept_at  # the time it was taken in


def test_further_versions_are_added_and_fewer_change_nothing(one: One, tmp_path: Path) -> None:
    first = packed(one.root, tmp_path / "first.zip")
    other = copied(one.root, tmp_path / "other")
    kept(changed(one, tmp_path / "b", title="second"), one.root)
    kept(changed(one, tmp_path / "c", title="third"), one.root)
    both = packed(one.root, tmp_path / "both.zip")
    assert whole(taken_in(both, other))[0] == f"took in {one.id}, versions 2 to 3"
    assert found(other) == found(one.root)
    with telemetry.open_library(other) as days:
        assert [days.day(one.id, number).title for number in (1, 2, 3)] == ["A test day", "second", "third"]
    before = state(other)
    assert "nothing has changed" in whole(taken_in(first, other))[0]
    assert state(other) == before
    assert kept(one.day, other) == one.id  # it is known by its folder still
    assert [day.version for day in found(other)] == [4]


def test_other_versions_of_a_day_are_refused_and_neither_is_lost(one: One, tmp_path: Path) -> None:
    other = copied(one.root, tmp_path / "other")
    kept(changed(one, tmp_path / "b", title="theirs"), other)
    kept(changed(one, tmp_path / "c", title="ours"), one.root)
    before = state(one.root)
    done = taken_in(packed(other, tmp_path / "theirs.zip"), one.root)
    assert done.returncode == 2
    assert f"{one.id}, whose version 2 here isn't the archive's" in done.stderr
    assert state(one.root) == before


def test_a_day_kept_on_its_own_under_another_id_is_not_there_twice(one: One, tmp_path: Path) -> None:
    kept(changed(one, tmp_path / "b", title="second"), one.root)
    alone = kept(tmp_path / "b", tmp_path / "alone")
    assert alone != one.id
    before = state(one.root)
    assert f"kept already as {one.id}" in whole(taken_in(packed(tmp_path / "alone", tmp_path / "a.zip"), one.root))[0]
    done = taken_in(packed(one.root, tmp_path / "both.zip"), tmp_path / "alone")
    assert done.returncode == 2
    assert f"kept here as {alone} in other versions" in done.stderr
    assert state(one.root) == before


def test_ids_or_a_search_say_what_is_packed(two_days: Path, made_once: One, tmp_path: Path) -> None:
    def ids(*words: object) -> set[str]:
        manifest = json.loads(entries(packed(two_days, tmp_path / "x.zip", *words))["manifest.json"])
        return {day["day"] for day in manifest["days"]}

    every = {day.id for day in found(two_days)}
    assert ids() == every
    assert ids("--day", made_once.id) == ids("another") == {made_once.id}
    assert ids("--bike", "other") == every - {made_once.id}
    by_id = commanded("export", made_once.id, "--zip", "--out", tmp_path / "y.zip", "--library", two_days)
    assert "2 kept versions" in by_id.stdout
    for words, line in (
        (("--day", "2026-01-01-000000"), "found no day '2026-01-01-000000'"),
        (("nothing like it",), "found no day to pack"),
        (("--day", made_once.id, "x"), "found ids and a search"),
    ):
        done = commanded("library", "pack", "--library", two_days, "--out", tmp_path / "z.zip", *words)
        assert done.returncode == 2
        assert line in done.stderr
    mixed = commanded("export", made_once.day, "--zip", "--format", "csv", "--out", tmp_path / "z.zip")
    assert mixed.returncode == 2
    assert "found a form of tables, with --zip" in mixed.stderr
    assert not (tmp_path / "z.zip").exists()


def test_a_damaged_file_is_never_packed_and_taking_in_mends_it(one: One, tmp_path: Path) -> None:
    file = packed(one.root, tmp_path / "day.zip")
    harmed = max((one.root / "originals").glob("*/*"), key=lambda path: path.stat().st_size)
    before = harmed.read_bytes()
    harmed.write_bytes(before[:-1])
    done = commanded("library", "pack", "--library", one.root, "--out", tmp_path / "x.zip")
    assert done.returncode == 2
    assert "found a damaged file" in done.stderr
    assert not (tmp_path / "x.zip").exists()
    whole(taken_in(file, one.root))
    assert harmed.read_bytes() == before


def test_two_take_in_at_once(one: One, tmp_path: Path) -> None:
    file = packed(one.root, tmp_path / "day.zip")
    words = ["library", "take-in", file, "--library", tmp_path / "other"]
    processes = [begun(COMMAND, words), begun(COMMAND, words), begun(COMMAND, ["keep", one.day, *words[3:]])]
    for process in processes:
        process.join(LONGEST_S)
    assert [process.exitcode for process in processes] == [0, 0, 0]
    assert [(day.id, day.version) for day in found(tmp_path / "other")] == [(one.id, 1)]
    assert commanded("library", "check", "--library", tmp_path / "other").stdout.endswith("all of it is whole\n")


def test_what_unfolds_a_hundredfold_is_stored_and_taken_in(tmp_path: Path) -> None:
    day = small_day(tmp_path / "day")
    (day / "run_1.csv").write_bytes((day / "run_1.csv").read_bytes() + b"\n" * 3_000_000)
    name = kept(day, tmp_path / "days")
    file = packed(tmp_path / "days", tmp_path / "day.zip")
    whole(taken_in(file, tmp_path / "other"))
    assert [found_day.id for found_day in found(tmp_path / "other")] == [name]


def test_a_bikes_history_does_not_hang_on_which_day_came_first(one: One, tmp_path: Path) -> None:
    """A day of the rear alone, taken in before and after one of both ends."""
    rear = small_day(tmp_path / "rear", date="2026-05-01")
    text = (rear / "ride_day.toml").read_text(encoding="utf-8")
    without_fork = re.sub(r"\[sensors.fork\].*?(?=\[sensors.shock\])", "", text, flags=re.DOTALL)
    (rear / "ride_day.toml").write_text(without_fork, encoding="utf-8")
    kept(rear, tmp_path / "first")
    whole(taken_in(packed(one.root, tmp_path / "both.zip"), tmp_path / "first"))
    whole(taken_in(packed(tmp_path / "first", tmp_path / "all.zip"), one.root))
    told = [commanded("history", "mule", "--library", root, "--json").stdout for root in (one.root, tmp_path / "first")]
    assert told[0] == told[1]
    assert len(json.loads(told[0])["days"]) == 2


def test_a_file_is_packed_no_further_than_tells_how_it_is_stored() -> None:
    def readings() -> Iterator[bytes]:
        numbers = np.random.default_rng(1)
        for _ in range(10):
            yield numbers.bytes(PIECE)
        raise AssertionError("a tenth of it tells")

    assert not packs_tight(readings(), 100 * PIECE)
    assert packs_tight([bytes(PIECE)] * 3, 3 * PIECE)  # it would unfold into a thousand times itself
    assert not packs_tight([bytes(PIECE)], PIECE)  # small enough to be let be
