"""How an end is wished to sit and to be damped: what gives that at this rider's mass, or why nothing does."""

from __future__ import annotations

from pathlib import Path

import pytest

from telemetry.bench.set_up import lacking_wish
from telemetry.model.wish import EndWish
from tests.bench.bench_days import POINTS, benched, end_bench

TOP = "[setups.a]\n"


def wished(end: str, **stated: float) -> tuple[str, str]:
    """Return the change of the day's text that states a wish of an end."""
    lines = "\n".join(f"{key} = {value:g}" for key, value in stated.items())
    return TOP, f"[wish.{end}]\n{lines}\n{TOP}"


def test_the_pressure_told_gives_the_wished_sag(tmp_path: Path) -> None:
    found = end_bench(tmp_path, "front", wished("front", sag_percent=18.5))
    assert found.set_up is not None
    (row,) = (row for row in found.set_up.sag if row.wished)
    (figure,) = row.figures
    assert (row.percent, figure.what, figure.unit, figure.main) == (
        18.5,
        "pressure for 18.5 % sag, as wished",
        "bar",
        True,
    )
    set_so = end_bench(tmp_path, "front", ("air_pressure_bar = 5.0", f"air_pressure_bar = {row.pressure_bar:.9f}"))
    assert set_so.masses is not None
    assert 100 * set_so.masses.sag_mm / set_so.masses.full_mm == pytest.approx(18.5, abs=0.02)


def test_spring_and_preload_told_give_the_wished_sag_each_by_itself(tmp_path: Path) -> None:
    found = end_bench(tmp_path, "rear", wished("rear", sag_percent=24))
    assert found.set_up is not None
    (row,) = (row for row in found.set_up.sag if row.wished)
    assert [figure.unit for figure in row.figures] == ["N/mm", "mm"]
    for change in (
        ("spring_rate_n_mm = 90", f"spring_rate_n_mm = {row.rate_n_mm:.9f}"),
        ("preload_mm = 1", f"preload_mm = {row.preload_mm:.9f}"),
    ):
        set_so = end_bench(tmp_path, "rear", change).masses
        assert set_so is not None
        assert 100 * set_so.sag_mm / set_so.full_mm == pytest.approx(24, abs=0.02)


def test_damping_as_wished_is_told_by_how_many_times_todays(tmp_path: Path) -> None:
    found = end_bench(tmp_path, "front", wished("front", damping_ratio=0.35))
    assert found.set_up is not None
    assert found.masses is not None
    (row,) = (row for row in found.set_up.damping if row.wished)
    assert row.times_now * (found.masses.damping_ratio or 0.0) == pytest.approx(0.35, rel=1e-3)
    (lacking,) = lacking_wish(EndWish(damping_ratio=0.35), found)
    assert "between two positions" in lacking.reason


@pytest.mark.parametrize(
    ("wish", "change", "reason"),
    [
        (EndWish(sag_percent=59), ("travel_mm = 170", "travel_mm = 170\nsprung_mass_kg = 3"), "no pressure from 0.7"),
        (EndWish(sag_percent=20), ("front_share = 0.4\n", ""), "aren't both known"),
        (EndWish(damping_ratio=0.3), (POINTS, ""), "damper_points"),
    ],
)
def test_a_wish_that_nothing_gives_is_told_why(
    tmp_path: Path, wish: EndWish, change: tuple[str, str], reason: str
) -> None:
    changes = [change]
    if "sprung" in change[1]:
        changes += [("front_share = 0.4\n", ""), wished("front", sag_percent=59)]
    elif wish.sag_percent is None:
        changes.append(wished("front", damping_ratio=0.3))
    (lacking,) = lacking_wish(wish, end_bench(tmp_path, "front", *changes))
    assert reason in lacking.reason


def test_what_gives_a_sag_is_told_in_the_unit_that_the_day_states(tmp_path: Path) -> None:
    """1 psi is 0.06894757 bar, 1 lb/in 0.1751268 N/mm: printed in general tables."""
    imperial = ("air_pressure_bar = 5.0", "air_pressure_psi = 72.52"), ("rate_n_mm = 90", "rate_lb_in = 514")
    for end, unit, metric in (("front", "psi", 0.06894757), ("rear", "lb/in", 0.1751268)):
        found = end_bench(tmp_path, end, *imperial).set_up
        assert found is not None
        row = found.sag[1]
        told = next(own for own in row.figures if own.unit == unit)
        assert told.value * metric == pytest.approx(row.pressure_bar if end == "front" else row.rate_n_mm, rel=1e-5)
        assert not any(own.unit in ("bar", "N/mm") for own in row.figures)


def test_what_gives_a_sag_is_told_in_one_unit_where_setups_state_two(tmp_path: Path) -> None:
    second = "[setups.b.front]\n"
    bench = benched(tmp_path, (second, f"{second}air_pressure_psi = 80\n"))
    rows = [row for row in bench.rows if row.figure.what.startswith("pressure for")]
    assert rows
    assert {row.figure.unit for row in rows} == {"bar"}
    assert all("b" in row.differences for row in rows)
