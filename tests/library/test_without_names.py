"""Packed without names: of nobody who had to do with a day, in no byte of the archive; and it measures the same."""

from __future__ import annotations

import gzip
import re
import zipfile
from pathlib import Path

import pytest

import telemetry
from telemetry.library import bytes_without, pattern_of
from telemetry.ride_day import toml_of, unnamed
from tests.cli.run_here import commanded
from tests.library.small_library import CUSTOMER, contents, found, kept, said, small_day, state

NAMES = re.compile(rb"ann.?example|example.?shop|tinkerer|tess.?rider|whisper|green one|passing remark", re.IGNORECASE)
SHOP = '[shop]\nname = "Example Shop"\ncontact = "mail tinkerer"\nlogo = "example_shop.png"\n'
PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d4948445200000001000000010806000000"
    "1f15c4890000000d49444154789c6360606060000000050001a5f645400000000049454e44ae426082"
)


def named_day(folder: Path) -> Path:
    """A day with names wherever one may stand."""
    day = said(small_day(folder), title="Air, for ann-example")
    file = day / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace("[ride_day]\n", '[ride_day]\nrider = "Tess Rider"\n')
    text = text.replace("run_2.csv", "AnnExample2.csv").replace("run_3.csv", "run_3.csv.gz")
    text = text.replace('log = "run_1.csv"', 'note = "whispered"\nrider = "Tess Rider"\nlog = "run_1.csv"')
    text = text.replace('log = "run_4.csv"', 'leave_out = "whispered too"\nlog = "run_4.csv"')
    file.write_text(f"# a passing remark\n{text}\n{SHOP}", encoding="utf-8")
    (day / "example_shop.png").write_bytes(PIXEL)
    (day / "run_1.csv").write_text(f"# rider: TESS_RIDER\n{(day / 'run_1.csv').read_text()}", encoding="utf-16-le")
    (day / "run_2.csv").rename(day / "AnnExample2.csv")
    with gzip.GzipFile(day / "run_3.csv.gz", "wb") as packed:
        packed.write((day / "run_3.csv").read_bytes())
    data = (day / "run_3.csv.gz").read_bytes()
    assert b"run_3.csv" in data  # gzip notes what it packed
    (day / "run_3.csv.gz").write_bytes(data.replace(b"run_3.csv\x00", b"ann_example.csv\x00"))
    (day / "run_3.csv").unlink()
    return day


def test_no_name_is_left_in_the_archive_and_it_measures_the_same(tmp_path: Path) -> None:
    day, root = named_day(tmp_path / "Ann Example"), tmp_path / "days"
    name = kept(day, root)
    before = state(root)
    archives = []
    for number, words in enumerate((["library", "pack", "--library", root], ["export", day, "--zip"])):
        archives.append(tmp_path / f"{number}.zip")
        done = commanded(*words, "--without-names", "--out", archives[-1])
        assert done.returncode == 0, done.stderr
        assert not NAMES.search(archives[-1].read_bytes())
        with zipfile.ZipFile(archives[-1]) as archive:
            held = {entry: archive.read(entry) for entry in archive.namelist()}
        plain = {name: gzip.decompress(data) if data[:2] == b"\x1f\x8b" else data for name, data in held.items()}
        assert [name for name, data in plain.items() if NAMES.search(data.replace(b"\x00", b""))] == []
    assert state(root) == before
    assert commanded("library", "take-in", archives[0], "--library", tmp_path / "other").returncode == 0
    assert [entry for entry, data in contents(tmp_path / "other") if NAMES.search(data)] == []
    (listed,) = found(tmp_path / "other")
    assert (listed.id, listed.customer, listed.title) == (name, None, "Air, for name-removed")
    with telemetry.open_library(root) as ours, telemetry.open_library(tmp_path / "other") as theirs:
        assert theirs.history("mule").equals(ours.history("mule"))
        with_names, without = ours.day(name), theirs.day(name)
        assert without.rider == f"rider of {name}-1"
        assert telemetry.compare(without).results.equals(telemetry.compare(with_names).results)
    assert commanded("find", "whispered", "--library", tmp_path / "other").stdout == "no kept day is like that\n"
    done = commanded("library", "take-in", archives[0], "--library", root)
    assert done.returncode == 2  # the day is there with its names, and stays so
    assert state(root) == before


