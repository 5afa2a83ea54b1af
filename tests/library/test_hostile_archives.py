"""Archives that were damaged, changed, or made to harm: one clear line each, and nothing is written."""

from __future__ import annotations

import hashlib
import json
import struct
import zipfile
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pytest

from telemetry import library
from telemetry.errors import CallError
from telemetry.library.manifest import NAME
from tests.cli.run_here import commanded
from tests.library.archives import as_json, entries, listed, of_record, packed_table, plain_entry, sealed, written
from tests.library.conftest import One
from tests.library.kept_changes import difference
from tests.library.small_library import state

Held = dict[str, bytes]


@pytest.fixture(scope="module")
def packed(made_once: One, tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("packed") / "day.zip"
    done = commanded("library", "pack", "--library", made_once.root, "--out", file)
    assert done.returncode == 0, done.stderr
    return file


def refused(file: Path, root: Path) -> str:
    """Return the one line with which an archive is refused; nothing is written."""
    done = commanded("library", "take-in", file, "--library", root)
    assert done.returncode == 2, done
    assert done.stdout == ""
    assert not root.exists()
    (line,) = done.stderr.splitlines()
    assert line.startswith("telemetry: ")
    assert "; expected " in line
    return line


def first(held: Held, kind: str) -> str:
    return next(name for name in held if name.startswith(kind))


def other_bytes(held: Held) -> Held:
    name = first(held, "originals/")
    return held | {name: held[name].replace(b"1", b"2")}


def further_file(held: Held) -> Held:
    return held | {"originals/" + "0" * 64: b"x"}


def lacking_file(held: Held) -> Held:
    lost = first(held, "travel/")
    return {name: data for name, data in held.items() if name != lost}


def further_named(held: Held) -> Held:
    data = b"somebody's"
    return listed(held | {f"originals/{hashlib.sha256(data).hexdigest()}": data})


def lacking_named(held: Held) -> Held:
    return listed(lacking_file(held))


def in_manifest(change: Callable[[dict[str, Any]], Any]) -> Callable[[Held], Held]:
    def changed(held: Held) -> Held:
        manifest = json.loads(held[NAME])
        change(manifest)
        return held | {NAME: sealed(manifest)}

    return changed


def as_manifest(data: bytes) -> Callable[[Held], Held]:
    return lambda held: held | {NAME: data}


def unsealed(held: Held) -> Held:
    return held | {NAME: held[NAME].replace(b'"names": true', b'"names": false')}


TAMPERED: dict[str, tuple[Callable[[Held], Held], str]] = {
    "a file's bytes": (other_bytes, "with other bytes than its name says"),
    "a further file": (further_file, "a file that its manifest doesn't name"),
    "a file too few": (lacking_file, "which its manifest names"),
    "a further file, named": (further_named, "a file that no record names"),
    "a file too few, unnamed": (lacking_named, "which a record names"),
    "no manifest": (lambda held: {name: data for name, data in held.items() if name != NAME}, "an archive without"),
    "the manifest alone changed": (unsealed, "a manifest that was changed"),
    "another size": (in_manifest(lambda m: m["files"][1].update(size=7)), "in another size than its manifest says"),
    "another hash": (in_manifest(lambda m: m["files"][0].update(sha256="0" * 64)), "other bytes than its manifest"),
    "a hash of no kind": (in_manifest(lambda m: m["files"][0].update(sha256="../x")), "a file of the manifest that"),
    "another content": (in_manifest(lambda m: m["days"][0].update(content="0" * 64)), "isn't the version its manifest"),
    "another version": (in_manifest(lambda m: m["days"][0].update(number=2)), "don't follow each other"),
    "no day": (in_manifest(lambda m: m.update(days=[])), "don't follow each other"),
    "a day that escapes": (
        in_manifest(lambda m: m["days"][0].update(day="../../x")),
        "a day of the manifest that can't",
    ),
    "a number endless": (as_manifest(b'{"form": 1e999}'), "expected an archive"),
    "a number of 10,000 digits": (as_manifest(b'{"form": ' + b"9" * 10_000 + b"}"), "expected an archive"),
    "a large number": (in_manifest(lambda m: m["files"][0].update(size=2**70)), "a number beyond every count"),
    "no number": (as_manifest(b'{"form": NaN}'), "NaN, which is no number"),
    "deep": (as_manifest(b"[" * 100_000), "expected an archive"),
    "deep tables": (in_manifest(lambda m: m.update(x=json.loads("[" * 200 + "]" * 200))), "deep"),
    "nothing but tables": (as_manifest(b"[" + b"{}," * 100_000 + b"{}]"), "far more values than letters"),
    "no UTF-8": (as_manifest(b'{"form": "\xff"}'), "expected an archive"),
    "a key twice": (as_manifest(b'{"form": 1, "form": 1}'), "doesn't write so"),
    "no JSON": (as_manifest(b"form = 1"), "expected an archive"),
    "a list": (as_manifest(b"[1]"), "a manifest without its form"),
    "an unknown key": (in_manifest(lambda m: m.update(x=1)), "which this program doesn't know"),
    "a key too few": (in_manifest(lambda m: m.pop("program")), "without program"),
    "another kind": (in_manifest(lambda m: m.update(files="x")), "another kind"),
    "a newer form": (in_manifest(lambda m: m.update(form=2)), "Bring this program up to date"),
}


@pytest.mark.parametrize("name", TAMPERED)
def test_a_changed_archive_is_refused_and_nothing_is_written(name: str, packed: Path, tmp_path: Path) -> None:
    change, said = TAMPERED[name]
    assert said in refused(written(tmp_path / "x.zip", change(entries(packed))), tmp_path / "days")


def setting(key: str, value: Any) -> Callable[[dict[str, Any]], None]:
    return lambda record: record.update({key: value})


def a_path(path: str) -> Callable[[dict[str, Any]], None]:
    return lambda record: record["files"][-1 - len(record["runs"])].update(path=path)


def twice(key: str) -> Callable[[dict[str, Any]], None]:
    return lambda record: record["setups"][0][key].append(record["setups"][0][key][0])


def a_difference(**figures: Any) -> Callable[[dict[str, Any]], None]:
    row = asdict(difference(1.0)) | figures
    return lambda record: record["setups"][1]["compared"]["differences"].append(row)


RECORDS: dict[str, tuple[Callable[[dict[str, Any]], None], str]] = {
    "upward": (a_path("a/../../../x"), "a path that leads away"),
    "far up": (a_path("../" * 30 + "x"), "a path that leads away"),
    "absolute": (a_path("/etc/passwd"), "a path that leads away"),
    "a drive": (a_path("C:x"), "a path that leads away"),
    "backslashes": (a_path("..\\..\\x"), "a path that leads away"),
    "a null": (a_path("a\x00b"), "a path that leads away"),
    "empty": (a_path(""), "a path that leads away"),
    "a folder": (a_path("a/"), "a path that leads away"),
    "long": (a_path("a" * 256), "a path that leads away"),
    "a file and a folder": (a_path("ride_day.toml/x"), "a file and a folder at once"),
    "a path twice": (a_path("ride_day.toml"), "a file that stands twice"),
    "a folder that escapes": (setting("folder", "../../x"), "a folder called"),
    "its own file elsewhere": (setting("file", "../ride_day.toml"), "own file"),
    "another date": (setting("date", "2026-05-17"), "a day called"),
    "no date": (setting("date", "yesterday"), "expected an archive"),
    "another id": (setting("id", "2026-05-16-000000"), "whose files are others"),
    "a null in a title": (setting("title", "\ud800"), "expected an archive"),
    "a time without zone": (setting("kept_at", "2026-05-16T10:00:00"), "no time in UTC"),
    "a place": (setting("place", "x"), "isn't the version"),
    "a title that is a number": (setting("title", 5), "record.title of another kind"),
    "a number that is a truth": (setting("number", True), "record.number of another kind"),
    "a huge number": (setting("definitions", 2**60), "a number beyond every count"),
    "a program": (setting("__class__", "os.system"), "which this program doesn't know"),
    "an unknown verdict": (
        lambda record: record["setups"][1]["verdicts"][0].update(verdict="better"),
        "a verdict 'better'",
    ),
    "a value twice": (twice("values"), "a value that stands twice"),
    "a setting twice": (twice("settings"), "a setting that stands twice"),
    "a setup twice": (lambda record: record["setups"].append(record["setups"][0]), "a setup that stands twice"),
    "a newer form": (setting("form", 99), "bring this program up to date"),
    "a difference of none": (a_difference(se=-1.0), "a difference that can't be"),
    "a difference over nothing": (a_difference(margin=0.0), "a difference that can't be"),
    "an endless difference": (a_difference(d=1e300), "a difference that can't be"),
    "a difference on no scale": (a_difference(scale="none"), "a difference that can't be"),
    "a spread of nothing": (
        lambda record: record["spreads"].append(
            {"measure": "x", "end": "front", "unit": "%", "variance": 0.0, "nu": 4.0}
        ),
        "a spread that can't be",
    ),
    "a cut-off that is a text": (
        lambda record: record["conditioning"].update(cutoff_hz="60"),
        "a cut-off that can't be",
    ),
    "a measure without a value": (
        lambda record: record["runs"][0]["measures"][0].pop("value"),
        "a measure of a run that can't be",
    ),
    "travel of no run": (lambda record: record["files"][-1].update(path="run_9"), "that isn't there"),
}


@pytest.mark.parametrize("name", RECORDS)
def test_a_record_that_cannot_be_is_refused_though_every_hash_fits(name: str, packed: Path, tmp_path: Path) -> None:
    change, said = RECORDS[name]
    file = written(tmp_path / "x.zip", of_record(entries(packed), change))
    assert said in refused(file, tmp_path / "days")


def travel(columns: dict[str, Any], **how: Any) -> bytes:
    usual = {"compression": "zstd", "use_dictionary": False}
    return packed_table(pa.table(columns), **usual | how)


COUNT = 2000
TIME, MM, RIDING = np.arange(COUNT) / 250.0, np.zeros(COUNT, np.float32), np.ones(COUNT, bool)
TRAVELS = {
    "no Parquet": b"PAR1 not really PAR1",
    "an older program's": travel({"time_s": TIME, "front_travel_mm": MM, "riding_time": RIDING}, compression="gzip"),
    "in doubles": travel({"time_s": TIME, "front_travel_mm": MM.astype(float), "riding_time": RIDING}),
    "a further column": travel({"time_s": TIME, "rider": ["x"] * COUNT, "riding_time": RIDING}),
    "no time": travel({"front_travel_mm": MM, "riding_time": RIDING}),
    "in many parts": travel({"time_s": TIME, "riding_time": RIDING}, row_group_size=10),
    "in a dictionary": travel({"time_s": TIME * 0, "riding_time": RIDING}, use_dictionary=True),
    "cut": travel({"time_s": TIME, "riding_time": RIDING})[:-300],
}


@pytest.mark.parametrize("name", TRAVELS)
def test_travel_that_is_not_as_it_is_kept_is_refused(name: str, packed: Path, tmp_path: Path) -> None:
    data = TRAVELS[name]
    digest = hashlib.sha256(data).hexdigest()
    held = entries(packed)
    lost = ""

    def named(record: dict[str, Any]) -> None:
        nonlocal lost
        lost = f"travel/{record['files'][-1]['sha256']}.parquet"
        record["files"][-1].update(sha256=digest, size=len(data))

    changed = of_record(held, named) | {f"travel/{digest}.parquet": data}
    days = json.loads(changed[NAME])["days"]
    del changed[lost]
    file = written(tmp_path / "x.zip", listed(changed, lambda manifest: manifest.update(days=days)))
    assert "travel of a run that isn't as it is kept" in refused(file, tmp_path / "days")


def entry(held: Held, **attributes: Any) -> list[tuple[str | zipfile.ZipInfo, bytes]]:
    """Return entries, one of which is noted otherwise."""
    name = first(held, "originals/")
    info = plain_entry(name)
    for key, value in attributes.items():
        setattr(info, key, value)
    return [(info if own == name else own, data) for own, data in held.items()]


ODD: dict[str, tuple[dict[str, Any], str]] = {
    "a link": ({"external_attr": 0o120777 << 16}, "no ordinary file"),
    "a device": ({"external_attr": 0o020666 << 16}, "no ordinary file"),
    "a folder": ({"external_attr": 0x10}, "no ordinary file"),
    "a remark": ({"comment": b"by Ann Example"}, "packed otherwise"),
    "another way of packing": ({"compress_type": zipfile.ZIP_LZMA}, "packed otherwise"),
    "upward": ({"filename": "../x", "orig_filename": "../x"}, "doesn't belong there"),
    "absolute": ({"filename": "/etc/x", "orig_filename": "/etc/x"}, "doesn't belong there"),
    "a drive": ({"filename": "C:\\x", "orig_filename": "C:\\x"}, "doesn't belong there"),
    "a device's name": ({"filename": "originals/CON", "orig_filename": "originals/CON"}, "doesn't belong there"),
    "an archive": ({"filename": "originals/a.zip", "orig_filename": "originals/a.zip"}, "doesn't belong there"),
    "a catalogue": ({"filename": "catalogue.sqlite", "orig_filename": "catalogue.sqlite"}, "doesn't belong there"),
}


@pytest.mark.parametrize("name", ODD)
def test_entries_of_another_kind_are_refused(name: str, packed: Path, tmp_path: Path) -> None:
    attributes, said = ODD[name]
    assert said in refused(written(tmp_path / "x.zip", entry(entries(packed), **attributes)), tmp_path / "days")


def test_names_twice_or_in_other_capitals_are_refused(packed: Path, tmp_path: Path) -> None:
    held = entries(packed)
    name = first(held, "originals/")
    for again, said in ((name, "twice"), (name.upper(), "doesn't belong there")):
        with pytest.warns(UserWarning, match="Duplicate name") if again == name else _nothing():
            file = written(tmp_path / "x.zip", [*held.items(), (again, held[name])])
        assert said in refused(file, tmp_path / "days")


class _nothing:  # noqa: N801 - a context that says nothing
    def __enter__(self) -> None: ...

    def __exit__(self, *_: object) -> None: ...


def test_a_bomb_is_refused_before_it_is_unpacked(packed: Path, tmp_path: Path) -> None:
    bomb = bytes(30_000_000)
    held = entries(packed) | {f"originals/{hashlib.sha256(bomb).hexdigest()}": bomb}
    file = written(tmp_path / "x.zip", listed(held))
    assert file.stat().st_size < 1_000_000
    assert "unfolds into 30000000 bytes" in refused(file, tmp_path / "days")


def test_a_size_that_is_understated_is_found_while_reading(packed: Path, tmp_path: Path) -> None:
    held = entries(packed)
    file = written(tmp_path / "x.zip", held)
    data = bytearray(file.read_bytes())
    with zipfile.ZipFile(file) as archive:
        info = archive.getinfo(first(held, "originals/"))
        start = archive.start_dir
    at = data.index(info.filename.encode(), start) - 22
    assert struct.unpack_from("<L", data, at)[0] == info.file_size
    struct.pack_into("<L", data, at, 100)
    file.write_bytes(data)
    assert "size" in refused(file, tmp_path / "days")


def test_overlapping_entries_are_refused(packed: Path, tmp_path: Path) -> None:
    file = written(tmp_path / "x.zip", entries(packed))
    data = bytearray(file.read_bytes())
    with zipfile.ZipFile(file) as archive:
        one, other = archive.infolist()[2:4]
        start = archive.start_dir
    at = data.index(other.filename.encode(), start) - 4
    assert struct.unpack_from("<L", data, at)[0] == other.header_offset
    struct.pack_into("<L", data, at, one.header_offset)
    file.write_bytes(data)
    assert "doesn't begin where the file before it ends" in refused(file, tmp_path / "days")


@pytest.mark.parametrize("before", [b"MZ", b"PK\3\4"])
def test_bytes_before_within_or_after_the_files_are_refused(packed: Path, tmp_path: Path, before: bytes) -> None:
    data = packed.read_bytes()
    for number, changed in enumerate((before + data, data + b"\n", data[:-1], data[: len(data) // 2], b"", data[:10])):
        file = tmp_path / f"{number}.zip"
        file.write_bytes(changed)
        refused(file, tmp_path / "days")


def test_an_encrypted_archive_is_refused(packed: Path, tmp_path: Path) -> None:
    file = written(tmp_path / "x.zip", entries(packed))
    data = bytearray(file.read_bytes())
    with zipfile.ZipFile(file) as archive:
        start = archive.start_dir
    data[start + 8] |= 1
    file.write_bytes(data)
    assert "an encrypted archive" in refused(file, tmp_path / "days")


def test_what_is_no_archive_is_refused(made_once: One, tmp_path: Path) -> None:
    catalogue = made_once.root / "catalogue.sqlite"
    for place, said in ((tmp_path, "a folder"), (tmp_path / "no.zip", "no such file"), (catalogue, "no whole zip")):
        assert said in refused(place, tmp_path / "days")


def test_a_list_of_too_many_files_is_refused_unread(packed: Path, tmp_path: Path) -> None:
    data = bytearray(packed.read_bytes())
    struct.pack_into("<2H", data, len(data) - 14, 3, 3)
    file = tmp_path / "x.zip"
    file.write_bytes(data)
    assert "longer than they can make it" in refused(file, tmp_path / "days")


def test_a_full_disk_leaves_the_library_as_it_was(packed: Path, one: One, monkeypatch: pytest.MonkeyPatch) -> None:
    from collections import namedtuple

    usage = namedtuple("usage", "total used free")  # noqa: PYI024 - as shutil's
    monkeypatch.setattr("shutil.disk_usage", lambda _: usage(1, 1, 1000))
    before = state(one.root)
    with pytest.raises(CallError, match="too little room on its disk"):
        library.take_in(one.root, packed)
    assert state(one.root) == before


def test_flipped_bits_anywhere_are_refused_or_change_nothing(packed: Path, tmp_path: Path) -> None:
    """The rest of some thousands: `python -m tests.fuzz.archives`."""
    from tests.fuzz.archives import tried

    left = tried(packed, tmp_path, 60, seed=3)
    assert sum(left.values()) == 60
    assert left["refused"] > 50


def as_written_by_hand(held: Held) -> bytes:
    return as_json(json.loads(held[NAME]))


def test_the_helpers_make_a_whole_archive(packed: Path, tmp_path: Path) -> None:
    """What is refused above is refused for its own fault."""
    held = entries(packed)
    assert as_written_by_hand(held) == held[NAME]
    for number, whole in enumerate((held, listed(held), of_record(held, lambda _: None))):
        done = commanded("library", "take-in", written(tmp_path / "x.zip", whole), "--library", tmp_path / f"{number}")
        assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("more", [-1, 1])
def test_an_end_that_counts_other_files_than_are_listed_is_refused(packed: Path, tmp_path: Path, more: int) -> None:
    data = bytearray(packed.read_bytes())
    end = len(data) - 22  # [the end of central directory record of the ZIP specification, without a comment]
    (count,) = struct.unpack_from("<H", data, end + 10)
    struct.pack_into("<2H", data, end + 8, count + more, count + more)
    file = tmp_path / "counted.zip"
    file.write_bytes(data)
    assert f"{count} files in an archive whose end says {count + more}" in refused(file, tmp_path / "days")
