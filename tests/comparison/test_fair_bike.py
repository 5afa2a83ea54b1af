"""The bike on paper: each code just beyond its limit and not just inside.

Limits are those of the project's own table of findings (docs/findings.md), common practice without a source.
"""

import pytest

from telemetry.model.setting import AdjusterPosition
from tests.comparison.conditions_made import OIL, clicks, conditions, found, only

HEAD, WHEELBASE = ("both", "head_angle_deg"), ("both", "wheelbase_mm")


def shaped(old, new, full=None):
    setups = OIL if full is None else {name: OIL[name] | {"full": {"front": full[name]}} for name in OIL}
    return conditions("abba", setups, of_setups={"a": {"geometry": old}, "b": {"geometry": new}})


@pytest.mark.parametrize(
    ("key", "old", "inside", "outside", "words"),
    [
        (HEAD, 64.0, 63.7, 63.65, "head angle 64 → 63.65° (−0.35, limit 0.3°)"),
        (HEAD, 63.7, 64.0, 64.05, "head angle 63.7 → 64.05° (+0.35, limit 0.3°)"),
        (WHEELBASE, 1252.0, 1257.0, 1257.5, "wheelbase 1252 → 1257.5 mm (+5.5, limit 5 mm)"),
        (("both", "bottom_bracket_height_mm"), 349.0, 344.0, 343.0, "bottom bracket height 349 → 343 mm (−6.0"),
        (("front", "axle_to_crown_mm"), 572.0, 577.0, 578.0, "axle to crown, front 572 → 578 mm (+6.0, limit 5 mm)"),
        (("front", "offset_mm"), 44.0, 39.0, 37.0, "offset, front 44 → 37 mm (−7.0, limit 5 mm)"),
        (("rear", "wheel_diameter_mm"), 704.0, 709.0, 752.0, "wheel diameter, rear 704 → 752 mm"),
    ],
)
def test_each_stated_figure_of_the_geometry(key, old, inside, outside, words):
    assert found(shaped({key: old}, {key: inside}), "geometry_differs") == []
    assert words in only(shaped({key: old}, {key: outside}), "geometry_differs")


def test_what_only_one_setup_states_is_not_judged():
    assert found(shaped({HEAD: 64.0}, {}), "geometry_differs") == []


def test_a_longer_fork_counts_unless_its_length_is_stated_for_both():
    longer = {"a": 160.0, "b": 166.0}
    assert "travel, front 160 → 166 mm (+6.0" in only(shaped({}, {}, longer), "geometry_differs")
    assert found(shaped({}, {}, {"a": 160.0, "b": 165.0}), "geometry_differs") == []
    length = {("front", "axle_to_crown_mm"): 572.0}
    assert found(shaped(length, length, longer), "geometry_differs") == []
    assert only(shaped(length, {}, longer), "geometry_differs")


LINK = {
    "a": {"rear": {"ratio": 2.5}},
    "b": {"rear": {"ratio": 2.7}},
}


def standing(setups, old, new, stated=({}, {})):
    of_setups = {
        name: {"geometry": geometry, "stance": stance}
        for name, geometry, stance in zip("ab", stated, (old, new), strict=True)
    }
    return conditions("abba", setups, of_setups=of_setups)


