"""What a mode and a band need to be told, just below and just above each limit, on spectra made for it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from telemetry.measures.inertial.body_mode import Mode, body_mode
from telemetry.measures.inertial.hop import hop_frequency
from telemetry.measures.inertial.spectra import Spectra
from telemetry.measures.inertial.transfer import transmissibility
from telemetry.measures.missing import Missing
from tests.thresholds import threshold

FREQUENCY_HZ = np.arange(801) / 8


def answered(response: np.ndarray, coherence: np.ndarray | float = 0.99) -> Spectra:
    """Return spectra of a wheel shaken alike at every frequency, and of a chassis that answers so."""
    wheel = np.ones(FREQUENCY_HZ.size)
    return Spectra(
        frequency_hz=FREQUENCY_HZ,
        first=wheel,
        second=np.abs(response) ** 2 / coherence,
        cross=response.astype(np.complex128),
        windows=50,
    )


def one_mass(hertz: float, damping: float) -> np.ndarray:
    s, own = 2j * math.pi * FREQUENCY_HZ, 2 * math.pi * hertz
    return (2 * damping * own * s + own**2) / (s**2 + 2 * damping * own * s + own**2)


def humps(*tops: tuple[float, float], width: float = 0.12) -> np.ndarray:
    """Return power of 1 with humps (Hz, times) of a width in octaves."""
    octaves = np.log2(np.maximum(FREQUENCY_HZ, 0.01))
    return 1 + sum((high - 1) * np.exp(-((octaves - math.log2(hertz)) ** 2) / (2 * width**2)) for hertz, high in tops)


class TestMode:
    @pytest.mark.parametrize(("hertz", "damping"), [(1.2, 0.2), (2.5, 0.35), (4.0, 0.6)])
    def test_an_exact_answer_gives_the_mode_exactly(self, hertz: float, damping: float):
        found = body_mode(answered(one_mass(hertz, damping)))
        assert found == Mode(pytest.approx(hertz, rel=1e-6), pytest.approx(damping, rel=1e-6))

    @pytest.mark.parametrize(("more", "told"), [(0, True), (-1, False)])
    def test_needs_so_many_frequencies_at_which_the_chassis_follows(self, more: int, *, told: bool):
        fewest = int(threshold("measures.inertial.body_mode.FEWEST"))
        coherence = np.full(FREQUENCY_HZ.size, 0.5)
        first = round(1.6 * 8)
        coherence[first : first + fewest + more] = 0.99
        assert isinstance(body_mode(answered(one_mass(2.0, 0.3), coherence)), Mode) is told

    @pytest.mark.parametrize(("off", "told"), [(-0.01, True), (0.01, False)])
    def test_needs_coherence_over_its_limit(self, off: float, *, told: bool):
        coherence = threshold("measures.inertial.transfer.LEAST_COHERENCE") - off
        assert isinstance(body_mode(answered(one_mass(2.0, 0.3), coherence)), Mode) is told

    @pytest.mark.parametrize(("damping", "told"), [(0.97, True), (1.03, False)])
    def test_of_what_hardly_swings_nothing_is_told(self, damping: float, *, told: bool):
        assert isinstance(body_mode(answered(one_mass(2.0, damping))), Mode) is told

    @pytest.mark.parametrize(("hertz", "told"), [(7.5, True), (9.0, False), (0.9, True), (0.5, False)])
    def test_lies_within_what_was_fitted(self, hertz: float, *, told: bool):
        assert isinstance(body_mode(answered(one_mass(hertz, 0.3))), Mode) is told

    @pytest.mark.parametrize(("share", "told"), [(0.8, True), (1.2, False)])
    def test_may_miss_the_answer_by_a_quarter(self, share: float, *, told: bool):
        most = threshold("measures.inertial.body_mode.MOST_MISFIT")
        wrong = np.where(np.arange(FREQUENCY_HZ.size) % 2, 1, -1) * share * most
        found = body_mode(answered(one_mass(2.0, 0.3) * (1 + wrong)))
        assert isinstance(found, Mode) is told
        if not told:
            assert "isn't one mass on one spring" in found.reason


class TestHop:
    @pytest.mark.parametrize("hertz", [12.0, 20.0, 31.0])
    def test_is_the_humps_place(self, hertz: float):
        assert hop_frequency(FREQUENCY_HZ, humps((hertz, 8.0)), 80.0) == pytest.approx(hertz, rel=0.02)

    def test_is_the_higher_of_two(self):
        assert hop_frequency(FREQUENCY_HZ, humps((12.0, 5.0), (30.0, 9.0)), 80.0) == pytest.approx(30.0, rel=0.02)

    @pytest.mark.parametrize(("share", "told"), [(1.1, True), (0.9, False)])
    def test_has_to_stand_out_of_both_sides(self, share: float, *, told: bool):
        """A flat top wide enough for the mean over five cells to be the top itself."""
        over = threshold("measures.inertial.hop.OVER_SIDES") * share
        octaves = np.abs(np.log2(np.maximum(FREQUENCY_HZ, 0.01) / 20))
        power = 1 + (over - 1) * np.clip((0.28 - octaves) / 0.04, 0, 1)
        power *= 1 - 1e-3 * octaves
        assert isinstance(hop_frequency(FREQUENCY_HZ, power, 80.0), float) is told

    @pytest.mark.parametrize(("hertz", "told"), [(6.5, True), (5.0, False), (43.0, True), (48.0, False)])
    def test_lies_within_bounds(self, hertz: float, *, told: bool):
        assert isinstance(hop_frequency(FREQUENCY_HZ, humps((hertz, 8.0)), 100.0), float) is told

    def test_a_slow_log_has_none_that_it_cannot_hold(self):
        assert isinstance(hop_frequency(FREQUENCY_HZ, humps((30.0, 8.0)), 40.0), Missing)


@pytest.mark.parametrize(("off", "told"), [(0.01, True), (-0.01, False)])
def test_a_band_is_told_where_coherence_is_over_its_limit(off: float, *, told: bool):
    coherence = threshold("measures.inertial.transfer.LEAST_COHERENCE") + off
    found = transmissibility(answered(np.full(FREQUENCY_HZ.size, 0.7), coherence), 200.0)
    assert {value is not None for value in found.values()} == {told}
    if told:
        assert found["10"] == pytest.approx(0.7)
