"""`zero_drifts` and `gain_shift`: a level that moves along a trail is no fault, one that moves beside other runs is."""

from __future__ import annotations

from types import MappingProxyType

import numpy as np
import pytest

from telemetry.model.finding import Finding
from telemetry.trust.drifting import LITTLE, drift_findings
from telemetry.trust.levels import WINDOWS, EndLevels, RunLevels, run_levels
from tests.measures.made_rides import made_motion

FULL_MM = 170.0
CHANGE = {"front": 0.02, "rear": 0.02}
PLACES = np.linspace(0, 1, WINDOWS)
CLIMB = np.where(PLACES < 0.5, 0.12, 0.30)
"""Mean levels of a trail that climbs first: the fork stands higher there."""
ROUGH = 0.1 + 0.1 * np.sin(7 * PLACES) ** 2
STANDING = 0.25


def end(mean: np.ndarray, spread: np.ndarray = ROUGH, stood: tuple[float, float] | None = None) -> EndLevels:
    return EndLevels(full_travel_mm=FULL_MM, mean=mean, spread=spread, stood=stood)


def run(number: int, front: EndLevels, rear: EndLevels | None = None, setup: str = "a") -> RunLevels:
    ends = {"front": front, "rear": rear or end(CLIMB[::-1], stood=(0.3, 0.3))}
    return RunLevels(run=f"run_{number}", setup=setup, riding_s=60.0, begins_s=60 * PLACES, ends=MappingProxyType(ends))


def natural(seed: int, sd: float = 0.002) -> np.ndarray:
    return np.random.default_rng(seed).normal(0.0, sd, WINDOWS)


def day(setups: str, front: dict[int, EndLevels]) -> list[RunLevels]:
    """Return runs on one trail; `front` replaces the fork of some, by number."""
    usual = {number: end(CLIMB + natural(number), stood=(STANDING, STANDING)) for number in range(1, len(setups) + 1)}
    return [run(number, (usual | front)[number], setup=setup) for number, setup in enumerate(setups, 1)]


def told(runs: list[RunLevels]) -> dict[str, list[Finding]]:
    return {name: list(found) for name, found in drift_findings(runs, CHANGE).items()}


DRIFT = 9 / FULL_MM * PLACES
MIDDLE = 14 / FULL_MM * ((PLACES > 1 / 3) & (PLACES < 2 / 3))


class TestCleanDays:
    @pytest.mark.parametrize("setups", ["a", "aa", "ab", "abba", "aaab"])
    def test_a_climb_is_no_drift(self, setups: str) -> None:
        assert told(day(setups, {})) == {}

    def test_a_setup_that_sits_higher_is_none(self) -> None:
        stiffer = {number: end(0.8 * CLIMB + natural(number), stood=(0.2, 0.2)) for number in (2, 3)}
        assert told(day("abba", stiffer)) == {}

    def test_nor_is_a_rider_who_gets_off_or_leans(self) -> None:
        climbs = run(1, end(CLIMB, stood=(0.25, 0.1)), end(CLIMB[::-1], stood=(0.3, 0.12)))
        leans = run(1, end(CLIMB, stood=(0.2, 0.28)), end(CLIMB[::-1], stood=(0.35, 0.27)))
        assert told([climbs]) == told([leans]) == {}

    def test_nor_a_stand_on_a_slope_that_riding_does_not_show(self) -> None:
        assert told(day("abba", {2: end(CLIMB + natural(2), stood=(STANDING, STANDING + 0.04))})) == {}

    def test_nor_riders_who_never_stand_alike(self) -> None:
        """The run parts a little from the others, and stands elsewhere by no more than they do by themselves."""
        stands = {
            number: end(CLIMB, stood=(STANDING, STANDING + by)) for number, by in ((1, 0.01), (2, -0.02), (3, 0.015))
        }
        moved = end(CLIMB + 0.014 * PLACES, stood=(STANDING, STANDING + 0.02))
        assert told(day("aaaa", stands | {4: moved})) == {}
        still = {number: end(CLIMB, stood=(STANDING, STANDING)) for number in (1, 2, 3)}
        assert list(told(day("aaaa", still | {4: moved}))) == ["run_4"]

    def test_nor_the_run_that_stands_beside_a_faulty_one(self) -> None:
        """It parts a little from the other setup's runs, and from its own setup's other run for that one's fault."""
        fronts = {
            2: end(CLIMB + natural(2) + 0.1 * (PLACES > 0.7)),
            3: end(CLIMB + natural(3) + 0.022 * (PLACES > 0.5)),
        }
        assert list(told(day("abba", fronts))) == ["run_2"]

    def test_nor_other_trails(self) -> None:
        rng = np.random.default_rng(5)
        runs = [
            run(
                number, end(rng.uniform(0.1, 0.4, WINDOWS), rng.uniform(0.05, 0.3, WINDOWS)), end(CLIMB, natural(9) + 1)
            )
            for number in (1, 2)
        ]
        assert told(runs) == {}

    def test_nor_an_end_that_never_moves(self) -> None:
        """Something else tells it; no division by nothing, whatever rounding leaves of its logarithms."""
        dead = end(np.full(WINDOWS, 0.2), np.full(WINDOWS, 1 - LITTLE))
        assert told([run(number, dead, dead) for number in (1, 2, 3)]) == {}

    def test_nor_runs_that_all_differ_as_much(self) -> None:
        unlike = {number: end(CLIMB + natural(number, 0.03)) for number in range(1, 5)}
        assert told(day("aaaa", unlike)) == {}


