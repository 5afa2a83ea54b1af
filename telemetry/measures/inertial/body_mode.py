"""The chassis on its spring: natural frequency and damping, from what it makes of the wheel's motion."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from telemetry.measures.missing import Missing
from telemetry.model.arrays import Floats

from .spectra import Spectra
from .transfer import LEAST_COHERENCE

LOWEST_HZ, HIGHEST_HZ = 0.7, 8.0
"""Within which a chassis's own frequency is looked for, with room about it: 1.3 to 3 Hz of bikes, common practice."""
FEWEST = 8
"""Frequencies the fit needs: four for each of its two figures. Own choice."""
MOST_MISFIT = 0.25
"""Of the response itself, root mean square: further off, one mass on one spring isn't what was ridden. Own choice."""
MOST_DAMPING = 1.0
"""From here on nothing swings, and the two figures can't be told apart. Own choice."""
_ROUNDS = 20


@dataclass(frozen=True, slots=True)
class Mode:
    """A natural frequency, undamped, Hz, and damping as a share of critical."""

    frequency_hz: float
    damping: float


def body_mode(spectra: Spectra) -> Mode | Missing:
    """Return the chassis's mode on its spring and damper with the wheel held.

    Parameters
    ----------
    spectra : Spectra
        Upward acceleration of the wheel first, of the chassis second.

    Returns
    -------
    Mode or Missing

    Notes
    -----
    A mass on spring and damper over a moving foot answers with ``H = (c s + k) / (s^2 + c s + k)``, whatever tyre and
    trail are, k = w^2, c = 2 zeta w. Least squares over the frequencies with coherence over 0.8, each by how well H is
    known there: ``s^2 H = (c s + k)(1 - H)`` is linear in c and k; divided by the last round's denominator it becomes,
    round by round, the misfit of H itself [SanathananKoerner1963].
    """
    frequency, coherence = spectra.frequency_hz, spectra.coherence
    used = (frequency >= LOWEST_HZ) & (frequency <= HIGHEST_HZ) & (coherence > LEAST_COHERENCE)
    if used.sum() < FEWEST:
        return Missing(
            f"chassis follows wheel (coherence over {LEAST_COHERENCE:g}) at {used.sum()} frequencies between "
            f"{LOWEST_HZ:g} and {HIGHEST_HZ:g} Hz, at least {FEWEST} needed"
        )
    s, response = 2j * math.pi * frequency[used], spectra.response[used]
    known = np.sqrt(coherence[used] / np.maximum(1 - coherence[used], 1e-6)) / np.maximum(np.abs(response), 1e-9)
    weight = known
    c = k = 0.0
    for _ in range(_ROUNDS):
        left = np.stack([s * (1 - response) * weight, (1 - response) * weight], axis=1)
        right = s**2 * response * weight
        c, k = np.linalg.lstsq(
            np.concatenate([left.real, left.imag]), np.concatenate([right.real, right.imag]), rcond=None
        )[0]
        weight = known / np.abs(s**2 + c * s + k)
    made = (c * s + k) / (s**2 + c * s + k)
    misfit = float(np.linalg.norm((made - response) * known) / np.linalg.norm(response * known))
    return _told(float(c), float(k), misfit, frequency[used])


def _told(c: float, k: float, misfit: float, used_hz: Floats) -> Mode | Missing:
    if k <= 0 or c <= 0 or misfit > MOST_MISFIT:
        return Missing("what the chassis makes of the wheel's motion isn't one mass on one spring")
    frequency, damping = math.sqrt(k) / (2 * math.pi), c / (2 * math.sqrt(k))
    if not used_hz[0] < frequency < used_hz[-1]:
        return Missing(f"no natural frequency between {used_hz[0]:.1f} and {used_hz[-1]:.1f} Hz")
    if damping >= MOST_DAMPING:
        return Missing("damped so much that nothing swings")
    return Mode(frequency, damping)
