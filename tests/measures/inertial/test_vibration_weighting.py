"""Weighted vibration: design goals and tolerances of the standard, worked exposures."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from telemetry.measures import find_motion
from telemetry.measures.inertial.comfort import daily_exposure, hand_arm_vibration, whole_body_vibration
from telemetry.measures.inertial.third_octaves import centre_hz, name_of
from telemetry.measures.inertial.view import InertialView, inertial_view
from telemetry.measures.inertial.weighting import (
    HAND_ARM,
    WHOLE_BODY,
    bands_lacking,
    is_held,
    needed_rate_hz,
    squared_gain,
    weighted_rms,
)
from telemetry.measures.missing import Missing
from telemetry.telling.cleaning import AT_WORK
from tests.measures.inertial_rides import inertial, inertial_ride
from tests.published import vibration_weightings as published
from tests.thresholds import threshold

TABLES = {"Wk": (WHOLE_BODY, published.WK), "Wh": (HAND_ARM, published.WH)}


@pytest.mark.parametrize("name", TABLES)
def test_gain_is_the_printed_factor_at_every_third_of_an_octave(name: str):
    weighting, table = TABLES[name]
    factors = np.sqrt(squared_gain(weighting, np.array([centre_hz(number) for number, _ in table])))
    assert factors == pytest.approx([factor for _, factor in table], rel=5e-4)


@pytest.mark.parametrize("name", TABLES)
def test_gain_at_the_reference_frequency(name: str):
    turns, factor = published.AT_RAD_S[name]
    gain = math.sqrt(float(squared_gain(TABLES[name][0], np.array([turns / (2 * math.pi)]))[0]))
    assert gain == pytest.approx(factor, rel=5e-4)


@pytest.mark.parametrize("rate_hz", [200.0, 500.0, 1000.0])
@pytest.mark.parametrize("name", TABLES)
def test_a_sine_in_every_band_the_log_holds_comes_out_within_the_standards_tolerance(name: str, rate_hz: float):
    """Signals through the whole measure, not the formula: what a digital filter does at this rate."""
    weighting, table = TABLES[name]
    below, above = published.TOLERANCE
    seconds = np.arange(round(40 * rate_hz)) / rate_hz
    held = [(number, factor) for number, factor in table if centre_hz(number) <= 0.4 * rate_hz]
    for number, factor in held:
        sine = math.sqrt(2) * np.sin(2 * np.pi * centre_hz(number) * seconds)
        told = weighted_rms(weighting, [sine], rate_hz)
        if weighting.nominal_hz[0] * 0.98 <= centre_hz(number):
            assert (1 + below) * factor <= told <= (1 + above) * factor, name_of(number)
        else:
            assert told <= (1 + published.TOLERANCE_OF_SKIRTS[1]) * factor + 0.02, name_of(number)


@pytest.mark.parametrize("number", [-3, 0, 4, 10, 18])
def test_in_a_long_stretch_the_factor_is_the_same(number: int):
    """There frequencies are so close that several share a gain."""
    seconds = np.arange(round(900 * 200.0)) / 200.0
    told = weighted_rms(WHOLE_BODY, [math.sqrt(2) * np.sin(2 * np.pi * centre_hz(number) * seconds)], 200.0)
    assert told == pytest.approx(dict(published.WK)[number], rel=0.01)


@pytest.mark.parametrize("hertz", [0.3, 0.45, 0.7])
def test_a_short_stretch_counts_with_what_dies_away_after_it_and_not_before_it(hertz: float):
    """Against the transform with a minute of nothing after it: its end mustn't run into its start."""
    seconds = np.arange(1_200) / 200.0
    swings = np.sin(2 * np.pi * hertz * seconds) * seconds
    swings -= swings.mean()
    whole = np.concatenate([swings, np.zeros(12_000)])
    power = np.abs(np.fft.rfft(whole)) ** 2 * squared_gain(WHOLE_BODY, np.fft.rfftfreq(whole.size, 1 / 200.0))
    expected = math.sqrt(2 * power.sum() / whole.size / swings.size)
    assert weighted_rms(WHOLE_BODY, [swings], 200.0) == pytest.approx(expected, rel=2e-3)


