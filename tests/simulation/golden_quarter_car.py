"""The golden car driven over a profile: exact state transition, all steps at once through its modes."""

from __future__ import annotations

import numpy as np
from scipy.linalg import expm
from scipy.signal import lfilter

from tests.published import golden_car as published

STATE = np.array(
    [
        [0.0, 1.0, 0.0, 0.0],
        [-published.K2, -published.C, published.K2, published.C],
        [0.0, 0.0, 0.0, 1.0],
        [
            published.K2 / published.MU,
            published.C / published.MU,
            -(published.K1 + published.K2) / published.MU,
            -published.C / published.MU,
        ],
    ]
)
INPUT = np.array([0.0, 0.0, 0.0, published.K1 / published.MU])
STROKE = np.array([1.0, 0.0, -1.0, 0.0])


def transition(step_m: float) -> tuple[np.ndarray, np.ndarray]:
    """Return S and P: the state after a step of constant slope is S state + P slope."""
    s = expm(STATE * step_m / published.SPEED_M_S)
    return s, np.linalg.solve(STATE, (s - np.eye(4)) @ INPUT)


def states(slope: np.ndarray, step_m: float, start: np.ndarray) -> np.ndarray:
    """Return the state after each step, shape (n, 4)."""
    s, p = transition(step_m)
    poles, modes = np.linalg.eig(s)
    drive, begin = np.linalg.solve(modes, p), np.linalg.solve(modes, start)
    parts = [
        lfilter([drive[k]], [1.0, -poles[k]], slope, zi=np.array([poles[k] * begin[k]]))[0]
        for k in range(poles.shape[0])
    ]
    return np.real(modes @ np.array(parts)).T


def strokes(height: np.ndarray, step_m: float) -> np.ndarray:
    """Return abs(stroke), slope units, after each step; it starts at the slope of the first 11 m."""
    slope = np.diff(height) / step_m
    first = slope[: round(11 / step_m)].mean()
    return np.abs(states(slope, step_m, np.array([first, 0.0, first, 0.0])) @ STROKE)


def iri_m_km(height_m: np.ndarray, step_m: float) -> float:
    """Return the mean rectified slope, m/km, without a moving average."""
    return float(1000 * strokes(height_m, step_m).mean())


def gain(n_cycles_m: np.ndarray) -> np.ndarray:
    """Return how much slope of stroke a slope of profile gives, by spatial frequency."""
    turning = 2j * np.pi * np.asarray(n_cycles_m, dtype=float) * published.SPEED_M_S
    answers = np.linalg.solve(
        turning[:, None, None] * np.eye(4) - STATE, np.broadcast_to(INPUT, (turning.size, 4))[..., None]
    )
    return np.abs(answers[..., 0] @ STROKE)