class TestGeometryUnderTest:
    """A link or a fork brings its geometry along: nobody can put it back, so what it comes to is named instead."""

    STANCES = ({"head_angle_deg": 64.0, "trail_mm": 134.0}, {"head_angle_deg": 63.5, "trail_mm": 138.0})

    def test_a_link_is_told_what_it_makes_of_the_bike(self):
        message = only(standing(LINK, *self.STANCES), "geometry_differs")
        assert "worked out: head angle 64.0 → 63.5° (−0.5), trail 134 → 138 mm (+4)" in message
        assert "it comes with what is tested (leverage ratio)" in message
        assert "put the geometry back" not in message

    def test_a_fork_is_told_both_what_is_stated_and_what_that_makes(self):
        fork = {name: {"front": {"axle_to_crown_mm": length}} for name, length in (("a", 572.0), ("b", 582.0))}
        lengths = tuple({("front", "axle_to_crown_mm"): own["front"]["axle_to_crown_mm"]} for own in fork.values())
        message = only(standing(fork, *self.STANCES, lengths), "geometry_differs")
        assert "axle to crown, front 572 → 582 mm" in message
        assert "head angle 64.0 → 63.5°" in message
        assert "it comes with what is tested (axle to crown)" in message

    def test_what_no_part_under_test_makes_is_to_be_put_back(self):
        message = only(standing(OIL, {}, {}, ({HEAD: 64.0}, {HEAD: 63.0})), "geometry_differs")
        assert "put the geometry back" in message

    @pytest.mark.parametrize(("angle", "told"), [(63.7, False), (63.69, True)])
    def test_from_its_limit_on(self, angle, told):
        made = standing(LINK, {"head_angle_deg": 64.0}, {"head_angle_deg": angle})
        assert bool(found(made, "geometry_differs")) is told

    def test_without_a_part_that_makes_it_nothing_is_worked_out(self):
        assert found(standing(OIL, *self.STANCES), "geometry_differs") == []


def test_full_travel_is_told_in_millimetres():
    setups = {"a": {}, "b": {"full": {"rear": 165.0}, **OIL["b"]}}
    message = only(conditions("abba", setups), "full_travel_differs")
    assert "b has 165.0 mm of full travel at the rear and a 150.0 mm" in message
    nearly = {"a": {}, "b": {"full": {"rear": 150.04}, **OIL["b"]}}
    assert found(conditions("abba", nearly), "full_travel_differs") == []


def test_tyre_pressure_of_each_end():
    def pressed(front, rear):
        ends = {"front": {"tyre_pressure_bar": front}, "rear": {"tyre_pressure_bar": rear}}
        return conditions("abba", {"a": {end: {"tyre_pressure_bar": 1.5} for end in ("front", "rear")}, "b": ends})

    assert found(pressed(1.55, 1.45), "tyre_pressure_differs") == []
    message = only(pressed(1.5, 1.56), "tyre_pressure_differs")
    assert "the rear tyre had 1.56 bar with b and 1.5 bar with a, +0.06 bar (limit 0.05 bar)" in message
    assert len(found(pressed(1.56, 1.44), "tyre_pressure_differs")) == 2


def test_an_end_that_was_weighed_otherwise():
    def weighed(kg):
        return conditions("abba", {"a": {"front": {"sprung_mass_kg": 50.0}}, "b": {"front": {"sprung_mass_kg": kg}}})

    assert found(weighed(54.0), "load_differs") == []
    message = only(weighed(54.1), "load_differs")
    assert "the front carries 54.1 kg with b and 50 kg with a (sprung_mass_kg), +8 % (limit 8 %)" in message
    assert len(found(weighed(45.9), "load_differs")) == 1


@pytest.mark.parametrize(
    ("position", "words"),
    [
        (clicks(2), "rebound 2 clicks from closed (of 16)"),
        (clicks(0), "rebound 0 clicks from closed (of 16)"),
        (clicks(15), "rebound 1 click from open (of 16)"),
        (clicks(1, None), "rebound 1 click from closed"),
        (clicks(5, 5), "rebound 0 clicks from open (of 5)"),
    ],
)
def test_an_adjuster_near_its_end(position, words):
    setups = {"a": {"rear": {"rebound": position}}, "b": {"rear": {"rebound": clicks(8)}}}
    message = only(conditions("abba", setups), "adjusters_at_end")
    assert message.startswith(f"a, rear: {words}; limit 2 clicks")


@pytest.mark.parametrize(
    "position",
    [clicks(3), clicks(13), clicks(3, None), clicks(2, 5), AdjusterPosition(from_closed=0.0, of=4.0, unit="turns")],
)
def test_an_adjuster_that_has_room_both_ways_or_is_not_judged(position):
    setups = {"a": {"rear": {"rebound": position}}, "b": {"rear": {"rebound": clicks(8)}}}
    assert found(conditions("abba", setups), "adjusters_at_end") == []