def test_stretches_are_pooled_by_their_length():
    rng = np.random.default_rng(1)
    loud, soft = 4 * rng.normal(size=20_000), rng.normal(size=40_000)
    one, other, both = (weighted_rms(WHOLE_BODY, parts, 500.0) for parts in ([loud], [soft], [loud, soft]))
    assert both == pytest.approx(math.sqrt((one**2 + 2 * other**2) / 3), rel=1e-9)


def test_a_constant_counts_for_nothing():
    assert weighted_rms(WHOLE_BODY, [np.full(5_000, 9.81)], 500.0) == pytest.approx(0.0, abs=1e-9)


def test_bands_a_log_cannot_hold_are_known():
    assert [name_of(number) for number in bands_lacking(WHOLE_BODY, 100.0)] == ["50", "63", "80"]
    assert bands_lacking(WHOLE_BODY, 200.0) == ()
    assert [name_of(number) for number in bands_lacking(HAND_ARM, 1000.0)] == ["500", "630", "800", "1000"]
    assert not bands_lacking(HAND_ARM, 3000.0)
    assert [name_of(bands_lacking(weighting, 1.0)[0]) for weighting in (WHOLE_BODY, HAND_ARM)] == ["0.5", "8"]


@pytest.mark.parametrize("weighting", [WHOLE_BODY, HAND_ARM], ids=lambda weighting: weighting.name)
def test_a_log_under_200_rows_a_second_gives_no_weighted_value(weighting):
    assert is_held(weighting, 200.0)
    assert not is_held(weighting, 195.0)
    assert is_held(weighting, needed_rate_hz(weighting))


def view_of(rate_hz: float, ridden: int) -> InertialView:
    """Return what is looked at of a chassis that is shaken, so many of its samples being ridden."""
    shaken = np.random.default_rng(3).normal(size=2 * ridden)
    motion = find_motion(inertial_ride(inertial(shaken), rate_hz=rate_hz))
    riding = np.arange(shaken.size) < ridden
    return inertial_view(replace(motion, time=replace(motion.time, riding=riding)), "front")


@pytest.mark.parametrize(("lacking", "told"), [(0, True), (1, False)])
def test_a_stretch_of_5_s_is_weighted(lacking: int, *, told: bool):
    view = view_of(400.0, round(400 * threshold("measures.inertial.weighting.SHORTEST_S")) - lacking)
    for found in (hand_arm_vibration(view), whole_body_vibration(view)):
        assert isinstance(found, float) is told
        assert told or found == Missing("no 5 s of riding without a break")


def test_of_a_slow_log_what_is_needed_is_told():
    view = view_of(190.0, 4_000)
    needed = "what shakes at up to 80 Hz, 199 rows a second"
    assert hand_arm_vibration(view) == Missing(f"190 rows a second: Wh needs {needed}")
    assert whole_body_vibration(view) == Missing(f"190 rows a second: Wk needs {needed}")


def test_what_a_log_of_200_rows_lacks_for_hands_is_within_tolerance_for_a_flat_spectrum():
    frequency = np.arange(1, 12_000) / 4
    power = squared_gain(HAND_ARM, frequency)
    kept = math.sqrt(power[frequency <= 80].sum() / power.sum())
    assert 1 + published.TOLERANCE[0] < kept < 0.95


@pytest.mark.parametrize(("values", "hours", "told"), published.WORKED_A8)
def test_daily_exposure_as_worked_in_the_standard(values, hours, told):
    assert daily_exposure(values, [3600 * hour for hour in hours]) == pytest.approx(told, abs=5e-4)


def test_action_and_limit_values_are_told_as_the_directives_and_as_no_limits_of_riding():
    figures = {who: f"{action:g} and {limit:g} m/s²" for who, (action, limit) in published.DIRECTIVE.items()}
    assert f"{figures['hand_arm']} (hands), {figures['whole_body']} (body)" in AT_WORK
    assert "no limits of riding" in AT_WORK
