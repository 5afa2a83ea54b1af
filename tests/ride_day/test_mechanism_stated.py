"""A linkage's points beside what is stated besides: the shock's length, rear travel, chainstay, wheelbase."""

from __future__ import annotations

from pathlib import Path

import pytest

from telemetry.errors import RideDayError
from telemetry.ride_day import read_ride_day

PICTURE = """\
scale  = [{ points = ["main", "axle"], mm = MM }]
moving = { axle = [692, 885], stay = [1115, 831], link_top = [1144, 610], shock_rear = [1128, 491] }
[bike.rear.linkage.fixed]
main = [1235, 852]
rocker = [1219, 602]
shock_front = [1506, 498]
bottom_bracket = [1250, 900]
front_axle = [2240, 880]
"""
IN_MM = """\
fixed  = { main = [-12.0, 38.0], rocker = [-25.0, 238.0], shock_front = [205.0, 322.0] }
moving = { axle = [-446.0, 12.0], stay = [-108.0, 55.0], link_top = [-85.0, 232.0], shock_rear = [-98.0, 327.0] }
"""
DAY = """\
[ride_day]
date = 2026-05-16
[bike]
BIKE
[bike.geometry]
GEOMETRY
[bike.rear]
stroke_mm = 62.5
REAR
[bike.rear.linkage]
shock  = ["shock_front", "shock_rear"]
axle   = "axle"
POINTS
[bike.rear.linkage.bodies]
swingarm = ["main", "axle", "stay"]
link = ["stay", "link_top"]
rocker = ["rocker", "link_top", "shock_rear"]
[setups.a]
[setups.a.rear]
OWN
"""


def read(folder: Path, points: str, **stated: str) -> float:
    """Return the rear's full travel; `stated` are lines by their place in the file."""
    text = DAY.replace("POINTS", points)
    for place in ("bike", "geometry", "rear", "own"):
        text = text.replace(place.upper(), stated.get(place, ""))
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    return read_ride_day(folder).setups["a"].rear.full_travel_mm or 0.0


def picture(mm: float = 435.0) -> str:
    return PICTURE.replace("MM", f"{mm:g}")


def test_what_goes_together_is_read(tmp_path: Path) -> None:
    stated = {"bike": "wheelbase_mm = 1240", "geometry": "chainstay_mm = 446", "rear": "shock_length_mm = 303"}
    assert read(tmp_path, picture(), **stated) == pytest.approx(166, abs=1)
    by_tape = {"geometry": "chainstay_mm = 460", "rear": "shock_length_mm = 303\ntravel_mm = 165"}
    assert read(tmp_path, IN_MM, **by_tape) == pytest.approx(165.4, abs=0.1)


def test_a_travel_as_near_as_the_points_are_known_is_taken(tmp_path: Path) -> None:
    assert read(tmp_path, picture(), rear="travel_mm = 163") == pytest.approx(166, abs=1)  # 2 % off, the scale 3 %
    with pytest.raises(RideDayError, match=r"rear\.travel_mm: found 163 mm; expected within 1 % of 165\.4 mm"):
        read(tmp_path, IN_MM, rear="travel_mm = 163")
    assert read(tmp_path, f"{IN_MM}plus_minus_mm = 1.5\n", rear="travel_mm = 163") == pytest.approx(165.4, abs=0.1)


@pytest.mark.parametrize(
    ("points", "stated", "told"),
    [
        (
            picture(456),
            {"rear": "shock_length_mm = 303"},
            r"rear\.shock_length_mm: found 303 mm, but .* 316\.9 mm apart",
        ),
        (picture(), {"rear": "travel_mm = 150"}, r"rear\.travel_mm: found 150 mm; expected within 1\d\.\d mm of 16"),
        (picture(456), {"geometry": "chainstay_mm = 446"}, r"chainstay_mm: found 446 mm, but the linkage has 467\.9"),
        (picture(456), {"bike": "wheelbase_mm = 1240"}, r"wheelbase_mm: found 1240 mm, but .* front axle to rear axle"),
        (picture(), {"own": "shock_length_mm = 230"}, r"setups\.a\.rear\.shock_length_mm: .* within 10 %"),
        (IN_MM, {"rear": "shock_length_mm = 290"}, r"rear\.shock_length_mm: .* 303\.0 mm apart"),
    ],
)
def test_a_scale_or_points_that_contradict_what_is_stated_are_one_line(
    tmp_path: Path, points: str, stated: dict[str, str], told: str
) -> None:
    with pytest.raises(RideDayError, match=told) as caught:
        read(tmp_path, points, **stated)
    assert len(caught.value.problems) == 1


def test_another_shock_of_a_setup_is_a_change(tmp_path: Path) -> None:
    assert read(tmp_path, picture(), own="shock_length_mm = 299") < read(tmp_path, picture())
