"""Zero against where the ends come to rest in flight, on arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from telemetry.measures.riding import find_riding
from telemetry.model.finding import Finding
from telemetry.model.inertial import InertialSignal
from telemetry.trust.flight_level import flight_levels_mm, zero_in_flight
from telemetry.trust.zero import ZeroFacts
from tests.measures.bare_rides import FULL_MM, bare_end, bare_ride
from tests.measures.phases.made_signals import G_M_S2, chassis
from tests.thresholds import threshold

RATE_HZ = 200.0
LONG_S = threshold("trust.flight_level.LONG_ENOUGH_S")
SETTLED_MM = threshold("trust.flight_level.SETTLED_MM")
ALIKE_MM = threshold("trust.flight_level.ALIKE_MM")
FEWEST = round(threshold("trust.flight_level.FEWEST_FLIGHTS"))
FACTS = ZeroFacts(end="front", measures="travel", source="lifted.csv", moved_mm=0.0, smallest_change_mm=4.0)
LIMIT_MM = FACTS.limit_mm


def found(
    levels_mm: Sequence[float], *, lasts_s: float = 0.4, moves_mm: float = 0.0, with_sensor: bool = True
) -> tuple[Finding, ...]:
    """Return what a ride is told whose front comes to these levels in its flights, a flight each."""
    count = 400 * (len(levels_mm) + 1)
    travel = 60 + 20 * np.sin(2 * np.pi * 1.7 * np.arange(count) / RATE_HZ)
    up = np.random.default_rng(0).normal(0.0, 5.0, count)
    lasts = round(lasts_s * RATE_HZ)
    for number, level in enumerate(levels_mm):
        start = 300 + 400 * number
        up[start : start + lasts] = -G_M_S2
        travel[start : start + lasts] = level + moves_mm * np.linspace(-1, 1, lasts) * lasts / 12 / 2
    signal: InertialSignal = chassis(up)
    made = bare_ride(bare_end("front", travel), bare_end("rear", travel), rate_hz=RATE_HZ)
    made = replace(made, inertial={signal.site: signal} if with_sensor else {})
    return zero_in_flight(made, made.front, find_riding(made), FACTS)


@pytest.mark.parametrize(("share", "told"), [(1.02, True), (0.98, False), (-3.0, False), (0.0, False)])
def test_an_end_that_rests_below_zero_in_flight_has_a_moved_sensor(share: float, *, told: bool) -> None:
    """Above zero nothing is said."""
    findings = found([-share * LIMIT_MM] * FEWEST)
    assert bool(findings) is told
    if told:
        (one,) = findings
        assert (one.code, one.severity, one.end) == ("zero_shift", "warning", "front")
        assert "in 3 flights" in one.message
        assert "lifted" in one.message


@pytest.mark.parametrize(("share", "severity"), [(0.021, "error"), (0.019, "warning"), (0.101, None)])
def test_over_two_per_cent_is_an_error_and_what_is_far_away_is_another_matter(
    share: float, severity: str | None
) -> None:
    findings = found([-share * FULL_MM] * 4)
    assert [one.severity for one in findings] == ([] if severity is None else [severity])


def test_three_flights_alike_are_needed() -> None:
    low = -3 * LIMIT_MM
    assert found([low] * FEWEST)
    assert not found([low] * (FEWEST - 1))
    apart = 1.05 * ALIKE_MM
    assert not found([low - 2 * apart, low - apart, low, low + apart, low + 2 * apart])
    near = 0.95 * ALIKE_MM
    assert found([low - 2 * near, low - near, low, low + near, low + 2 * near])


@pytest.mark.parametrize(("lasts_s", "told"), [(LONG_S + 0.02, True), (LONG_S - 0.02, False)])
def test_a_short_flight_is_not_long_enough_to_come_to_rest(lasts_s: float, *, told: bool) -> None:
    assert bool(found([-3 * LIMIT_MM] * 4, lasts_s=lasts_s)) is told


@pytest.mark.parametrize(("share", "counted"), [(0.95, 1), (1.05, 0)])
def test_an_end_that_still_moves_has_no_level(share: float, counted: int) -> None:
    travel = np.full(200, 50.0)
    travel[80:160] = -2.0
    travel[144:156] += share * SETTLED_MM * np.linspace(-0.5, 0.5, 12)
    levels = flight_levels_mm(travel, ((80, 160),), RATE_HZ, SETTLED_MM)
    assert levels.size == counted


def test_without_a_chassis_sensor_flights_are_seen_by_the_very_travel_in_question() -> None:
    assert not found([-3 * LIMIT_MM] * 5, with_sensor=False)
