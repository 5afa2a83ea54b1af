"""The whole answer: JSON, ranges and differences, what is absent and why, figures that can't be."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

import telemetry
from telemetry.bench.damper import in_its_oil, viscosity_share
from telemetry.bench.one_end import end_of, lacking_of
from telemetry.bench.stated import stated_of
from telemetry.errors import CallError, RideDayError
from telemetry.model.bench import Bench
from tests.bench.bench_days import benched, end_bench, written
from tests.cli.run_here import commanded

OIL = "lower_leg_oil_each_ml = 20"


def answer(folder: Path, *changes: tuple[str, str]) -> Mapping[str, Any]:
    done = commanded("bench", written(folder, *changes), "--json")
    assert (done.returncode, done.stderr) == (0, "")
    found: Mapping[str, Any] = json.loads(done.stdout)
    return found


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return benched(tmp_path_factory.mktemp("base"))


@pytest.fixture(scope="module")
def found(base: Bench) -> Mapping[str, Any]:
    answered: Mapping[str, Any] = json.loads(json.dumps(base.to_dict(), allow_nan=False))
    return answered


def test_the_command_prints_the_answer_alone(tmp_path: Path, found: Mapping[str, Any]) -> None:
    assert answer(tmp_path) == found


def test_json_has_the_parts_of_each_setup_by_end(found: Mapping[str, Any]) -> None:
    assert found["ride_day"] == "Parts on the bench"
    assert set(found["setups"]) == {"a", "b"}
    springs = found["setups"]["a"]["front"]["springs"]
    assert {"travel_mm", "parts", "total_n"} <= set(springs)
    assert (
        {len(force) for force in springs["parts"].values()} == {len(springs["travel_mm"])} == {len(springs["total_n"])}
    )
    assert springs["travel_mm"][-1] == pytest.approx(170)
    assert [row["percent"] for row in springs["at_percent"]] == [30, 60, 80, 90, 100]
    assert "lower_legs" not in found["setups"]["a"]["rear"]
    for setup in found["setups"]:
        told = [{"setup": setup, **item} for item in found["setups"][setup]["absent"]]
        assert told == [item for item in found["absent"] if item["setup"] == setup]


def test_a_difference_is_told_with_its_range_and_figures_in_common_cancel(found: Mapping[str, Any]) -> None:
    """8 in place of 20 ml in each leg changes what the legs push with; pressure, piston and masses are alike."""
    rows = {(row["end"], row["what"]): row for row in found["figures"]}
    legs = rows["front", "of it at 90 %, fast: lower legs"]["differences"]["b"]
    assert legs["low"] < legs["value"] < legs["high"] < 0
    assert rows["front", "sprung mass"]["differences"]["b"] == {"value": 0.0, "low": 0.0, "high": 0.0}
    whole = rows["front", "force at 90 % of travel, fast"]
    width = whole["setups"]["a"]["high"] - whole["setups"]["a"]["low"]
    apart = whole["differences"]["b"]["high"] - whole["differences"]["b"]["low"]
    assert apart < 0.8 * width


def test_a_figure_known_better_narrows_the_range(tmp_path: Path, base: Bench) -> None:
    def width(bench: Bench) -> float:
        row = next(row for row in bench.rows if (row.end, row.figure.what) == ("front", "sprung mass"))
        return row.values["a"].high - row.values["a"].low

    better = benched(tmp_path, ("front_share = 0.4", "front_share = 0.4\nplus_minus = { front_share = 0.002 }"))
    assert width(better) < 0.6 * width(base)


def test_draws_of_parts_that_cannot_be_are_left_out_and_told(tmp_path: Path, base: Bench) -> None:
    """The stanchion takes 173 ml of a leg and 20 ml of oil: of 240 ml known to 60 one in five draws holds less."""
    worse = benched(tmp_path, (OIL, f"{OIL}\nplus_minus = {{ lower_leg_volume_each_ml = 60 }}"))
    assert base.possible == 1.0
    assert 0.65 < worse.possible < 0.92
    assert "Ranges are too narrow" in worse.summary()


def test_what_lacks_is_absent_with_the_keys_that_would_give_it(tmp_path: Path) -> None:
    found = answer(tmp_path, ("rider_mass_kg = 84\n", ""), ("air_piston_mm = 30\n", ""), ("stanchion_mm = 36\n", ""))[
        "setups"
    ]["a"]
    assert set(found["front"]) == {"damper"}
    reasons = {(item["end"], item["what"]): item["reason"] for item in found["absent"]}
    assert "air_piston_mm not stated" in reasons["front", "springs"]
    assert "rider_mass_kg not stated" in reasons["rear", "sag, natural frequency and damping ratio"]
    assert "damper_points" in reasons["rear", "damper's forces and damping ratio"]


def test_an_end_weighed_by_itself_needs_no_share(tmp_path: Path) -> None:
    changes = (("front_share = 0.4\n", ""), ("preload_mm = 1", "preload_mm = 1\nsprung_mass_kg = 60"))
    rear = end_bench(tmp_path, "rear", *changes).masses
    assert rear is not None
    assert rear.sprung_kg == 60
    assert end_bench(tmp_path, "front", *changes).masses is None


def test_what_was_assumed_is_named(found: Mapping[str, Any]) -> None:
    known = found["setups"]["a"]["known"]
    assumed = {(item["end"], item["key"]): item for item in known if "assumed" in item}
    assert assumed["front", "bumper_end_force_n"]["assumed"] == 3000
    assert {"end": "front", "key": "air_pressure_bar", "plus_minus": 0.1, "stated": False} in known


@pytest.mark.parametrize(
    ("change", "key", "found"),
    [
        (
            ("lower_leg_oil_each_ml = 20", "lower_leg_oil_each_ml = 250"),
            "bike.front.lower_leg_oil_each_ml",
            "250 ml of oil",
        ),
        (
            ("lower_leg_oil_each_ml = 8", "lower_leg_oil_each_ml = 90"),
            "setups.b.front.lower_leg_oil_each_ml",
            "150.0 ml",
        ),
        (("air_volume_ml = 170", "air_volume_ml = 100"), "bike.front.air_volume_ml", "100.0 ml of gas"),
        (("air_rod_mm = 8", "air_rod_mm = 31"), "bike.front.air_rod_mm", "31 mm in a piston of 30 mm"),
        (
            ("air_volume_ml = 170", "air_volume_ml = 170\nvolume_spacers = 4\nspacer_ml = 45"),
            "bike.front.volume_spacers",
            "180 ml of spacers",
        ),
        (
            ("[setups.b.front]", "[setups.b.front]\nvolume_spacers = 3\nspacer_ml = 20"),
            "setups.b.front.volume_spacers",
            "110.0 ml of gas",
        ),
        (("[-100, -110], [100, 50]", "[-100, 110], [100, 50]"), "bike.front.damper_points", "110 N at -100"),
        (("unsprung_mass_kg = 5", "unsprung_mass_kg = 70"), "bike.rear.unsprung_mass_kg", "70"),
        (("front_share = 0.4", "front_share = 0"), "bike.front_share", "found 0;"),
        (("battery_mass_kg = 3.5", "battery_mass_kg = 35"), "bike.battery_mass_kg", "35 kg"),
        (("[-1000, -610], [-100, -110]", "[-1000, 610], [-100, 110]"), "bike.front.damper_points", "610 N at -1000"),
        ((OIL, f"{OIL}\nlower_leg_closed_at_mm = 180"), "bike.front.lower_leg_closed_at_mm", "180 mm"),
        (("preload_mm = 1", "preload_mm = 1\nsprung_mass_kg = 30"), "bike.rear.sprung_mass_kg", "30.0 kg"),
        (("air_pressure_bar = 5.0", "air_pressure_bar = -2"), "bike.front.air_pressure_bar", "-2"),
    ],
)
def test_figures_that_cannot_be_are_one_line_with_their_key(
    tmp_path: Path, change: tuple[str, str], key: str, found: str
) -> None:
    folder = written(tmp_path, change)
    done = commanded("bench", folder)
    assert (done.returncode, done.stdout) == (2, "")
    (line,) = done.stderr.splitlines()
    assert f"{key}: found" in line
    assert found in line
    checked = commanded("check", folder, "--json")
    assert (checked.returncode, checked.stderr.splitlines()) == (2, [line])
    assert [problem["key"] for problem in json.loads(checked.stdout)["errors"]] == [key]


def test_the_key_is_told_as_it_is_spelled(tmp_path: Path) -> None:
    with pytest.raises(RideDayError, match=r"bike\.front\.air_rod_in: found 2 in, a rod of 50\.8 mm"):
        benched(tmp_path, ("air_rod_mm = 8", "air_rod_in = 2"))


def test_a_day_without_setups_is_told_to_have_one(tmp_path: Path) -> None:
    (tmp_path / "ride_day.toml").write_text("[ride_day]\ndate = 2026-05-16\n", encoding="utf-8")
    with pytest.raises(CallError, match="at least one"):
        telemetry.bench_of(telemetry.read_ride_day(tmp_path))


def test_cautions_and_what_was_taken_for_granted_are_told(base: Bench) -> None:
    text = base.summary()
    assert text.startswith("Parts on the bench")
    assert text.index("\nRear\n") < text.index("\nFront\n")
    for words in ("ask the maker", "A starting point", "Taken for granted", "Not told", "difference"):
        assert words in text


def test_thinner_oil_weakens_the_damper_of_the_first_setup(tmp_path: Path) -> None:
    """11 in place of 16 mm2/s: the second setup shares the first's points, and its forces go with viscosity."""
    thinner = "[setups.b.front]\ndamper_oil_cst_40c = 11"
    day = telemetry.read_ride_day(written(tmp_path, ("[setups.b.front]", thinner)))
    a, b = (stated_of(day, setup, "front") for setup in day.setups.values())
    told = [end_of(own).to_dict() for own in (a, in_its_oil(b, a))]
    forces, oils = ([json.loads(json.dumps(end))["damper"][key] for end in told] for key in ("force_n", "oil"))
    thinned = oils[1]["cst"] / oils[0]["cst"]
    assert 0.6 < thinned < 0.8
    assert forces[1] == pytest.approx([force * thinned for force in forces[0]], abs=1e-3)
    assert in_its_oil(a, a).oil_share == 1.0


