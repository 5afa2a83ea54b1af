"""Where bikes of a kind lie: one value a bike, its last day as left; refused of few; never a grade."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry import library
from telemetry.errors import CallError
from telemetry.library import Kept, KeptValue
from telemetry.library.catalogue import writing
from telemetry.library.entering import enter
from telemetry.pipeline import bikes_like, bikes_of_kind
from telemetry.telling.kind_ranges import kind_line
from tests.cli.run_here import commanded
from tests.library.conftest import One
from tests.library.kept_changes import record


@pytest.fixture(scope="module")
def kept(made_once: One) -> Kept:
    return record(made_once.root, made_once.id)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return tmp_path / "days"


def left_at(
    sag: float, *, bike: str, day: int = 1, kind: str = "Enduro", mm: float = 160.0, **about: object
) -> dict[str, object]:
    return {"sag": sag, "bike": bike, "day": day, "kind": kind, "mm": mm} | about


def entered(root: Path, kept: Kept, days: Iterable[dict[str, object]]) -> None:
    """Enter a day each: the setup left has a front sag and a speed, the other one what must not be counted."""
    with writing(root) as catalogue, catalogue.change():
        for place, own in enumerate(days):
            sag = KeptValue(measure="dynamic_sag", end="front", unit="%", value=own["sag"], half=None, n=2)  # type: ignore[arg-type]
            speed = KeptValue(measure="rebound_speed_10_per_min", end="front", unit="mm/s", value=900.0, half=None, n=2)
            full = {"front": own["mm"]}
            first = replace(kept.setups[0], left=False, values=(replace(sag, value=99.0),), compared=None)
            last = replace(kept.setups[1], left=True, values=(sag, speed), full_travel_mm=full, compared=None)  # type: ignore[arg-type]
            date = f"2026-06-{own['day']:02d}"
            about = {key: own[key] for key in ("bike", "kind", "definitions") if key in own}
            cleaned = {"cutoff_hz": own.get("cutoff_hz", 60.0)}
            version = replace(
                kept, id=f"{date}-{place:06x}", date=date, place=str(place), setups=(first, last), **about
            )  # type: ignore[arg-type]
            enter(catalogue, replace(version, conditioning=cleaned))


def fleet(count: int = 12, **about: object) -> list[dict[str, object]]:
    return [left_at(20.0 + place, bike=f"Bike {place:02d}", **about) for place in range(count)]  # type: ignore[arg-type]


def test_a_kind_that_is_not_kept_is_told_with_those_that_are_whatever_their_capitals(root: Path, kept: Kept) -> None:
    kinds = ("Enduro", "trail", "enduro", "ENDURO ")
    entered(root, kept, [left_at(20.0, bike=f"Bike {place}", kind=kind) for place, kind in enumerate(kinds)])
    with pytest.raises(CallError, match=r"Kinds kept here, with their bikes: Enduro \(3\), trail \(1\)"):
        bikes_of_kind("downhill", root)


def test_the_middle_of_the_bikes_one_value_each_its_last(root: Path, kept: Kept) -> None:
    early = [left_at(90.0, bike="Bike 03", day=day) for day in range(2, 9)]
    days = [*early, *(own | {"day": 20} for own in fleet())]
    entered(root, kept, [*days, left_at(50.0, bike="Another", kind="trail")])
    found = bikes_of_kind("enduro", root)
    row = next(own for own in found.rows if own.measure == "dynamic_sag")
    values = 20.0 + np.arange(12)
    assert (found.n_bikes, found.n_days, row.n_bikes) == (12, 19, 12)
    assert row.median.value == pytest.approx(np.median(values))
    assert [row.least.value, row.most.value] == pytest.approx(np.quantile(values, [0.1, 0.9]))
    assert (row.median.low, row.median.high) == (22.0, 29.0)  # the third and the tenth
    assert (row.least.low, row.most.high) == (None, None)


def test_fewer_than_ten_bikes_are_not_told(root: Path, kept: Kept) -> None:
    entered(root, kept, fleet(9))
    found = bikes_of_kind("enduro", root)
    assert found.rows == ()
    assert {row.reason for row in found.refused} == {"9 bikes, at least 10 are needed"}
    assert "Not told: front dynamic sag" in commanded("bikes", "enduro", "--library", root).stdout


def test_bikes_measured_or_cleaned_otherwise_are_left_out_with_the_reason(root: Path, kept: Kept) -> None:
    others = [left_at(99.0, bike="Old", definitions=1), left_at(99.0, bike="Slow log", cutoff_hz=40.0)]
    entered(root, kept, [*(own | {"definitions": 2} for own in fleet()), others[0], others[1] | {"definitions": 2}])
    found = bikes_of_kind("enduro", root)
    assert found.n_bikes == 12
    assert {bike: reason.split(";")[0] for bike, reason in found.left_out} == {
        "Old": "measured by definitions 1, the others by 2",
        "Slow log": "cleaned with a cut-off of 40 Hz, the others of 60 Hz",
    }


def test_shares_of_unlike_travel_are_not_counted_together(root: Path, kept: Kept) -> None:
    entered(root, kept, [*fleet(), left_at(99.0, bike="Long", mm=203.0)])
    found = {row.measure: row.n_bikes for row in bikes_of_kind("enduro", root).rows}
    assert found == {"dynamic_sag": 12, "rebound_speed_10_per_min": 13}


def test_a_bike_stands_beside_and_is_not_counted(root: Path, kept: Kept) -> None:
    entered(root, kept, [*fleet(), left_at(70.0, bike="Shop mule")])
    done = commanded("bikes", "enduro", "--beside", "mule", "--library", root, "--json")
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    assert (told["bikes"], told["beside"]) == (12, "Shop mule")
    sag = next(row for row in told["measures"] if row["measure"] == "dynamic_sag")
    assert (sag["beside"], sag["n_bikes"], sag["most"]["high"]) == (70.0, 12, None)
    text = commanded("bikes", "enduro", "--beside", "mule", "--library", root).stdout
    assert "not what one should be" in text
    assert "70.0" in text
    with telemetry.open_library(root) as days:
        frame = days.bikes("enduro").measures
    assert frame.loc[frame["measure"] == "dynamic_sag", "median"].tolist() == [26.0]  # thirteen now


def test_an_unknown_kind_names_those_there_are(root: Path, kept: Kept) -> None:
    entered(root, kept, [*fleet(2), left_at(1.0, bike="x", kind="")])
    for kind in ("", "downhill"):
        with pytest.raises(CallError, match=r"Kinds kept here, with their bikes: Enduro \(2\)"):
            bikes_of_kind(kind, root)
    entered(root.with_name("none"), kept, [left_at(1.0, bike="x", kind="")])
    with pytest.raises(CallError, match=r"State it on days: \[bike\] kind"):
        bikes_of_kind("enduro", root.with_name("none"))


def test_the_kind_is_kept_from_the_day_s_own_file(tmp_path: Path) -> None:
    from tests.library.small_library import kept as keep_it
    from tests.library.small_library import small_day

    day = small_day(tmp_path / "day")
    file = day / "ride_day.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("[bike]\n", '[bike]\nkind = "enduro"\n'), encoding="utf-8")
    name = keep_it(day, tmp_path / "days")
    assert record(tmp_path / "days", name).kind == "enduro"
    assert {row.n_bikes for row in bikes_of_kind("Enduro ", tmp_path / "days").refused} == {1}


def lines_of(root: Path, bike: str) -> str:
    with library.reading(root) as catalogue:
        others = bikes_like(bike, catalogue)
    return "" if others is None else kind_line(others, "dynamic_sag")


def test_a_bike_s_page_has_one_line_of_the_others_of_its_kind(root: Path, kept: Kept) -> None:
    odd = [
        left_at(90.0, bike="Old", definitions=1),
        left_at(90.0, bike="None", kind=""),
        left_at(9.0, bike="T", kind="trail"),
    ]
    entered(root, kept, [*fleet(11), *odd])
    line = "The middle 80 % of the other Enduro bikes kept here, as left: front 21.9 to 29.1 % (10 bikes)"
    assert lines_of(root, "bike 00") == line  # 21 to 30 without itself
    assert [lines_of(root, name) for name in ("Old", "None", "T", "Nobody")] == [""] * 4


def test_nine_others_of_a_kind_are_silence(root: Path, kept: Kept) -> None:
    entered(root, kept, fleet(10))
    assert lines_of(root, "Bike 00") == ""
