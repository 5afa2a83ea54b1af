"""Inertial sensors that don't live: readings that stand still, an axis that never changes. On arrays."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.model.finding import Finding
from telemetry.model.inertial import InertialSignal
from telemetry.trust import felt_findings
from tests.measures.bare_rides import bare_end, riding_time
from tests.measures.inertial_rides import inertial, inertial_ride, shaken
from tests.pipeline.inertial_days import make_inertial_day
from tests.thresholds import threshold

RATE_HZ = 200.0
FROZEN = round(threshold("model.inertial.FROZEN_S") * RATE_HZ)
RIDDEN_S = 20.0
MOST_AT_RANGE_SHARE = threshold("trust.felt.MOST_AT_RANGE_SHARE")


def alive(seed: int = 1) -> InertialSignal:
    """Return a sensor with noise along every axis, turned askew."""
    signal = inertial(shaken(RIDDEN_S, seed))
    noise = 0.02 * np.random.default_rng(seed).standard_normal((signal.specific_force_m_s2.shape[0], 3))
    askew = np.linalg.qr(np.random.default_rng(3).standard_normal((3, 3)))[0]
    return replace(signal, specific_force_m_s2=(signal.specific_force_m_s2 + noise) @ askew)


def frozen(signal: InertialSignal, start: int, count: int) -> InertialSignal:
    force = signal.specific_force_m_s2.copy()
    force[start : start + count + 1] = force[start]
    return replace(signal, specific_force_m_s2=force)


def told(*signals: InertialSignal, riding: np.ndarray | None = None) -> tuple[Finding, ...]:
    ride = inertial_ride(*signals)
    ridden = np.ones(ride.time_s.shape[0], dtype=bool) if riding is None else riding
    return felt_findings(ride, riding_time(ridden, RATE_HZ))


def test_a_sensor_that_lives_is_told_nothing() -> None:
    assert told(alive()) == ()


@pytest.mark.parametrize(("samples", "is_told"), [(FROZEN - 1, False), (FROZEN, True)])
def test_frozen_for_a_second_and_a_half(samples: int, *, is_told: bool) -> None:
    found = told(frozen(alive(), 1000, samples))
    assert [finding.code for finding in found] == (["inertial_frozen"] if is_told else [])
    if is_told:
        assert found[0].no_verdict
        assert found[0].second == pytest.approx(5.0, abs=0.01)
        assert "for 1.5 s of riding, first from 5.0" in found[0].message


def test_where_the_bike_stands_nothing_is_frozen() -> None:
    riding = np.ones(round(RIDDEN_S * RATE_HZ), dtype=bool)
    riding[900:2000] = False
    assert told(frozen(alive(), 1000, 600), riding=riding) == ()


def test_beside_a_displacement_sensor_verdicts_stand() -> None:
    signal = frozen(alive(), 1000, FROZEN)
    ride = inertial_ride(signal)
    travel = bare_end("front", np.zeros(ride.time_s.shape[0]))
    ridden = np.ones(ride.time_s.shape[0], dtype=bool)
    (found,) = felt_findings(replace(ride, ends={"front": travel}), riding_time(ridden, RATE_HZ))
    assert not found.no_verdict
    assert "no verdict" not in found.message


@pytest.mark.parametrize(("more", "cut"), [(0, False), (1, True)])
def test_at_the_end_of_its_range_for_over_a_twentieth_of_riding(more: int, *, cut: bool) -> None:
    signal = alive()
    riding = np.zeros(signal.saturated.shape[0], dtype=bool)
    riding[:2000] = True
    saturated = np.zeros_like(riding)
    saturated[10 : 10 + round(MOST_AT_RANGE_SHARE * 2000) + more] = True
    saturated[2500:] = True  # after the ride
    found = told(replace(signal, saturated=saturated), riding=riding)
    assert [item.code for item in found] == (["cut_off"] if cut else [])
    assert all(item.no_verdict for item in found)


def test_an_axis_that_never_changes() -> None:
    """Seen however the case is turned: what is left lies in a plane."""
    flat = inertial(shaken(RIDDEN_S, 1))
    force = flat.specific_force_m_s2.copy()
    force[:, 1] += 0.02 * np.random.default_rng(1).standard_normal(force.shape[0])
    askew = np.linalg.qr(np.random.default_rng(3).standard_normal((3, 3)))[0]
    (found,) = told(replace(flat, specific_force_m_s2=force @ askew))
    assert found.code == "dead_axis"


@pytest.mark.parametrize("ridden", [0, int(threshold("trust.felt.FEWEST_SAMPLES")) - 1])
def test_without_riding_nothing_is_judged(ridden: int) -> None:
    riding = np.zeros(round(RIDDEN_S * RATE_HZ), dtype=bool)
    riding[:ridden] = True
    assert told(inertial(shaken(RIDDEN_S, 1)), riding=riding) == ()


def test_a_column_that_stands_for_two_axes_is_told(tmp_path: Path) -> None:
    folder = make_inertial_day(tmp_path / "day", ("a",), sensors=("crown",), seconds=20.0)
    file = folder / "ride_day.toml"
    file.write_text(file.read_text(encoding="utf-8").replace('ay = "crown_ay"', 'ay = "crown_ax"'), encoding="utf-8")
    (run,) = telemetry.analyse(telemetry.read_ride_day(folder)).runs
    (told,) = [finding for finding in run.findings if finding.code == "same_column"]
    assert "two axes of inertial sensors read column 'crown_ax'" in told.message