def test_oil_on_paper_is_as_warm_as_it_rides(tmp_path: Path) -> None:
    """30 °C where air is taken for 20: thin and thick oil lie nearer than in cold air, and less near than at 40 °C."""
    thinner = "[setups.b.front]\ndamper_oil_cst_40c = 11"
    day = telemetry.read_ride_day(written(tmp_path, ("[setups.b.front]", thinner)))
    a, b = (stated_of(day, setup, "front") for setup in day.setups.values())
    cold, riding = viscosity_share(b, a), viscosity_share(b, a, riding=True)
    assert cold < riding < 11 / 16
    assert b.widths["front", "oil_warmer_k"].plus_minus == 8.0


def test_adjusters_at_an_end_and_points_measured_elsewhere_are_told(tmp_path: Path) -> None:
    text = benched(
        tmp_path,
        ("rebound = { clicks_from_closed = 9, of = 18 }", "rebound = { clicks_from_closed = 1, of = 18 }"),
        ("damper_oil_cst_40c = 16\n", 'damper_oil_cst_40c = 16\ndamper_points_at = "rebound 9"\n'),
    ).summary()
    assert "Front, rebound: 1 of 18 clicks from closed, near closed: little left to close (20 ml, 8 ml)." in text
    assert "damper_points were measured at rebound 9 from closed, this setup has 1" in text


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (("air_pressure_bar = 5.0", "air_pressure_bar = 20\nnegative_air_pressure_bar = 1"), "stays topped out under"),
        (("air_volume_ml = 170\n", ""), "its springs aren't known"),
    ],
)
def test_an_end_that_does_not_swing_is_told_no_frequency(tmp_path: Path, change: tuple[str, str], reason: str) -> None:
    day = telemetry.read_ride_day(written(tmp_path, change))
    stated = stated_of(day, day.setups["a"], "front")
    masses = end_of(stated).masses
    assert masses is None or masses.natural_hz is masses.damping_ratio is None
    assert [item for item in lacking_of(stated) if reason in item.reason]
