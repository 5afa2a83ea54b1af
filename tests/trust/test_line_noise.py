"""`line_noise`: a tone a cable picked up, and nothing a trail does."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from telemetry.trust.lines import strongest_tone
from tests.trust.one_run import FRONT_FULL_MM, RATE_HZ, assert_says, ridden, the_one, told, working

REAR = working(40.0, middle_mm=50.0)


def humming(hertz: float, amplitude_mm: float) -> np.ndarray:
    travel = working(40.0)
    at_s = np.arange(travel.shape[0]) / RATE_HZ
    return np.clip(travel + amplitude_mm * np.sin(2 * np.pi * hertz * at_s), 0.5, FRONT_FULL_MM - 0.5)


@pytest.mark.parametrize("hertz", [35.0, 50.0, 60.0, 83.3])
def test_a_tone_is_found_with_its_frequency_and_size(tmp_path: Path, hertz: float) -> None:
    finding = the_one(ridden(tmp_path, humming(hertz, 0.5), REAR), "line_noise")
    assert (finding.severity, finding.end) == ("warning", "front")
    assert_says(finding, "0.5", f"{hertz:.0f}"[:2], "Hz", "limit 0.1 mm", "cable")


def test_a_trail_without_one_is_not_accused(tmp_path: Path) -> None:
    assert not told(ridden(tmp_path, working(40.0), REAR), "line_noise")


def test_a_tone_too_small_to_matter_is_left(tmp_path: Path) -> None:
    assert not told(ridden(tmp_path, humming(50.0, 0.05), REAR), "line_noise")


@pytest.mark.parametrize("amplitude_mm", [0.02, 0.7, 3.0])
def test_the_amplitude_is_the_sines(amplitude_mm: float) -> None:
    at_s = np.arange(0, 30, 1 / 500)
    noise = 0.001 * np.random.default_rng(1).standard_normal(at_s.shape[0])
    hertz, found, ratio = strongest_tone(amplitude_mm * np.sin(2 * np.pi * 60.1 * at_s) + noise, 500.0)
    assert hertz == pytest.approx(60.1, abs=0.25)
    assert found == pytest.approx(amplitude_mm, rel=0.03)
    assert ratio > 100
