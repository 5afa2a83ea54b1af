"""Linkages against closed forms: trigonometry for one pivot, the loop equation for four bars, circles for a rocker."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from telemetry.mechanics.leverage import LeverageCurve
from telemetry.mechanics.linkage import LinkageError, degrees_of_freedom, linkage_path, solve_linkage
from telemetry.model.linkage import Linkage
from tests.mechanics.linkages_made import ROCKER

# R. L. Norton, Design of Machinery, example 4-1, from memory: ground 100, crank 40, coupler 120, rocker 80, crank at 40
# degrees; the book prints theta_4 = 57.3 (open) and -98.0 (crossed) degrees. More digits computed from circles.
GROUND, CRANK, COUPLER, OUTPUT = 100.0, 40.0, 120.0, 80.0
NORTON_INPUT_DEG, NORTON_OPEN_DEG, NORTON_CROSSED_DEG = 40.0, 57.324880070360784, -98.00496407802875


def loop_angles(input_rad: float) -> tuple[float, float]:
    """Return the output's open and crossed angle from the half-tangent form of Freudenstein's equation."""
    k1, k2 = GROUND / CRANK, GROUND / OUTPUT
    k3 = (CRANK**2 - COUPLER**2 + OUTPUT**2 + GROUND**2) / (2 * CRANK * OUTPUT)
    cosine = math.cos(input_rad)
    a = cosine - k1 - k2 * cosine + k3
    b = -2 * math.sin(input_rad)
    c = k1 - (k2 + 1) * cosine + k3
    root = math.sqrt(b * b - 4 * a * c)
    return 2 * math.atan((-b - root) / (2 * a)), 2 * math.atan((-b + root) / (2 * a))


def single_pivot(axle: complex, eye: complex, shock: complex) -> Linkage:
    """Return a swingarm about the origin; points as complex numbers."""
    return Linkage(
        fixed={"main": (0.0, 0.0), "shock": (shock.real, shock.imag)},
        moving={"axle": (axle.real, axle.imag), "eye": (eye.real, eye.imag)},
        bodies={"swingarm": ("main", "axle", "eye")},
        shock=("shock", "eye"),
        axle="axle",
    )


def travel(linkage: Linkage, stroke_mm: float) -> tuple[np.ndarray, np.ndarray]:
    table = solve_linkage(linkage, stroke_mm)
    return np.array(table.stroke_mm), np.array(table.travel_mm)


class TestSinglePivot:
    """The law of cosines gives the swingarm's angle from the shock's length, the axle's circle its rise."""

    @staticmethod
    def turned(eye: complex, shock: complex, stroke_mm: float) -> float:
        """Return how far the swingarm has turned, rad, from the triangle of pivot, eye and the shock's other end."""
        r, f = abs(eye), abs(shock)

        def opening(length: float) -> float:
            return math.acos((r * r + f * f - length * length) / (2 * r * f))

        topped_out = abs(eye - shock)
        closing = opening(topped_out) - opening(topped_out - stroke_mm)
        side = cmath.phase(shock / eye)
        return math.copysign(closing, side)

    @given(
        st.floats(380, 480),
        st.floats(170, 190),
        st.floats(90, 140),
        st.floats(50, 80),
        st.floats(150, 220),
    )
    @settings(max_examples=40)
    def test_rise_and_ratio_are_trigonometry(
        self, chain_mm: float, axle_deg: float, eye_mm: float, between_deg: float, shock_mm: float
    ) -> None:
        axle = cmath.rect(chain_mm, math.radians(axle_deg))
        eye = cmath.rect(eye_mm, math.radians(axle_deg - 20))
        shock = eye / abs(eye) * cmath.rect(shock_mm, -math.radians(between_deg))
        stroke, rise = travel(single_pivot(axle, eye, shock), 35.0)
        angles = [self.turned(eye, shock, value) for value in stroke]
        expected = [(axle * cmath.exp(1j * angle) - axle).imag for angle in angles]
        assert rise == pytest.approx(expected, abs=1e-9)
        last = axle * cmath.exp(1j * angles[-1])
        arm = eye * cmath.exp(1j * angles[-1])
        lever = abs((arm.conjugate() * shock).imag) / abs(arm - shock)  # of the shock's line about the pivot
        ratio = linkage_path(single_pivot(axle, eye, shock), 35.0).ratio[-1]
        assert ratio == pytest.approx(abs(last.real) / lever, rel=1e-9)

    def test_a_shock_at_right_angles_gives_the_ratio_of_the_arms(self) -> None:
        linkage = single_pivot(complex(-400, 0), complex(-160, 0), complex(-160, 200))
        stroke, rise = travel(linkage, 1e-3)
        assert rise[-1] / stroke[-1] == pytest.approx(400 / 160, rel=1e-5)


