"""Kept once, twice, changed, read again, taken out: what stands in the folder, byte for byte."""

from __future__ import annotations

import hashlib
import shutil
from pathlib import Path

import numpy as np
import pytest
from pyarrow import parquet

import telemetry
from telemetry import library
from telemetry.errors import CallError
from telemetry.library.catalogue import FILE
from telemetry.pipeline.kept_results import mean_with_half
from telemetry.pipeline.valuing import valued
from tests.cli.run_here import commanded
from tests.library.conftest import One
from tests.library.small_library import found, kept, said, small_day, state


def test_kept_twice_nothing_changes(one: One) -> None:
    before = state(one.root)
    again = commanded("keep", one.day, "--library", one.root)
    assert again.returncode == 0
    assert f"kept already as {one.id}, version 1" in again.stdout
    assert state(one.root) == before


def test_originals_are_untouched_and_each_stands_once(one: One) -> None:
    logs = sorted(one.day.glob("*.*"))
    held = {path.name: path for path in (one.root / "originals").glob("*/*")}
    for log in logs:
        data = log.read_bytes()
        assert held.pop(hashlib.sha256(data).hexdigest()).read_bytes() == data
    assert held == {}


def test_travel_is_that_of_the_ride_in_the_encodings_of_the_house(one: One) -> None:
    with telemetry.open_library(one.root) as days:
        travel = days.travel(one.id, "run_1")
    ride = telemetry.load_ride(telemetry.read_ride_day(one.day), "run_1")
    assert np.array_equal(travel["front_travel_mm"], ride.front.travel_mm.astype(np.float32))  # type: ignore[union-attr]
    assert np.array_equal(travel["time_s"], ride.time_s)
    file = next((one.root / "travel").glob("*/*.parquet"))
    column = parquet.ParquetFile(file).metadata.row_group(0).column(1)
    assert column.path_in_schema == "front_travel_mm"
    assert "BYTE_STREAM_SPLIT" in column.encodings
    assert column.compression == "ZSTD"


def test_a_changed_day_is_a_new_version_and_the_old_one_stays_readable(one: One, tmp_path: Path) -> None:
    day = Path(shutil.copytree(one.day, tmp_path / "moved" / "day"))
    said(day, title="Another title", label="another label")
    assert kept(day, one.root) == one.id  # the same date, bike and logs, though it moved
    (listed,) = found(one.root)
    assert (listed.version, listed.title) == (2, "Another title")
    with telemetry.open_library(one.root) as days:
        assert [days.day(one.id, version).title for version in (1, 2)] == ["A test day", "Another title"]
        assert days.day(one.id).title == "Another title"
        with pytest.raises(CallError, match=r"no version 3 of .* expected one of 1, 2"):
            days.day(one.id, 3)


def test_a_kept_day_is_measured_and_compared_as_it_was(one: One) -> None:
    day = telemetry.read_ride_day(one.day)
    with telemetry.open_library(one.root) as days:
        again = days.day(one.id)
        assert again.source == day.source
        assert telemetry.analyse(again).to_dict() == telemetry.analyse(day).to_dict()
        assert telemetry.compare(again).to_dict() == telemetry.compare(day).to_dict()
        assert again.path.exists()
    assert not again.path.exists()


@pytest.mark.parametrize(("texts", "days"), [({"date": "2026-05-17"}, 2), ({"name": "Other mule"}, 2), ({}, 1)])
def test_another_date_or_bike_is_another_day(one: One, tmp_path: Path, texts: dict[str, str], days: int) -> None:
    day = Path(shutil.copytree(one.day, tmp_path / "copy"))
    kept(said(day, **texts), one.root)
    assert len(found(one.root)) == days
    assert len(list((one.root / "originals").glob("*/*"))) == 5 + (1 if texts else 0)  # four logs, each once


def test_taken_out_nothing_of_it_stays_and_nothing_of_another_goes(one: One, tmp_path: Path) -> None:
    other = Path(shutil.copytree(one.day, tmp_path / "copy"))
    before = {name: data for name, data in state(one.root).items() if "/" in name}
    kept(said(other, title="second", label="x"), one.root)
    third = Path(shutil.copytree(other, tmp_path / "third"))
    second = kept(said(third, name="Other mule", title="third"), one.root)
    taken = commanded("library", "take-out", second, "--library", one.root)
    assert (taken.returncode, taken.stdout) == (0, f"took out {second}: 1 version\n")
    assert [day.id for day in found(one.root)] == [one.id]
    assert commanded("library", "take-out", one.id, "--library", one.root).stdout == f"took out {one.id}: 2 versions\n"
    assert {name for name in state(one.root) if "/" in name} == set()
    assert kept(one.day, one.root) == one.id
    after = {name: data for name, data in state(one.root).items() if "/" in name}
    assert after.keys() == before.keys()