class TestRiddenOtherwise:
    """What both ends part by at the same places no sensor does: a fall, a part that was walked, another seat."""

    def parted(self, front: float, rear: np.ndarray) -> list[Finding]:
        runs = day("abba", {2: end(CLIMB + natural(2) + front * (PLACES > 0.7), stood=(STANDING, STANDING))})
        for place, own in enumerate(runs):
            own_rear = CLIMB[::-1] + natural(10 + place) + (rear if place == 1 else 0.0)
            runs[place] = run(place + 1, own.ends["front"], end(own_rear, stood=(0.3, 0.3)), own.setup or "")
        return told(runs).get("run_2", [])

    @pytest.mark.parametrize("rear", [-0.1, 0.1, -0.03, 0.03])
    def test_it_accuses_no_sensor(self, rear: float) -> None:
        (finding,) = self.parted(-0.1, rear * (PLACES > 0.7))
        assert (finding.code, finding.severity, finding.no_verdict, finding.end) == (
            "ridden_otherwise",
            "warning",
            False,
            None,
        )
        assert finding.second == pytest.approx(44, abs=60 / WINDOWS)
        for words in ("run_2: both ends", "front by −17", "mm, limit ", "look at the run along the trail"):
            assert words in finding.message

    @pytest.mark.parametrize(("rear", "codes"), [(0.013, ["ridden_otherwise"]), (0.003, ["zero_drifts"])])
    def test_from_a_tenth_on(self, rear: float, codes: list[str]) -> None:
        assert [finding.code for finding in self.parted(-0.1, rear * (PLACES > 0.7))] == codes

    @pytest.mark.parametrize(("rear", "codes"), [(0.009, ["ridden_otherwise"]), (0.0, ["zero_drifts"])])
    def test_or_from_half_a_percent_of_travel_on(self, rear: float, codes: list[str]) -> None:
        assert [finding.code for finding in self.parted(-0.03, rear * (PLACES > 0.7))] == codes

    def test_nor_a_setup_that_moves_both_ends_and_lets_them_settle_elsewhere(self) -> None:
        moved = {n: end(CLIMB + natural(n) + DRIFT, stood=(STANDING, STANDING + 4 / FULL_MM)) for n in (2, 3)}
        runs = day("abba", moved)
        assert set(told(runs)) == {"run_2", "run_3"}
        for place in (1, 2):
            rear = end(CLIMB[::-1] + natural(10 + place) - DRIFT, stood=(0.3, 0.3))
            runs[place] = run(place + 1, runs[place].ends["front"], rear, "b")
        assert told(runs) == {}

    def test_it_is_seen_beside_the_setups_own_runs(self) -> None:
        """The other setup lies elsewhere along the trail at the rear."""
        runs = []
        for number, setup in enumerate("abbbba", 1):
            fall = (number == 6) * -0.025 * (PLACES > 0.8)
            other = (setup == "a") * 0.012 * np.cos(5 * PLACES)
            rear = end(CLIMB[::-1] + natural(10 + number, 5e-4) + other + fall)
            runs.append(run(number, end(CLIMB + natural(number, 5e-4) + fall), rear, setup))
        assert [finding.code for finding in told(runs)["run_6"]] == ["ridden_otherwise"]

    def test_both_ends_at_other_places_are_two_faults(self) -> None:
        found = self.parted(-0.1, 0.1 * (PLACES < 0.3))
        assert [(finding.code, finding.end) for finding in found] == [("zero_drifts", "front"), ("zero_drifts", "rear")]