class TestFourBars:
    """The crank carries the shock's moving eye and the output bar the axle: four bars in the book's dimensions."""

    # On the left of the output's fixed pivot, so that the axle rises while the crank turns to greater angles.
    SHOCK = complex(-60.0, 90.0)

    def linkage(self) -> Linkage:
        crank = cmath.rect(CRANK, math.radians(NORTON_INPUT_DEG))
        output = GROUND + cmath.rect(OUTPUT, math.radians(NORTON_OPEN_DEG))
        return Linkage(
            fixed={"input": (0.0, 0.0), "output": (GROUND, 0.0), "shock": (self.SHOCK.real, self.SHOCK.imag)},
            moving={"knee": (crank.real, crank.imag), "axle": (output.real, output.imag)},
            bodies={"crank": ("input", "knee"), "coupler": ("knee", "axle"), "arm": ("output", "axle")},
            shock=("shock", "knee"),
            axle="axle",
        )

    def test_the_hand_written_loop_is_the_books(self) -> None:
        found = [math.degrees(angle) for angle in loop_angles(math.radians(NORTON_INPUT_DEG))]
        assert found == pytest.approx([NORTON_OPEN_DEG, NORTON_CROSSED_DEG], abs=1e-9)
        assert [round(angle, 1) for angle in found] == [57.3, -98.0]

    def test_the_axle_follows_the_loop_equation(self) -> None:
        linkage = self.linkage()
        knee = complex(*linkage.moving["knee"])
        stroke, rise = travel(linkage, 30.0)
        start = complex(*linkage.moving["axle"])
        for shortened, risen in zip(stroke, rise, strict=True):
            turned = TestSinglePivot.turned(knee, self.SHOCK, float(shortened))
            output, _ = loop_angles(math.radians(NORTON_INPUT_DEG) + turned)
            axle = GROUND + cmath.rect(OUTPUT, output)
            assert risen == pytest.approx((axle - start).imag, abs=1e-9)

    def test_a_parallelogram_lifts_the_axle_as_one_pivot_does(self) -> None:
        """Opposite bars of one length: the coupler doesn't turn, so the axle on it moves as the crank's end."""
        linkage = Linkage(
            fixed={"front": (0.0, 0.0), "rear": (0.0, 100.0), "shock": (-150.0, 260.0)},
            moving={"low": (-120.0, 10.0), "high": (-120.0, 110.0), "axle": (-300.0, 20.0)},
            bodies={"lower": ("front", "low"), "upper": ("rear", "high"), "upright": ("low", "high", "axle")},
            shock=("shock", "low"),
            axle="axle",
        )
        low, shock = complex(-120, 10), complex(-150, 260)
        stroke, rise = travel(linkage, 40.0)
        expected = [
            (low * cmath.exp(1j * TestSinglePivot.turned(low, shock, float(value))) - low).imag for value in stroke
        ]
        assert rise == pytest.approx(expected, abs=1e-9)


class TestRocker:
    """The handbook's rocker: turn it by an angle, then each further point lies where two circles meet."""

    @staticmethod
    def meeting(centre_a: complex, radius_a: float, centre_b: complex, radius_b: float, near: complex) -> complex:
        """Return where two circles meet, of the two places the one nearer to a given point."""
        between = centre_b - centre_a
        along = (radius_a**2 - radius_b**2 + abs(between) ** 2) / (2 * abs(between))
        across = math.sqrt(radius_a**2 - along**2)
        unit = between / abs(between)
        places = [centre_a + unit * complex(along, side * across) for side in (1, -1)]
        return min(places, key=lambda place: abs(place - near))

    def moved(self, turned_rad: float) -> tuple[float, float]:
        """Return stroke and travel with the rocker turned by an angle."""
        at = {name: complex(*place) for name, place in (*ROCKER.fixed.items(), *ROCKER.moving.items())}
        spin = cmath.exp(1j * turned_rad)
        link_top, shock_rear = (at["rocker"] + (at[name] - at["rocker"]) * spin for name in ("link_top", "shock_rear"))
        stay = self.meeting(
            at["main"],
            abs(at["stay"] - at["main"]),
            link_top,
            abs(at["stay"] - at["link_top"]),
            at["stay"],
        )
        swung = (stay - at["main"]) / (at["stay"] - at["main"])
        axle = at["main"] + (at["axle"] - at["main"]) * swung
        stroke = abs(at["shock_front"] - at["shock_rear"]) - abs(at["shock_front"] - shock_rear)
        return stroke, (axle - at["axle"]).imag

    def turned_for(self, stroke_mm: float) -> float:
        """Return the rocker's turn at a stroke, by halving."""
        low, high = -1.0, 0.1
        for _ in range(80):
            middle = (low + high) / 2
            low, high = (middle, high) if self.moved(middle)[0] > stroke_mm else (low, middle)
        return (low + high) / 2

    def ratio(self, stroke_mm: float) -> float:
        """Return d travel / d stroke by a small central step of the rocker."""
        turned, step = self.turned_for(stroke_mm), 1e-6
        after, before = self.moved(turned - step), self.moved(turned + step)
        return (after[1] - before[1]) / (after[0] - before[0])

    def test_every_position_is_where_the_circles_meet(self) -> None:
        stroke, rise = travel(ROCKER, 62.5)
        expected = [self.moved(self.turned_for(float(value)))[1] for value in stroke]
        assert rise == pytest.approx(expected, abs=1e-9)

    def test_its_figures_are_the_handbooks(self) -> None:
        """165.4 mm over 62.5 mm, the ratio falling from 2.98 to 2.31, in closed form as in the solver."""
        table = solve_linkage(ROCKER, 62.5)
        assert round(table.travel_mm[-1], 1) == 165.4
        assert [round(self.ratio(value), 2) for value in (0.0, 62.5)] == [2.98, 2.31]
        found = LeverageCurve(table).ratio(np.array([0.0, 20.0, 40.0, 62.5]))
        assert found == pytest.approx([self.ratio(value) for value in (0.0, 20.0, 40.0, 62.5)], abs=0.002)
        assert np.all(np.diff(LeverageCurve(table).ratio(np.linspace(0, 62.5, 200))) < 0)

    def test_more_steps_change_nothing_at_full_stroke(self) -> None:
        coarse, fine = (solve_linkage(ROCKER, 62.5, steps=steps).travel_mm[-1] for steps in (10, 200))
        assert coarse == pytest.approx(fine, abs=1e-9)

    def test_the_order_in_which_points_are_named_changes_nothing(self) -> None:
        turned_round = replace(
            ROCKER,
            moving=dict(reversed(ROCKER.moving.items())),
            bodies={name: tuple(reversed(points)) for name, points in reversed(ROCKER.bodies.items())},
            shock=("shock_rear", "shock_front"),
        )
        assert travel(turned_round, 62.5)[1] == pytest.approx(travel(ROCKER, 62.5)[1], abs=1e-9)


