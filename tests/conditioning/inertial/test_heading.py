"""Forward is found however the case sits, to what is said of it; where nothing tells it, that is said."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from telemetry.conditioning.inertial import InertialRecipe, LoggedRide, clean_inertial
from telemetry.conditioning.inertial.headings import Direction, apart_deg, best_of
from telemetry.model.inertial import InertialSignal
from tests.conditioning.inertial.felt import RATE_HZ, Motion, cleaned, columns, sensor, trail
from tests.thresholds import threshold

WORST_DEG = threshold("conditioning.inertial.headings.WORST_DEG")
FRONT, REAR = trail(end="front"), trail(end="rear")
CASES = [Rotation.identity(), *Rotation.random(4, random_state=11)]


def off_deg(signal: InertialSignal | None, case: Rotation) -> float:
    """Return the angle of the turn that is left between a found mounting and the true one."""
    assert signal is not None
    assert signal.mounting.heading_known
    return float(np.degrees((Rotation.from_matrix(signal.mounting.to_bike) * case.inv()).magnitude()))


@pytest.mark.parametrize("case", CASES, ids=range(len(CASES)))
@pytest.mark.parametrize(("end", "motion"), [("front", FRONT), ("rear", REAR)])
def test_a_chassis_sensor_in_any_case(case: Rotation, end: str, motion: Motion) -> None:
    signal = cleaned(columns(motion, case), sensor(end=end)).signal
    assert off_deg(signal, case) < 1.0
    assert signal is not None
    assert "how it rises as the bike pitches" in signal.mounting.found_from


@pytest.mark.parametrize("case", CASES, ids=range(len(CASES)))
def test_without_a_gyroscope_by_brakes_and_stands(case: Rotation) -> None:
    signal = cleaned(columns(FRONT, case), sensor(gyroscope=False)).signal
    assert off_deg(signal, case) < 3.0
    assert signal is not None
    assert signal.mounting.found_from == (
        "where the ride stands; forward by slow acceleration, its way by starts and stops"
    )


def both(front: InertialRecipe, other: InertialRecipe, read: dict[str, np.ndarray], speed: np.ndarray | None = None):
    count = FRONT.upward.shape[0]
    ride = LoggedRide(name="run_1", rate_hz=RATE_HZ, segments=((0, count),), column=lambda name: read[str(name)])
    return tuple(found.signal for found in clean_inertial(ride, (front, other), speed))


def wheel_columns(case: Rotation, motion: Motion) -> dict[str, np.ndarray]:
    return {f"wheel_{axis}": values for axis, values in columns(motion, case, seed=8).items()}


@pytest.mark.parametrize("gyroscope", [True, False])
@pytest.mark.parametrize("case", CASES[1:3], ids=range(2))
def test_a_wheel_sensor_takes_it_from_the_chassis(case: Rotation, gyroscope: bool) -> None:
    """Without stands it can't know its way by itself."""
    cut = slice(1300, -1800)
    chassis = {axis: values[cut] for axis, values in columns(FRONT).items()}
    on_wheel = replace(FRONT, upward=3.0 * FRONT.upward)
    wheel = {axis: values[cut] for axis, values in wheel_columns(case, on_wheel).items()}
    axes = ("ax", "ay", "az", "gx", "gy", "gz") if gyroscope else ("ax", "ay", "az")
    own = sensor(gyroscope=gyroscope, name="axle", on="wheel", columns={axis: f"wheel_{axis}" for axis in axes})
    alone = {"segments": ((0, chassis["ax"].shape[0]),), "rate_hz": RATE_HZ, "name": "run_1"}
    ride = LoggedRide(column=lambda name: (chassis | wheel)[str(name)], **alone)
    (by_itself,) = clean_inertial(ride, (InertialRecipe(sensor=own),), None)
    assert by_itself.signal is not None
    assert not by_itself.signal.mounting.heading_known
    _, found = clean_inertial(ride, (InertialRecipe(sensor=sensor()), InertialRecipe(sensor=own)), None)
    assert off_deg(found.signal, case) < 3.0
    assert found.signal is not None
    assert found.signal.mounting.found_from.endswith("forward by what 'crown' feels")


def test_ground_speed_tells_the_way() -> None:
    cut = slice(1300, -1800)
    case = CASES[2]
    read = {axis: values[cut] for axis, values in columns(FRONT, case).items()}
    count = read["ax"].shape[0]
    speed = 6.0 + np.cumsum(FRONT.forward[cut]) / RATE_HZ
    ride = LoggedRide(name="run_1", rate_hz=RATE_HZ, segments=((0, count),), column=lambda name: read[str(name)])
    recipe = (InertialRecipe(sensor=sensor(gyroscope=False)),)
    (blind,) = clean_inertial(ride, recipe, None)
    assert blind.signal is not None
    assert not blind.signal.mounting.heading_known
    (found,) = clean_inertial(ride, recipe, speed)
    assert off_deg(found.signal, case) < 5.0
    (backward,) = clean_inertial(ride, recipe, 12.0 - speed)
    assert off_deg(backward.signal, case) > 175.0


def test_up_alone_is_not_taken_for_a_heading() -> None:
    none = np.zeros(6000)
    hop = Motion(rate_hz=RATE_HZ, upward=np.sin(np.arange(6000) / 7.0), forward=none, pitch=none, roll=none)
    signal = cleaned(columns(hop)).signal
    assert signal is not None
    assert not signal.mounting.heading_known


class TestHowWellADirectionIsKnown:
    def test_its_standard_error_is_that_of_the_parts(self) -> None:
        rng = np.random.default_rng(2)
        errors = []
        for _ in range(400):
            parts = np.exp(0.7j) + 0.3 * (rng.normal(size=12) + 1j * rng.normal(size=12))
            seen = Direction.of_parts(parts, "x")
            assert seen is not None
            errors.append((seen.angle_rad - 0.7) / np.radians(seen.residual_deg))
        assert np.std(errors) == pytest.approx(1.0, abs=0.15)

    def test_too_few_parts_or_none_tell_nothing(self) -> None:
        fewest = round(threshold("conditioning.inertial.headings.FEWEST_PARTS"))
        assert Direction.of_parts(np.ones(fewest - 1, dtype=complex), "x") is None
        assert Direction.of_parts(np.ones(fewest, dtype=complex), "x") == Direction(
            angle_rad=0.0, residual_deg=0.0, source="x"
        )
        assert Direction.of_parts(np.array([1.0, -1.0, 0.0j]), "x") is None

    @pytest.mark.parametrize(("factor", "known"), [(0.99, True), (1.01, False)])
    def test_the_worst_that_is_one(self, factor: float, known: bool) -> None:
        across = np.tan(np.radians(factor * WORST_DEG)) * 4 / np.sqrt(4 / 3 * 4)
        parts = 1.0 + 1j * across * np.array([1, -1, 1, -1])
        assert (Direction.of_parts(parts, "x") is not None) is known

    def test_two_that_disagree_are_less_sure_or_none(self) -> None:
        one = Direction(angle_rad=3.1, residual_deg=1.0, source="one")
        other = Direction(angle_rad=-3.1, residual_deg=2.0, source="other")
        assert apart_deg(one, other) == pytest.approx(np.degrees(2 * np.pi - 6.2))
        best = best_of([other, one])
        assert best is not None
        assert (best.source, best.residual_deg) == ("one", pytest.approx(np.hypot(1.0, apart_deg(one, other) / 2)))
        assert best_of([one, replace(one, angle_rad=0.0)]) is None
        assert best_of([]) is None
