"""The same least squares on a test machine's log of a real damper, its measured force in place of acceleration.

A magneto-rheological damper, sine of 10 mm at 1 Hz, no current and 1 A (tests/data/damper_rig/SOURCE.md).
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from telemetry.measures.force.fitting import blocks_of, with_half_width
from telemetry.measures.force.knots import force_columns, friction_shape

RIG = Path(__file__).parents[2] / "data" / "damper_rig"
SPEEDS = np.array([-0.07, -0.04, -0.02, 0.0, 0.02, 0.04, 0.07])
TRIED_M_S = (-0.05, -0.04, -0.03, 0.03, 0.04, 0.05)


def fitted(current: str) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Return force wherever the rig had each tried speed, its half-width, the rig's mean there, its scatter, N."""
    _, travel, speed, force = np.loadtxt(RIG / f"mrdamper_10mm1Hz_{current}.txt").T
    speed = speed * 1e-3
    travels = np.array([travel.min(), 0.0, travel.max()])
    blocks = (np.arange(travel.shape[0]) // 1000).astype(np.int64)  # one turn of the machine each
    columns = force_columns(travel, speed, np.ones(travel.shape[0]), friction_shape(speed), (travels, SPEEDS))
    near = [np.abs(speed - at) < 0.003 for at in TRIED_M_S]
    where = np.array([columns[at].mean(axis=0) for at in near])
    figure, half = with_half_width(blocks_of(columns, force, blocks), lambda found: found @ where.T, 0.10)
    return figure, half, np.array([force[at].mean() for at in near]), np.array([force[at].std() for at in near])


def test_force_at_speed_is_recovered_within_the_rigs_own_scatter() -> None:
    for current in ("0A", "1A"):
        figure, _, measured, scatter = fitted(current)
        assert np.all(np.abs(figure - measured) < scatter)


def test_no_current_and_one_ampere_are_told_apart() -> None:
    (soft, soft_half, *_), (hard, hard_half, *_) = fitted("0A"), fitted("1A")
    assert np.all(np.abs(hard) - hard_half > 3 * (np.abs(soft) + soft_half))
    assert np.all(np.sign(hard) == np.sign(TRIED_M_S))
    assert hard[-1] == pytest.approx(1461, rel=0.15)  # peak force, as the rig's logs are described