def test_earlier_days_that_a_day_names_are_kept_with_it(tmp_path: Path) -> None:
    earlier = [small_day(tmp_path / f"may_{number}", date=f"2026-05-0{number}") for number in (1, 2, 3)]
    named = ", ".join(f'"../{day.name}"' for day in earlier)
    day = small_day(tmp_path / "today")
    text = (day / "ride_day.toml").read_text(encoding="utf-8")
    (day / "ride_day.toml").write_text(f"{text}\n[comparison]\nspread_from = [{named}]\n", encoding="utf-8")
    name = kept(day, tmp_path / "days")
    with telemetry.open_library(tmp_path / "days") as days:
        again = days.day(name)
        assert [file.read_bytes() for file in again.comparison.spread_from] == [
            (one / "ride_day.toml").read_bytes() for one in earlier
        ]


def test_a_day_that_cannot_be_used_is_not_kept(tmp_path: Path) -> None:
    day = small_day(tmp_path / "day")
    for log in day.glob("run_*.csv"):
        log.write_text("t_ms,A0,A1\n0,1,1\n4,1,1\n", encoding="ascii")
    done = commanded("keep", day, "--library", tmp_path / "days")
    assert done.returncode == 2
    assert state(tmp_path / "days") == {}


def test_a_text_longer_than_a_files_name_is_kept(tmp_path: Path) -> None:
    """Any text of the day's file may be the path of one of its files, so each is looked for."""
    day = small_day(tmp_path / "day", title="word" * 70)
    kept(day, tmp_path / "days")
    (one,) = found(tmp_path / "days")
    assert one.title == "word" * 70


def test_a_folder_of_other_things_is_no_library(tmp_path: Path) -> None:
    day = small_day(tmp_path / "day")
    done = commanded("keep", day, "--library", day)
    assert done.returncode == 2
    assert "found a folder that holds other files" in done.stderr
    assert not (day / "catalogue.sqlite").exists()


def test_the_folder_is_the_one_named_else_the_environments_else_the_users(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("TELEMETRY_LIBRARY", str(tmp_path / "shop"))
    assert library.library_folder(tmp_path / "named") == tmp_path / "named"
    assert library.library_folder() == tmp_path / "shop"
    monkeypatch.delenv("TELEMETRY_LIBRARY")
    for system, variable in (("linux", "XDG_DATA_HOME"), ("win32", "APPDATA")):
        monkeypatch.setattr("sys.platform", system)
        monkeypatch.setenv(variable, str(tmp_path / system))
        assert library.library_folder() == tmp_path / system / "suspension-telemetry" / "library"


def test_the_interval_of_a_mean_is_students() -> None:
    """Table of t: 4.303 at 2 degrees of freedom, two-sided 95 % (any printed table; from memory)."""
    mean, half = mean_with_half([1.0, 2.0, 3.0])
    assert mean == 2.0
    assert half == pytest.approx(4.303 / np.sqrt(3), rel=1e-3)


def test_what_later_days_may_borrow_stands_in_the_record_and_in_the_catalogue(one: One) -> None:
    """Of each row: the pooled variance of two setups' two runs, by hand; a catalogue made anew holds the same."""
    with library.reading(one.root) as catalogue:
        kept = library.record_of(catalogue, one.id)
    spread = next(row for row in kept.spreads if (row.measure, row.end) == ("dynamic_sag", "front"))
    done = telemetry.compare(telemetry.read_ride_day(one.day)).behind.done  # type: ignore[attr-defined]
    values = valued(done, done.runs, None).values
    sag = [values[f"run_{number}"]["dynamic_sag", "front"].value for number in (1, 2, 3, 4)]
    by_hand = ((sag[0] - sag[2]) ** 2 + (sag[1] - sag[3]) ** 2) / 4
    assert (spread.variance, spread.nu) == (pytest.approx(by_hand), 2)
    assert (kept.asked_cutoff_hz, len(kept.layouts)) == (60.0, 1)
    written = _spreads(one.root)
    assert len(written) == len(kept.spreads)
    (one.root / FILE).unlink()
    library.look_over(one.root)
    assert _spreads(one.root) == written


def _spreads(root: Path) -> list[tuple[object, ...]]:
    with library.reading(root) as catalogue:
        rows = "SELECT m.measure, m.end, x.variance, x.nu FROM spreads x JOIN measures m ON x.measure = m.key"
        return sorted(catalogue.db.execute(rows).fetchall())
