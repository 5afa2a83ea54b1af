"""A customer forgotten: their name stands in no byte of the library, and every measure is as it was."""

from __future__ import annotations

import gzip
import re
import shutil
from pathlib import Path

import pytest

import telemetry
from telemetry.library.forgetting import REMOVED, bytes_without, pattern_of
from tests.cli.run_here import commanded
from tests.library.conftest import One
from tests.library.small_library import contents, found, kept, said, small_day, state

NAME = re.compile(rb"ann[\s_]+example|the green one", re.IGNORECASE)


def holding(root: Path) -> list[str]:
    return [name for name, data in contents(root) if NAME.search(data) or NAME.search(name.encode())]


def named_day(folder: Path) -> Path:
    """A day with the name in its title, a note, a comment, a log's name, that log's preface and a setup's name."""
    day = small_day(folder, title="For Ann Example: air")
    file = day / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace("run_2.csv", "Ann_Example_2.csv")
    text = text.replace('log = "run_1.csv"', 'note = "ANN  EXAMPLE watched"\nlog = "run_1.csv"')
    file.write_text("# brought by ann example\n" + text, encoding="utf-8")
    log = (day / "run_2.csv").read_text(encoding="ascii")
    (day / "run_2.csv").unlink()
    (day / "Ann_Example_2.csv").write_text(f"# rider: Ann Example\n{log}", encoding="ascii")
    with gzip.open(day / "run_3.csv.gz", "wb") as packed:
        packed.write(b"# Ann Example, again\n" + (day / "run_3.csv").read_bytes())
    (day / "run_3.csv").unlink()
    file.write_text(file.read_text(encoding="utf-8").replace("run_3.csv", "run_3.csv.gz"), encoding="utf-8")
    return day


def test_the_name_is_gone_from_every_byte_and_the_measures_stay(tmp_path: Path) -> None:
    day, root = named_day(tmp_path / "Ann Example"), tmp_path / "days"
    name = kept(day, root)
    assert holding(root)
    with telemetry.open_library(root) as days:
        before = days.history("mule")
    done = commanded("forget", "ann EXAMPLE", "--library", root)
    assert done.returncode == 0, done.stderr
    assert name in done.stdout
    assert holding(root) == []
    assert found(root, customer="ann") == ()
    (listed,) = found(root)
    assert (listed.customer, listed.title) == (None, f"For {REMOVED}: air")
    with telemetry.open_library(root) as days:
        assert days.history("mule").equals(before)
        again = telemetry.analyse(days.day(name)).measures
    wanted = telemetry.analyse(telemetry.read_ride_day(day)).measures
    assert again["value"].equals(wanted["value"])
    assert commanded("library", "check", "--library", root).returncode == 0
    assert commanded("forget", "Ann Example", "--library", root).returncode == 2


def test_another_customers_day_stays_as_it_was(one: One, tmp_path: Path) -> None:
    other = small_day(tmp_path / "other", date="2026-06-01")
    file = other / "ride_day.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("Ann Example", "Joann Example"), encoding="utf-8")
    name = kept(other, one.root)
    assert commanded("forget", "Ann Example", "--library", one.root).returncode == 0
    (listed,) = found(one.root, customer="joann")
    assert listed.id == name
    with telemetry.open_library(one.root) as days:
        assert days.day(name).source == file.read_bytes()


def test_every_version_of_a_day_loses_its_customer(one: One, tmp_path: Path) -> None:
    day = Path(shutil.copytree(one.day, tmp_path / "copy"))
    file = day / "ride_day.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("Ann Example", "Ann Exemple"), encoding="utf-8")
    assert kept(day, one.root) == one.id
    assert commanded("forget", "Ann Exemple", "--library", one.root).returncode == 0
    assert [name for name, data in contents(one.root) if re.search(rb'name = "Ann|the green one', data)] == []


def test_a_name_that_is_a_word_of_the_file_itself_is_refused_and_nothing_changes(tmp_path: Path) -> None:
    day = small_day(tmp_path / "day")
    file = day / "ride_day.toml"
    file.write_text(file.read_text(encoding="utf-8").replace('name = "Ann Example"', 'name = "Displacement"'), "utf-8")
    kept(day, tmp_path / "days")
    before = state(tmp_path / "days")
    done = commanded("forget", "displacement", "--library", tmp_path / "days")
    assert done.returncode == 2
    assert "take-out" in done.stderr
    after = state(tmp_path / "days")
    assert {name: data for name, data in after.items() if "/" in name} == {
        name: data for name, data in before.items() if "/" in name
    }
    assert found(tmp_path / "days", customer="displacement")


@pytest.mark.parametrize("codec", ["utf-8", "latin-1", "utf-16-le", "utf-16-be"])
def test_a_name_leaves_every_other_byte_of_a_file(codec: str) -> None:
    mark = "\ufeff" if codec.startswith("utf-16") else ""
    text = f"{mark}für Jörg Müller\r\n1;2\n\n"
    changed = bytes_without(text.encode(codec), pattern_of("jörg müller"))
    assert changed == f"{mark}für {REMOVED}\r\n1;2\n\n".encode(codec)
    whole = f"{mark}für Jörg Müllerin".encode(codec)
    assert bytes_without(whole, pattern_of("jörg müller")) == whole


def test_a_customer_who_is_a_number_goes_and_no_reading_with_them(one: One, tmp_path: Path) -> None:
    day = Path(shutil.copytree(one.day, tmp_path / "copy"))
    file = day / "ride_day.toml"
    file.write_text(file.read_text(encoding="utf-8").replace('"Ann Example"', '"100"'), encoding="utf-8")
    before = (day / "run_1.csv").read_bytes()
    name = kept(said(day, date="2026-06-01"), one.root)
    assert commanded("forget", "100", "--library", one.root).returncode == 0
    assert found(one.root, customer="100") == ()
    with telemetry.open_library(one.root) as days:
        again = days.day(name)
        assert again.run("run_1").log.read_bytes() == before
        assert b"[customer]" not in again.source


def test_bytes_that_are_no_text_stay() -> None:
    for data in (b"\x1f\x8bno gzip", bytes(range(256)), b""):
        assert bytes_without(data, pattern_of("Ann")) == data
