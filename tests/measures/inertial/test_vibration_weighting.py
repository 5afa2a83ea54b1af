"""Weighted vibration: design goals and tolerances of the standard, worked exposures."""

from __future__ import annotations

import math

import numpy as np
import pytest

from telemetry.measures.inertial.comfort import daily_exposure
from telemetry.measures.inertial.third_octaves import centre_hz, name_of
from telemetry.measures.inertial.weighting import (
    HAND_ARM,
    WHOLE_BODY,
    bands_lacking,
    is_held,
    squared_gain,
    weighted_rms,
)
from telemetry.telling.cleaning import AT_WORK
from tests.published import vibration_weightings as published

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


@pytest.mark.parametrize("weighting", [WHOLE_BODY, HAND_ARM], ids=lambda weighting: weighting.name)
def test_a_log_under_200_rows_a_second_gives_no_weighted_value(weighting):
    assert is_held(weighting, 200.0)
    assert not is_held(weighting, 195.0)


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
