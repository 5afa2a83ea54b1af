"""Landings: from touch-down until the chassis carries its weight quietly again."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Bools, Floats
from telemetry.model.motion import Stretch
from telemetry.model.phase import Landing
from telemetry.units import STANDARD_GRAVITY_M_S2

SETTLED_CUTOFF_HZ = 5.0
SETTLED_G = 0.3
SETTLED_S = 0.25
LONGEST_S = 2.0
PEAK_OVER_S = 0.01
"""Own choices: on a rough trail nothing settles, and after 2 s what is felt is the trail."""


def _settled_after(calm: Bools, shortest: int) -> int:
    """Return the first sample from which `shortest` samples are calm; the last where there is none."""
    inside = np.concatenate([[0], np.cumsum(calm)])
    whole = np.flatnonzero(inside[shortest:] - inside[:-shortest] == shortest)
    return int(whole[0]) if whole.size else calm.shape[0]


def found_landings(
    upward_m_s2: Floats, slow_m_s2: Floats, touched: tuple[Stretch, ...], rate_hz: float
) -> tuple[Landing, ...]:
    """Return what follows each touch-down.

    Parameters
    ----------
    upward_m_s2 : float array, shape (n,)
        Along the ground's vertical, gravity taken out.
    slow_m_s2 : float array, shape (n,)
        The same, low-passed at 5 Hz.
    touched : tuple of (sample, latest)
        Each touch-down, and the sample before which its landing ends: the next take-off, a gap, the end of riding.
    rate_hz : float

    Notes
    -----
    A landing lasts until the slow acceleration has come within 0.3 g of nothing and stays there for 0.25 s, 2 s at
    most. Its impulse is the upward acceleration summed over it: on ground as level as the flight's path at the end,
    the speed with which the bike came down.
    """
    quarter, block = max(1, round(SETTLED_S * rate_hz)), max(1, round(PEAK_OVER_S * rate_hz))
    landings = []
    for start, latest in touched:
        stop = min(latest, start + round(LONGEST_S * rate_hz))
        if stop - start <= quarter:
            continue
        calm = np.abs(slow_m_s2[start:stop]) < SETTLED_G * STANDARD_GRAVITY_M_S2
        felt = upward_m_s2[start : start + max(block, _settled_after(calm, quarter))]
        summed = np.concatenate([[0.0], np.cumsum(felt)])
        landings.append(
            Landing(
                start=start,
                stop=start + felt.shape[0],
                peak_m_s2=float((summed[block:] - summed[:-block]).max()) / block,
                impulse_m_s=float(summed[-1]) / rate_hz,
            )
        )
    return tuple(landings)
