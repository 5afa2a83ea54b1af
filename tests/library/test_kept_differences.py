"""What is kept of a day's comparison: the differences by its own runs, what was changed, and what speaks against it."""

from __future__ import annotations

import math
from dataclasses import asdict, replace
from pathlib import Path

import pytest
from scipy import special

import telemetry
from telemetry import library
from telemetry.library.catalogue import writing
from telemetry.library.differences import unpacked
from telemetry.library.entering import enter
from telemetry.library.record import of_tables
from telemetry.library.record_of_comparison import KeptDifference, comparison_of
from telemetry.pipeline.kept_comparison import kept_comparison
from tests.library.conftest import One
from tests.library.kept_changes import difference
from tests.pipeline.small_days import make_day


def record(one: One) -> library.Kept:
    with library.reading(one.root) as catalogue:
        return library.record_of(catalogue, one.id)


def half_width(row: KeptDifference, level: float) -> float:
    """Return what the two one-sided tests go by: the wider by the runs and by the sections, or by chance alone."""
    own = -special.stdtrit(row.nu, level / 2) * row.se
    if row.floor_se is None:
        return float(own)
    quantile = special.ndtri(level / 2) if row.floor_nu is None else special.stdtrit(row.floor_nu, level / 2)
    return float(max(own, -quantile * row.floor_se))


def test_what_is_kept_gives_the_comparison_s_own_interval(tmp_path: Path) -> None:
    day = make_day(tmp_path / "day", "abbaab", seconds=30.0)
    comparison = telemetry.compare(telemetry.read_ride_day(day))
    told = {(row.measure, row.end): row for row in comparison.verdicts.results}
    kept = kept_comparison(comparison, "b")
    assert kept is not None
    assert kept.against == "a"
    assert [(item.key, item.before_number, item.after_number) for item in kept.changes] == [("air_pressure_bar", 6, 7)]
    assert {row.scale for row in kept.differences} >= {"raw", "log"}
    for row in kept.differences:
        axis = told[row.measure, row.end].axis
        assert axis is not None
        inner = axis.interval.inner  # type: ignore[union-attr]
        assert half_width(row, inner.level) / row.margin == pytest.approx((inner.high - inner.low) / 2, rel=1e-9)
        assert row.d / row.margin == pytest.approx(axis.difference, rel=1e-9)
    barred = {(row.measure, row.end) for row in comparison.verdicts.results if row.barred}
    assert not barred & {(row.measure, row.end) for row in kept.differences}
    assert kept_comparison(comparison, "a") is None


def test_a_record_of_before_is_read_without_them(one: One) -> None:
    raw = asdict(record(one))
    del raw["kind"]
    for setup in raw["setups"]:
        del setup["compared"], setup["full_travel_mm"]
    old = of_tables(raw)
    assert all(setup.compared is None for setup in old.setups)
    assert old.kind == ""


def test_a_row_is_stored_flat_and_read_in_whatever_order_its_figures_stand() -> None:
    """Records of before name the row first, then its figures."""
    row = difference(-1.2)
    named = ("measure", "end", "unit", "scale", "focus", "full_travel_mm")
    stored = asdict(row)
    assert {*stored} == {*named, "d", "se", "nu", "reach", "floor_se", "floor_nu", "margin"}
    before = {name: stored[name] for name in named} | stored
    found = comparison_of({"against": "a", "changes": [], "open": [], "differences": [before]})
    assert found is not None
    assert found.differences == (row,)


def test_the_catalogue_holds_each_row_to_seven_digits(one: One, tmp_path: Path) -> None:
    row = KeptDifference(
        measure="dynamic_sag",
        end="front",
        unit="%",
        scale="raw",
        focus=True,
        full_travel_mm=None,
        d=-1.23456789,
        se=0.3,
        nu=4.0,
        reach=0.8,
        floor_se=None,
        floor_nu=None,
        margin=2.0,
    )
    kept = record(one)
    setups = [
        replace(setup, compared=setup.compared and replace(setup.compared, differences=(row,))) for setup in kept.setups
    ]
    with writing(tmp_path / "another") as catalogue:
        with catalogue.change():
            enter(catalogue, replace(kept, setups=tuple(setups)))
        (found,) = unpacked(catalogue.db.execute("SELECT differences FROM compared").fetchone()[0])
        named = catalogue.db.execute("SELECT measure, end FROM measures WHERE key = ?", (int(found["measure"]),))
        assert named.fetchone() == ("dynamic_sag", "front")
    assert found["d"] == pytest.approx(row.d, rel=1e-7)
    assert found["focus"] == 1
    assert math.isnan(found["floor_se"])
    assert math.isnan(found["full_travel_mm"])
