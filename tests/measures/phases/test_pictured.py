"""What a lap shows of its phases: how long each was ridden, flights with their landings, what the chassis felt."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry import measures
from telemetry.measures.phases.found import find_phases
from telemetry.measures.pictured import felt_overview
from tests.measures.phases.made_signals import G_M_S2
from tests.measures.phases.test_found import RATE_HZ, felt, rode


def test_a_flight_brings_the_landing_that_was_felt_after_it() -> None:
    run = rode()
    phases = find_phases(run).phases
    (flight,) = measures.picture(run, "a", 1, phases=phases).flights or ()
    assert flight.end_s - flight.start_s == pytest.approx(0.5, abs=0.02)
    assert flight.landing is not None
    assert flight.landing.peak_g == pytest.approx(0.5 / 0.4, rel=0.1)
    assert flight.landing.impulse_m_s == pytest.approx(0.5 * G_M_S2, rel=0.05)  # of half a second's fall
    assert flight.landing.lasts_s == pytest.approx(0.4, abs=0.1)
    (bare,) = measures.picture(run, "a", 1).flights or ()
    assert bare.landing is None


def test_phases_are_counted_over_what_was_chosen() -> None:
    run = rode()
    phases = find_phases(run).phases
    whole = {own.name: own.ridden_s for own in measures.picture(run, "a", 1, phases=phases).phases}
    assert whole["braking"] == pytest.approx(phases.found["braking"].seconds(RATE_HZ), abs=0.01)
    chosen = ((0, round(21.5 * RATE_HZ)),)  # half of what was braked
    part = {own.name: own.ridden_s for own in measures.picture(run, "a", 1, phases=phases, stretches=chosen).phases}
    assert part["braking"] == pytest.approx(whole["braking"] / 2, abs=0.3)
    assert part["pedalling"] == 0.0
    assert measures.picture(run, "a", 1).phases == ()


def test_a_sketch_of_what_the_chassis_felt_loses_no_peak() -> None:
    up, _ = felt()
    (sketch,) = felt_overview(rode().ride).values()
    assert (sketch.min(), sketch.max()) == pytest.approx((up.min() / G_M_S2, up.max() / G_M_S2))
    assert np.all(sketch[::2] <= sketch[1::2])
