"""Dry friction of seals and bushings."""

from __future__ import annotations

import numpy as np

from telemetry.mechanics.checks import require_not_negative, require_positive
from telemetry.model.arrays import Floats


def friction_n(speed_m_s: Floats, coulomb_n: float, band_m_s: float) -> Floats:
    """Return dry friction against the motion.

    Parameters
    ----------
    speed_m_s : float array
        m/s, positive in compression; any shape.
    coulomb_n : float
        Friction when moving, N, 0 or more.
    band_m_s : float
        Speed scale of the passage through rest, m/s, > 0; 71 % of the friction is reached at it.

    Returns
    -------
    float array
        N, of the speed's sign: positive resists compression.

    Raises
    ------
    ValueError
        If a figure is out of its range.

    Notes
    -----
    F v / √(v² + band²), Coulomb's rule [Rao2011] with its jump spread out (common practice, no source). Within the
    band the part creeps at a viscous F / band instead of sticking: held by a force f < F it moves on at
    band · f / √(F² − f²).
    """
    require_not_negative("friction", coulomb_n=coulomb_n)
    require_positive("friction", band_m_s=band_m_s)
    share = np.asarray(speed_m_s, dtype=float) / band_m_s
    return np.asarray(coulomb_n * share / np.hypot(share, 1.0), dtype=float)
