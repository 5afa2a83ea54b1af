"""The rear's leverage as the bench tells it: curves by their own solver, bands by whether the truth lies inside."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from telemetry.bench.bands import band, draws_inside
from telemetry.bench.leverage import drawn_curves
from telemetry.bench.measured_pairs import pairs_curve
from telemetry.errors import RideDayError
from telemetry.mechanics import photograph
from telemetry.mechanics.linkage import linkage_path
from telemetry.mechanics.points_drawn import points_drawn
from telemetry.model.day import EndSetup, LeverageTable
from telemetry.model.linkage import KnownDistance, Linkage, Photograph
from tests.bench.linkage_days import HEAD, bench_of, distance, only, pictured, table
from tests.mechanics.linkages_made import PULL_ROD, ROCKER, STROKES, mirrored

STROKE = "[bike.rear]\nstroke_mm = 62.5\n"
SETUP = "[setups.a]\n"


def scale(linkage: Linkage, one: str = "main", other: str = "axle", times: float = 1.0, tape: float = 0.0) -> str:
    points, mm = f'points = ["{one}", "{other}"]', f"mm = {times * distance(linkage, one, other)!r}"
    return f"{{ {points}, {mm}, plus_minus_mm = {tape} }}"


class TestCurves:
    def test_travel_ratio_progression_and_axle_path(self, tmp_path: Path) -> None:
        found = only(bench_of(tmp_path, HEAD + STROKE + table(ROCKER) + SETUP)).rear.to_dict()["leverage"]
        path = linkage_path(ROCKER, 62.5)
        assert found["travel_mm"] == pytest.approx(path.travel_mm, abs=1e-9)
        assert found["ratio"] == pytest.approx(path.ratio, abs=1e-4)
        assert found["axle_x_mm"] == pytest.approx(path.axle_x_mm, abs=1e-9)
        assert (found["ratio_at_start"], found["ratio_at_end"]) == (path.ratio[0], path.ratio[-1])
        assert found["progression_percent"] == pytest.approx(100 * (1 - path.ratio[-1] / path.ratio[0]))
        assert found["full_travel_mm"] == pytest.approx(165.4, abs=0.05)
        assert found["sag_from"] == "front taken as 20 %, rear taken as 30 %"
        assert found["sag_mm"] == pytest.approx(0.3 * path.travel_mm[-1])
        assert found["ratio_at_sag"] == pytest.approx(np.interp(found["sag_mm"], path.travel_mm, path.ratio), abs=1e-9)
        assert not [
            key for key in found if key.endswith(("low", "high", "low_mm", "high_mm"))
        ]  # nothing tells how well

    def test_drawn_facing_left_it_is_turned_round_and_says_so(self, tmp_path: Path) -> None:
        right = only(bench_of(tmp_path, HEAD + STROKE + table(ROCKER) + SETUP)).rear.leverage
        left = only(bench_of(tmp_path, HEAD + STROKE + table(mirrored(ROCKER)) + SETUP)).rear.leverage
        assert left.axle_x_mm == pytest.approx(right.axle_x_mm)
        assert "facing left" in left.remarks[0]
        with pytest.raises(RideDayError, match=r"faces.*'left'"):
            bench_of(tmp_path, HEAD + STROKE + table(mirrored(ROCKER), 'faces = "right"') + SETUP)

    def test_the_mechanism_keeps_its_lengths_in_every_position(self, tmp_path: Path) -> None:
        found = only(bench_of(tmp_path, HEAD + STROKE + table(ROCKER) + SETUP)).rear.leverage.mechanism
        assert list(found.places_mm) == ["topped_out", "sag", "full_travel"]
        for places in found.places_mm.values():
            rod = np.hypot(*np.subtract(places["stay"], places["link_top"]))
            assert rod == pytest.approx(distance(ROCKER, "stay", "link_top"), abs=0.02)
        topped, _, full = found.places_mm.values()
        assert full["axle"][1] - topped["axle"][1] == pytest.approx(165.4, abs=0.05)

    def test_a_bare_ratio_has_no_progression_and_a_stated_width_gives_its_band(self, tmp_path: Path) -> None:
        ratio = "[bike.rear]\nstroke_mm = 60\nratio = 2.5\nplus_minus = { ratio = 0.05 }\n"
        found = only(bench_of(tmp_path, HEAD + ratio + SETUP)).rear.leverage
        assert found.progression_percent == 0.0
        half = (found.ratio_band.high - found.ratio_band.low) / 2
        assert half == pytest.approx(np.full(half.shape, 1.645 * 0.05), rel=0.25)


class TestMeasuredPairs:
    @staticmethod
    def pairs(linkage: Linkage, stroke_mm: float, count: int, off: np.ndarray | float = 0.0) -> LeverageTable:
        stroke = np.linspace(0.0, stroke_mm, count + 1)
        path = linkage_path(linkage, stroke_mm, steps=count)
        travel = path.travel_mm + np.concatenate([[0.0], np.broadcast_to(off, count)])
        return LeverageTable(stroke_mm=tuple(stroke.tolist()), travel_mm=tuple(travel.tolist()), source="pairs.csv")

    @pytest.mark.parametrize("count", [3, 6, 12])
    def test_exact_pairs_give_the_ratio(self, count: int) -> None:
        path = linkage_path(ROCKER, 62.5)
        found = pairs_curve(self.pairs(ROCKER, 62.5, count), path.stroke_mm, 10, 1)
        assert found.ratio == pytest.approx(path.ratio, abs=0.005)
        assert found.travel_mm == pytest.approx(path.travel_mm, abs=0.05)

    def test_pairs_off_by_a_rules_width_lie_in_the_band_and_dont_shake_the_ratio(self) -> None:
        path, inside, off = linkage_path(ROCKER, 62.5, steps=10), 0, []
        for seed in range(30):
            noise = np.random.default_rng(seed).normal(0.0, 0.7, 8)
            found = pairs_curve(self.pairs(ROCKER, 62.5, 8, noise), path.stroke_mm, 100, 1)
            edges = band(found.ratio, found.drawn_ratio)
            inside += bool(np.all((edges[0] <= path.ratio) & (path.ratio <= edges[1])))
            off.append(np.abs(found.ratio - path.ratio).max())
        assert inside >= 26
        assert np.mean(off) < 0.1  # straight lines between such pairs would be 0.3 off

    def test_a_files_pairs_are_told_so(self, tmp_path: Path) -> None:
        held = self.pairs(ROCKER, 62.5, 5)
        rows = "\n".join(f"{x},{y}" for x, y in zip(held.stroke_mm, held.travel_mm, strict=True))
        (tmp_path / "pairs.csv").write_text(f"stroke_mm,travel_mm\n{rows}\n", encoding="utf-8")
        found = only(bench_of(tmp_path, HEAD + STROKE + 'leverage = "pairs.csv"\n' + SETUP)).rear.leverage
        assert "5 measured pairs" in found.remarks[0]
        assert found.ratio_band is not None
        assert found.ratio_at(0.0) == pytest.approx(2.98, abs=0.01)

    def test_a_figures_range_holds_it_though_drawn_curves_are_straighter(self, tmp_path: Path) -> None:
        sample = Path("sample_runs/lower_leg_oil")
        text = (sample / "ride_day.toml").read_text(encoding="utf-8").partition("[[runs]]")[0]
        for name in ("leverage_oil_20.csv", "leverage_oil_8.csv"):
            (tmp_path / name).write_bytes((sample / name).read_bytes())
        rows = bench_of(tmp_path, text).rows
        assert all(own.low <= own.value <= own.high for row in rows for own in row.values.values())


class TestBand:
    def test_how_many_draws_it_holds(self) -> None:
        """Of 200 or 400 draws: an order statistic, so that nine in ten of all possible draws are inside too."""
        assert [draws_inside(number) for number in (100, 400)] == [96, 371]
        assert band(np.zeros(3), np.zeros((10, 3))) is None

    def test_points_known_twice_as_well_halve_it(self) -> None:
        ends = [
            EndSetup(end="rear", full_travel_mm=None, full_travel_from="", linkage=replace(ROCKER, plus_minus_mm=off))
            for off in (0.5, 1.0)
        ]
        strokes = np.linspace(0.0, 62.5, 6)
        spreads = [drawn_curves(end, strokes, 200)[1].std(axis=0) for end in ends]
        assert spreads[1] / spreads[0] == pytest.approx(np.full(6, 2.0), rel=0.02)


def picture_of(read: Linkage, linkage: Linkage, points: tuple[str, str]) -> Linkage:
    known = KnownDistance(points=points, mm=distance(linkage, *points), plus_minus_mm=0.5)
    photo = Photograph(fixed=read.fixed, moving=read.moving, distances=(known,), plus_minus_px=1.0)
    at = photograph.millimetres(photo, "right", photograph.pixels_of(photo)[None], photograph.known_mm((known,)))[0]
    places = {name: (float(x), float(y)) for name, (x, y) in zip(photograph.names_of(photo), at, strict=True)}
    return replace(
        read,
        photo=photo,
        fixed={name: places[name] for name in read.fixed},
        moving={name: places[name] for name in read.moving},
    )


@pytest.mark.parametrize("linkage", [ROCKER, PULL_ROD], ids=["rocker", "pull_rod"])
def test_of_200_photographs_read_a_pixel_off_the_true_curve_lies_in_the_band_of_176_or_more(linkage: Linkage) -> None:
    stroke_mm = next(stroke for own, stroke in STROKES.values() if own is linkage)
    true = linkage_path(linkage, stroke_mm, steps=3)
    inside = {"travel": 0, "ratio": 0}
    for seed in range(200):
        read = picture_of(pictured(linkage, np.random.default_rng(seed)), linkage, ("main", "axle"))
        found = linkage_path(read, stroke_mm, steps=3)
        end = EndSetup(end="rear", full_travel_mm=None, full_travel_from="", linkage=read)
        travel, ratio = drawn_curves(end, found.stroke_mm, 120)
        for name, own, draws, truth in (
            ("travel", found.travel_mm, travel, true.travel_mm),
            ("ratio", found.ratio, ratio, true.ratio),
        ):
            low, high = band(own, draws)
            inside[name] += bool(np.all((low - 1e-9 <= truth) & (truth <= high + 1e-9)))
    assert min(inside.values()) >= 176, inside
    assert max(inside.values()) < 200, inside  # it isn't simply wide


PNG_HEAD = b"\x89PNG\r\n\x1a\n"
"""How a PNG begins (ISO/IEC 15948, 5.2)."""


class TestPhotograph:
    def told(self, folder: Path, *lines: str, linkage: Linkage = ROCKER, faces: str = "right") -> object:
        text = HEAD + STROKE + table(pictured(linkage, faces=faces), *lines) + SETUP
        return only(bench_of(folder, text)).rear.leverage

    @pytest.mark.parametrize("faces", ["right", "left"])
    def test_pixels_and_one_distance_give_the_linkage(self, tmp_path: Path, faces: str) -> None:
        found = self.told(tmp_path, f"scale = {scale(ROCKER)}", faces=faces)
        path = linkage_path(ROCKER, 62.5)
        assert found.travel_mm == pytest.approx(path.travel_mm, abs=1e-6)
        assert found.axle_x_mm == pytest.approx(path.axle_x_mm, abs=1e-6)
        assert (found.came_from, found.known_to) == ("photograph", "points known to 1 px")
        assert found.ratio_band is not None

    def test_the_scale_may_stand_beside_the_picture(self, tmp_path: Path) -> None:
        (tmp_path / "side.png").write_bytes(PNG_HEAD)
        beside = f'{STROKE}photo = "side.png"\nscale = {scale(ROCKER)}\n'
        found = only(bench_of(tmp_path, HEAD + beside + table(pictured(ROCKER)) + SETUP)).rear.leverage
        assert found.full_travel_mm == pytest.approx(165.4, abs=0.05)

    def test_a_picture_taken_at_an_angle_is_turned_level(self, tmp_path: Path) -> None:
        bar = {"ground_rear": (-500.0, -340.0), "ground_front": (700.0, -340.0)}
        known = replace(ROCKER, fixed={**ROCKER.fixed, **bar})
        straight = pictured(known)

        def rolled(held: object) -> dict[str, tuple[float, float]]:
            at = {name: complex(*place) * np.exp(0.06j) for name, place in dict(held).items()}  # type: ignore[call-overload]
            return {name: (float(place.real), float(place.imag)) for name, place in at.items()}

        read = replace(straight, fixed=rolled(straight.fixed), moving=rolled(straight.moving))
        lines = (f"scale = {scale(ROCKER)}", 'level = ["ground_rear", "ground_front"]')
        found = only(bench_of(tmp_path, HEAD + STROKE + table(read, *lines) + SETUP)).rear.leverage
        assert found.travel_mm == pytest.approx(linkage_path(ROCKER, 62.5).travel_mm, abs=1e-6)

    def test_more_distances_that_fit_make_a_better_scale(self, tmp_path: Path) -> None:
        one = self.told(tmp_path, f"scale = {scale(ROCKER, 'rocker', 'shock_rear')}")
        both = self.told(tmp_path, f"scale = [{scale(ROCKER, 'rocker', 'shock_rear')}, {scale(ROCKER)}]")
        width = [found.travel_band.high[-1] - found.travel_band.low[-1] for found in (one, both)]
        assert width[1] < width[0]
        assert not both.remarks

    def test_distances_a_little_apart_tell_a_tilt_and_widen_the_band(self, tmp_path: Path) -> None:
        fine = "plus_minus_px = 0.3"
        square = self.told(tmp_path, f"scale = [{scale(ROCKER)}, {scale(ROCKER, *ROCKER.shock)}]", fine)
        found = self.told(tmp_path, f"scale = [{scale(ROCKER)}, {scale(ROCKER, *ROCKER.shock, times=1.015)}]", fine)
        assert "1.5 %" in found.remarks[0]
        assert "askew" in found.remarks[0]
        wide, narrow = (own.ratio_band.high - own.ratio_band.low for own in (found, square))
        assert np.all(wide > narrow)

    def test_distances_that_contradict_are_one_line_with_the_key(self, tmp_path: Path) -> None:
        with pytest.raises(RideDayError) as told:
            self.told(tmp_path, f"scale = [{scale(ROCKER)}, {scale(ROCKER, *ROCKER.shock, times=1.06)}]")
        (problem,) = told.value.problems
        assert problem.key == "bike.rear.linkage.scale[2]"
        assert "5.8 % apart" in problem.found
        assert "19° askew" in str(problem.expected)

    @pytest.mark.parametrize(
        ("lines", "key", "words"),
        [
            (('scale = { points = ["main", "axel"], mm = 446 }',), "scale.points", "'axle'"),
            (('scale = { points = ["main"], mm = 446 }',), "scale.points", "two different points"),
            (('scale = { points = ["main", "main"], mm = 446 }',), "scale.points", "two different points"),
            (('scale = { points = ["main", "axle"], mm = 4 }',), "scale.mm", "20 to 3000"),
            (('scale = { points = ["main", "axle"] }',), "scale.mm", "required"),
            (("scale = []",), "scale", "at least 1 known distance"),
            (('scale = { points = ["main", "axle"], mm = 446 }', 'level = ["main", "rocker"]'), "level", "stand level"),
            (("plus_minus_px = 1.0",), "plus_minus_px", "scale beside it"),
            (('level = ["main", "axle"]',), "level", "scale beside it"),
            (('scale = { points = ["main", "axle"], mm = 446 }', 'level = ["main"]'), "level", "two different"),
            (('photo = "side.png"',), "scale", "scale = {"),
        ],
    )
    def test_wrong_keys(self, tmp_path: Path, lines: tuple[str, ...], key: str, words: str) -> None:
        (tmp_path / "side.png").write_bytes(PNG_HEAD)
        with pytest.raises(RideDayError) as told:
            self.told(tmp_path, *lines)
        problem = told.value.problems[0]
        assert problem.key == f"bike.rear.linkage.{key}"
        assert words in str(problem.expected)

    def test_rows_counted_upward_are_told(self, tmp_path: Path) -> None:
        upward = replace(
            ROCKER,
            fixed={n: (x + 900, y) for n, (x, y) in ROCKER.fixed.items()},
            moving={n: (x + 900, y) for n, (x, y) in ROCKER.moving.items()},
        )
        with pytest.raises(RideDayError, match=r"axle doesn't rise.*rows of the picture count downward"):
            bench_of(tmp_path, HEAD + STROKE + table(upward, f"scale = {scale(ROCKER)}") + SETUP)

    def test_pixels_without_a_scale_are_told_to_take_one(self, tmp_path: Path) -> None:
        downward = replace(
            ROCKER,
            fixed={n: (x + 900, 900 - y) for n, (x, y) in ROCKER.fixed.items()},
            moving={n: (x + 900, 900 - y) for n, (x, y) in ROCKER.moving.items()},
        )
        with pytest.raises(RideDayError, match=r"axle doesn't rise.*pixels of a photograph take scale"):
            bench_of(tmp_path, HEAD + STROKE + table(downward) + SETUP)


def test_a_point_that_two_linkages_share_is_off_alike_in_both() -> None:
    other = replace(ROCKER, moving={**ROCKER.moving, "shock_rear": (-88.0, 320.0)}, plus_minus_mm=1.0)
    one, two = points_drawn(replace(ROCKER, plus_minus_mm=1.0), 50), points_drawn(other, 50)
    assert np.array_equal(one[:, :-1], two[:, :-1])
    assert not np.array_equal(one[:, -1] - one[:, -1].mean(0), two[:, -1] - two[:, -1].mean(0))


def test_setups_that_share_a_curve_keep_their_own_springs(tmp_path: Path) -> None:
    springs = "[setups.a.rear]\nspring_rate_n_mm = 80\n[setups.b]\n[setups.b.rear]\nspring_rate_n_mm = 90\n"
    bench = bench_of(tmp_path, HEAD + "[bike.rear]\nstroke_mm = 60\nratio = 2.5\n" + SETUP + springs)
    forces = [bench.setup(name).rear.springs.slow.total_n[-1] for name in "ab"]
    assert forces[1] / forces[0] == pytest.approx(90 / 80)


def test_a_shock_that_the_linkage_cant_take_is_told_by_its_own_key(tmp_path: Path) -> None:
    other = "[setups.b.rear]\nshock_length_mm = 500\n"
    with pytest.raises(RideDayError) as told:
        bench_of(tmp_path, HEAD + STROKE + table(ROCKER) + SETUP + other)
    (problem,) = told.value.problems
    assert problem.key == "setups.b.rear.shock_length_mm"
    assert "can't stand with a shock of 500.0 mm" in problem.found


def test_where_it_locks_is_told_by_the_stroke(tmp_path: Path) -> None:
    with pytest.raises(RideDayError, match=r"rear\.linkage: found the linkage locks before 1\d\d\.\d mm of the shock"):
        bench_of(tmp_path, HEAD + STROKE.replace("62.5", "195") + table(ROCKER) + SETUP)