class TestDrifts:
    def test_where_it_stands_and_what_is_ridden_go_along(self) -> None:
        found = told(day("abba", {2: end(CLIMB + natural(2) + DRIFT, stood=(STANDING, STANDING + 9 / FULL_MM))}))
        (finding,) = found.pop("run_2")
        assert found == {}
        assert (finding.code, finding.end, finding.severity, finding.no_verdict) == (
            "zero_drifts",
            "front",
            "warning",
            True,
        )
        for words in ("run_2, front", "+9.0 mm", "limit 1.7 mm", "ride again"):
            assert words in finding.message

    @pytest.mark.parametrize(("by_mm", "count"), [(1.6, 0), (2.0, 1)])
    def test_the_limit_is_half_the_smallest_change_of_sag(self, by_mm: float, count: int) -> None:
        moved = end(CLIMB + by_mm / FULL_MM * PLACES, stood=(STANDING, STANDING + by_mm / FULL_MM))
        assert len(told(day("abba", {2: moved}))) == count

    def test_every_run_of_a_setup(self) -> None:
        moved = {n: end(CLIMB + natural(n) + DRIFT, stood=(STANDING, STANDING + 9 / FULL_MM)) for n in (2, 3)}
        assert set(told(day("abba", moved))) == {"run_2", "run_3"}

    def test_one_run_alone_by_where_it_stands_while_the_other_end_stays(self) -> None:
        flat = np.full(WINDOWS, 0.25)
        moved = run(1, end(flat + DRIFT, stood=(STANDING, STANDING + 9 / FULL_MM)))
        assert list(told([moved])) == ["run_1"]

    def test_without_pushes_by_the_other_runs(self) -> None:
        fronts = {number: end(CLIMB + natural(number) + (DRIFT if number == 3 else 0.0)) for number in range(1, 5)}
        assert list(told(day("abba", fronts))) == ["run_3"]

    def test_an_offset_in_the_middle_third_with_its_time(self) -> None:
        (finding,) = told(day("abba", {4: end(CLIMB + natural(4) + MIDDLE, stood=(STANDING, STANDING))}))["run_4"]
        assert finding.code == "zero_drifts"
        assert finding.second == pytest.approx(20, abs=60 / WINDOWS)
        assert "+14" in finding.message

    def test_the_rear_too(self) -> None:
        runs = day("abba", {})
        runs[1] = run(2, runs[1].ends["front"], end(CLIMB[::-1] + MIDDLE, stood=(0.3, 0.3)), "b")
        (finding,) = told(runs)["run_2"]
        assert finding.end == "rear"


class TestGain:
    @pytest.mark.parametrize("gain", [0.8, 1.2])
    def test_spread_and_level_part_from_half_on(self, gain: float) -> None:
        factor = np.where(PLACES > 0.5, gain, 1.0)
        (finding,) = told(day("abba", {2: end((CLIMB + natural(2)) * factor, ROUGH * factor)}))["run_2"]
        assert (finding.code, finding.no_verdict) == ("gain_shift", True)
        assert finding.second == pytest.approx(30, abs=60 / WINDOWS)
        assert f"{gain:.2f} times as much" in finding.message

    def test_a_level_alone_is_no_gain(self) -> None:
        moved = end(CLIMB + natural(2) + 0.06 * (PLACES > 0.5))
        assert [finding.code for finding in told(day("abba", {2: moved}))["run_2"]] == ["zero_drifts"]


class TestWhereItStands:
    """A second before the ride, and one after it in which slow damping may still let the end come out."""

    def stood(self, creeps_mm: float) -> tuple[float, float] | None:
        time_s = np.arange(0, 20, 0.002)
        ridden = 42.5 + 20 * np.sin(9 * time_s) * ((time_s > 1) & (time_s < 19))
        creeping = ridden + creeps_mm * np.clip(20 - time_s, 0, 1) * (time_s >= 19)
        motion = made_motion({"front": creeping}, bounds_s=(1.0, 19.0))
        levels = run_levels(motion.ride, motion.time)
        assert levels is not None
        return levels.ends["front"].stood

    def test_an_end_that_has_settled(self) -> None:
        assert self.stood(0.0) == pytest.approx((0.25, 0.25), abs=0.002)

    @pytest.mark.parametrize(("creeps_mm", "settled"), [(1.5, True), (2.0, False)])
    def test_one_that_creeps_stands_nowhere(self, creeps_mm: float, *, settled: bool) -> None:
        """A quarter of a percent of 170 mm in a quarter of a second."""
        assert (self.stood(creeps_mm) is not None) is settled

    def test_setting_off_before_the_stand_is_over_is_no_creeping(self) -> None:
        time_s = np.arange(0, 20, 0.002)
        ridden = 42.5 + 20 * np.sin(9 * (time_s - 1)) * ((time_s > 1) & (time_s < 19))
        setting_off = 2.0 * np.clip(time_s - 0.5, 0, 0.5) * (time_s < 1)
        motion = made_motion({"front": ridden + setting_off}, bounds_s=(1.0, 19.0))
        levels = run_levels(motion.ride, motion.time)
        assert levels is not None
        assert levels.ends["front"].stood == pytest.approx((0.25, 0.25), abs=0.002)