class TestFreedom:
    def test_a_rocker_linkage_moves_one_way(self) -> None:
        assert degrees_of_freedom(ROCKER) == 1

    def test_each_missing_bar_frees_one_more(self) -> None:
        without_link = replace(ROCKER, bodies={k: v for k, v in ROCKER.bodies.items() if k != "link"})
        assert degrees_of_freedom(without_link) == 2
        with pytest.raises(LinkageError, match="2 degrees of freedom"):
            solve_linkage(without_link, 62.5)

    def test_without_bodies_every_coordinate_is_free(self) -> None:
        assert degrees_of_freedom(replace(ROCKER, bodies={})) == 8

    def test_points_of_a_body_in_one_line_are_as_rigid_as_any(self) -> None:
        """Distances alone would let the middle one leave the line."""
        in_line = single_pivot(complex(-400, 0), complex(-160, 0), complex(-100, 150))
        bent = single_pivot(complex(-400, 0), complex(-160, 1e-6), complex(-100, 150))
        assert degrees_of_freedom(in_line) == degrees_of_freedom(bent) == 1
        assert travel(in_line, 40.0)[1] == pytest.approx(travel(bent, 40.0)[1], abs=1e-4)

    def test_a_body_of_two_fixed_points_holds_its_third(self) -> None:
        bolted = replace(ROCKER, bodies={**ROCKER.bodies, "mount": ("main", "rocker", "stay")})
        assert degrees_of_freedom(bolted) == 0

    def test_one_bar_too_many_locks_it(self) -> None:
        locked = replace(ROCKER, bodies={**ROCKER.bodies, "bar": ("main", "link_top")})
        assert degrees_of_freedom(locked) == 0
        with pytest.raises(LinkageError, match="0 degrees of freedom"):
            solve_linkage(locked, 62.5)

    def test_a_third_bar_alongside_a_parallelograms_two_takes_no_freedom(self) -> None:
        linkage = Linkage(
            fixed={"a": (0.0, 0.0), "b": (0.0, 50.0), "c": (0.0, 100.0), "shock": (-150.0, 260.0)},
            moving={"p": (-120.0, 0.0), "q": (-120.0, 50.0), "r": (-120.0, 100.0)},
            bodies={"one": ("a", "p"), "two": ("b", "q"), "three": ("c", "r"), "upright": ("p", "q", "r")},
            shock=("shock", "p"),
            axle="r",
        )
        straight = replace(linkage, bodies={k: v for k, v in linkage.bodies.items() if k != "two"})
        assert degrees_of_freedom(straight) == degrees_of_freedom(linkage) == 1


class TestRefused:
    def test_a_stroke_as_long_as_the_shock(self) -> None:
        with pytest.raises(LinkageError, match=r"only 303\.0 mm long"):
            solve_linkage(ROCKER, 303.1)

    def test_a_stroke_past_where_it_locks(self) -> None:
        """The shock can't get shorter than what the pivot leaves between its ends."""
        linkage = single_pivot(complex(-400, 0), complex(-160, 0), complex(-100, 150))
        shortest = math.hypot(100, 150) - 160
        reachable = abs(complex(-160, 0) - complex(-100, 150)) - abs(shortest)
        assert solve_linkage(linkage, reachable - 1.0).travel_mm[-1] > 0
        with pytest.raises(LinkageError, match=r"locks|doesn't rise"):
            solve_linkage(linkage, reachable + 5.0)

    def test_an_axle_that_sinks(self) -> None:
        linkage = single_pivot(complex(-400, 0), complex(-160, 0), complex(-160, -200))
        with pytest.raises(LinkageError, match="doesn't rise"):
            solve_linkage(linkage, 20.0)