def test_the_same_day_without_names_makes_the_same_bytes(tmp_path: Path) -> None:
    day = named_day(tmp_path / "day")
    for number in range(2):
        done = commanded("export", day, "--zip", "--without-names", "--out", tmp_path / f"{number}.zip")
        assert done.returncode == 0, done.stderr
    assert (tmp_path / "0.zip").read_bytes() == (tmp_path / "1.zip").read_bytes()


def test_a_name_goes_from_every_version_and_day_of_the_archive_that_mentions_it(tmp_path: Path) -> None:
    day, root = small_day(tmp_path / "day"), tmp_path / "days"
    kept(day, root)
    file = day / "ride_day.toml"
    file.write_text(file.read_text(encoding="utf-8").replace(CUSTOMER, ""), encoding="utf-8")
    kept(said(day, title="Once of Ann Example"), root)
    kept(said(day, title="Like ann_example's", date="2026-06-01"), root)
    done = commanded("library", "pack", "--without-names", "--library", root, "--out", tmp_path / "x.zip")
    assert done.returncode == 0, done.stderr
    assert commanded("library", "take-in", tmp_path / "x.zip", "--library", tmp_path / "other").returncode == 0
    assert [entry for entry, data in contents(tmp_path / "other") if NAMES.search(data)] == []
    titles = [entry.title for entry in found(tmp_path / "other")]
    assert titles == ["Like name-removed's", "Once of name-removed"]


@pytest.mark.parametrize(
    ("name", "written"),
    [
        ("Jörg Müller", "JÖRG MÜLLER"),
        ("Jörg Müller", "Jo\u0308rg_Mu\u0308ller"),
        ("Jo\u0308rg Mu\u0308ller", "jörg-müller"),
        ("Jörg Müller", "joerg.mueller"),
        ("Joerg Mueller", "Jörg  Müller"),
        ("Jörg Müller", "JorgMuller"),
        ("Anna-Lena Groß", "Anna Lena GROSS"),
        ("Anna Lena Gross", "anna_lena_groß"),
        ("José Łoś", "jose los"),
        ("Jose Los", "José\tŁoś"),
        ("Ann Example", "annexample"),
        ("Team 1", "team1"),
    ],
)
def test_a_name_is_found_however_it_is_spelled(name: str, written: str) -> None:
    assert pattern_of(name).sub("x", f"for {written}, a1") == "for x, a1"


@pytest.mark.parametrize(("name", "other"), [("Bauer", "Baur"), ("Team 1", "Team 12"), ("Ann", "Anne"), ("1", "1")])
def test_another_name_is_not_it(name: str, other: str) -> None:
    assert pattern_of(name).sub("x", f"for {other}, a") == f"for {other}, a"


@pytest.mark.parametrize(
    "codec", ["cp1252", "cp850", "cp437", "mac-roman", "iso8859-2", "utf-16", "utf-16-be", "utf-32"]
)
def test_a_name_is_found_whatever_the_file_is_written_in(codec: str) -> None:
    text = "head: für Jörg Müller\r\n" + "1;2\r\n" * 40
    changed = bytes_without(text.encode(codec), pattern_of("jörg müller")).decode(codec)
    assert changed == text.replace("Jörg Müller", "name-removed")


def test_a_day_whose_rider_is_a_word_of_the_file_keeps_its_tables(tmp_path: Path) -> None:
    day = small_day(tmp_path / "day")
    file = day / "ride_day.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("[ride_day]\n", '[ride_day]\nrider = "Fork"\n'), "utf-8")
    done = commanded("export", day, "--zip", "--without-names", "--out", tmp_path / "day.zip")
    assert done.returncode == 0, done.stderr


def test_tables_written_anew_are_read_as_the_same() -> None:
    import tomllib

    text = Path("sample_runs/lower_leg_oil/ride_day.toml").read_text(encoding="utf-8")
    raw = tomllib.loads(text)
    assert tomllib.loads(toml_of(raw)) == raw
    odd = {
        "a b": [1, [2.5, {"x": {"y": True}}]],
        "t": {"u": {}, "empty": [], "runs": [{"a": 1}, {"b": {"c": "\u202e\n"}}]},
    }
    assert tomllib.loads(toml_of(odd)) == odd
    assert "shop" not in unnamed(raw | {"shop": {"name": "x"}}, "rider", "said")
