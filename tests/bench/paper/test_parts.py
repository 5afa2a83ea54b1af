"""Parts as stated, made into what the loop reads: against the simulation's own parts."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.bench.damper import viscosity_share
from telemetry.bench.paper.drawn import Drawn
from telemetry.bench.paper.ends import Settled
from telemetry.bench.paper.known import PaperSetup, paper_setup
from telemetry.bench.stated import as_stated, stated_of
from telemetry.model.finding import ENDS
from tests.bench.bench_days import day_of

PARTS = """\
head_angle_deg = 64
wheelbase_mm = 1250
[bike.front]
travel_mm = 170
spring_rate_n_mm = 8
bumper_touch_mm = 160
unsprung_mass_kg = 3.5
tyre_stiffness_n_mm = 90
damper_points = [[-1000, -610], [-200, -250], [200, 100], [1000, 230]]
[bike.rear]
stroke_mm = 60
ratio = 2.5
spring_rate_n_mm = 80
unsprung_mass_kg = 4
rebound = { clicks_from_closed = 6, of = 12 }
damper_oil_cst_40c = 16
damper_points = [[-400, -1400], [-100, -700], [100, 500], [400, 900]]
[setups.a]
[setups.thin]
[setups.thin.rear]
damper_oil_cst_40c = 8
[setups.open]
[setups.open.rear]
rebound = { clicks_from_closed = 12, of = 12 }
"""
MEASURED = """\
[setups.soft]
[setups.soft.rear]
rebound = { clicks_from_closed = 10, of = 12 }
damper_points = [[-400, -700], [-100, -350], [100, 500], [400, 900]]
[setups.elsewhere]
[setups.elsewhere.rear]
rebound = { clicks_from_closed = 8, of = 12 }
damper_points = [[-400, -700], [-100, -350], [100, 500], [400, 900]]
damper_points_at = "rebound 10"
"""


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> telemetry.RideDay:
    return day_of(tmp_path_factory.mktemp("parts"), PARTS)


def made(day: telemetry.RideDay, name: str = "a", draw: object = as_stated) -> PaperSetup:
    return paper_setup(day, (day.setups[name], day.setups["a"]), ENDS, {}, draw)  # type: ignore[arg-type]


def test_loads_stand_where_the_shares_say(day: telemetry.RideDay) -> None:
    body = made(day).body
    assert body.sprung_kg["front"] == pytest.approx(0.42 * 98 - 3.5)
    assert body.sprung_kg["rear"] == pytest.approx(0.58 * 98 - 4)
    whole = body.frame.mass_kg + body.rider.mass_kg
    assert body.rider.turning_n_m == pytest.approx(body.rider.arms_n_m * (0.15 * 1.25) ** 2)
    assert body.bike({}).heights.holding_rad_s == pytest.approx(2 * math.pi)
    assert whole == pytest.approx(98 - 7.5)
    moment = body.rider.mass_kg * body.rider.hands_ahead_m
    on_front = (whole * body.frame.rear_behind_m + moment) / 1.25
    assert on_front == pytest.approx(body.sprung_kg["front"])


def test_an_end_by_itself_asks_for_nothing_that_bikes_pitch_by(day: telemetry.RideDay) -> None:
    own = day.setups["a"]
    front = paper_setup(day, (own, own), ("front",), {})
    asked = {key for _, key in front.widths}
    pitch = {"wheelbase_mm", "frame_front_share", "pitch_radius_share", "rider_lever_share", "holding_hz"}
    assert pitch <= {key for _, key in made(day).widths}
    assert not asked & pitch
    assert {"rider_hz", "rider_damping"} <= asked
    assert front.body.sprung_kg == {"front": pytest.approx(0.42 * 98 - 3.5)}


def test_an_end_pushes_with_its_spring_within_its_stops(day: telemetry.RideDay) -> None:
    own = made(day).ends["front"]
    travel = np.array([0.05, 0.1, 0.15])
    assert own.elastic_n(travel, 1.0, None) == pytest.approx(8e3 * travel, rel=1e-3)
    assert own.settled_m(own.slow_n(0.06)) == pytest.approx(0.06, abs=1e-4)
    far = own.elastic_n(np.array([0.16, 0.17, 0.175]), 1.0, None)
    assert far[1] > 8e3 * 0.17 + 1000  # the bumper
    assert far[2] > 10_000  # metal


def test_legs_with_next_to_no_gas_left_at_the_end_are_ridden_as_far_as_there_is_some(tmp_path: Path) -> None:
    area_mm2 = math.pi / 4 * 36**2
    volume_ml = area_mm2 * 170.5 / 1e3  # the last of the gas goes half a millimetre below full travel
    legs = f"lower_leg_volume_each_ml = {volume_ml:.3f}\nlower_leg_oil_each_ml = 0\nstanchion_mm = 36\n"
    day = day_of(tmp_path, PARTS.replace("travel_mm = 170\n", "travel_mm = 170\n" + legs, 1))
    end = made(day).ends["front"]
    tables = end.tables(1.2, 0.05)
    assert np.isfinite(tables.force_n).all()
    assert (np.diff(tables.force_n) >= 0).all()


def test_a_shock_works_through_its_lever(day: telemetry.RideDay) -> None:
    own = made(day).ends["rear"]
    assert own.elastic_n(np.array([0.075]), 1.0, None) == pytest.approx([80e3 * 0.03 / 2.5], rel=1e-3)


def test_oil_and_clicks_make_another_damper_of_the_same_points(day: telemetry.RideDay) -> None:
    base, thin, opened = (made(day, name).ends["rear"].damper for name in ("a", "thin", "open"))
    fast = np.array([-0.4, 0.4])
    assert base.force_n(fast) == pytest.approx([-1400, 900], rel=0.08)  # one slope: two points tell no knee
    assert 0.4 < thin.force_n(fast)[1] / base.force_n(fast)[1] < 0.6
    stated = [stated_of(day, day.setups[name], "rear") for name in ("thin", "a")]
    oil = viscosity_share(stated[0], stated[1], riding=True)
    assert thin.viscosity_share == pytest.approx(oil**0.95)  # orifices don't follow
    assert ("rear", "goes_with_viscosity") in made(day, "thin").widths
    assert ("rear", "goes_with_viscosity") not in made(day, "open").widths
    share = opened.force_n(fast) / base.force_n(fast)
    assert share[0] == pytest.approx(3**-0.5, rel=1e-6)  # half the range towards open, closed 3 times open
    assert share[1] == pytest.approx(1.0)


def test_clicks_go_by_forces_measured_at_two_positions_where_a_day_has_them(tmp_path: Path) -> None:
    day = day_of(tmp_path, PARTS + MEASURED)
    fast = np.array([-0.4, 0.4])
    base = made(day).ends["rear"].damper.force_n(fast)
    opened, between = (made(day, name) for name in ("open", "elsewhere"))
    # 6 to 10 clicks halve it: 2 more are half as much again on the logarithm, and 8 lies half-way
    assert opened.ends["rear"].damper.force_n(fast) / base == pytest.approx([0.5 ** (6 / 4), 1.0], rel=0.02)
    assert between.ends["rear"].damper.force_n(fast) / base == pytest.approx([0.5**0.5, 1.0], rel=0.02)
    assert opened.clicks["rear", "rebound"].startswith(
        "by the forces measured at 6 and 10 clicks from closed, and beyond"
    )
    assert between.clicks["rear", "rebound"] == "by the forces measured at 6 and 10 clicks from closed"
    assert ("rear", "adjuster_range") not in opened.widths
    assert made(day, "soft").clicks == {}  # as measured


def test_clicks_that_nobody_measured_go_by_a_usual_range_and_that_is_told(day: telemetry.RideDay) -> None:
    opened = made(day, "open")
    assert opened.clicks["rear", "rebound"].startswith("by a usual range")
    assert ("rear", "adjuster_range") in opened.widths


def test_forces_of_one_dyno_are_off_alike_in_all_setups(tmp_path: Path) -> None:
    day, fast = day_of(tmp_path, PARTS + MEASURED), np.array([-0.4])
    draw = Drawn(np.random.default_rng(5))
    drawn = [made(day, name, draw).ends["rear"].damper.force_n(fast)[0] for name in ("a", "soft")]
    assert drawn[1] / drawn[0] == pytest.approx(0.5, rel=1e-6)
    assert drawn[0] != pytest.approx(made(day).ends["rear"].damper.force_n(fast)[0], rel=1e-3)


def test_setups_are_off_alike_in_what_they_share(day: telemetry.RideDay) -> None:
    draw = Drawn(np.random.default_rng(3))
    first, second = (made(day, name, draw).ends["rear"] for name in ("a", "open"))
    at = np.array([0.1])
    assert first.elastic_n(at, 1.0, None) == pytest.approx(second.elastic_n(at, 1.0, None))
    assert first.elastic_n(at, 1.0, None) != pytest.approx(made(day).ends["rear"].elastic_n(at, 1.0, None), rel=1e-4)


def test_settling_takes_the_place_of_a_usual_friction(day: telemetry.RideDay) -> None:
    settled = paper_setup(day, (day.setups["a"], day.setups["a"]), ENDS, {"rear": 4.0})
    assert settled.ends["rear"].friction_n == pytest.approx(2.0 * 80 / 2.5, rel=0.01)
    assert settled.widths["rear", "friction_rear_n"].assumed is None
    assert made(day).widths["rear", "friction_rear_n"].assumed is not None


def test_friction_is_what_holds_an_end_apart(day: telemetry.RideDay) -> None:
    springs = made(day).ends["rear"].springs
    # 2 mm of wheel to either side of rest, 12.8 N/mm at the wheel, through 2.5
    found = Settled(band_mm=4.0, load_n=500.0).friction_n(springs)
    assert found == pytest.approx(2.0 * (80 / 2.5**2) * 2.5, rel=0.01)
