"""Viscosity of damper oil at another temperature."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats

KELVIN = 273.15
SHIFT_CST = 0.7


def oil_viscosity_cst(temperature_c: Floats, cst_40c: float, cst_100c: float) -> Floats:
    """Return an oil's kinematic viscosity from the two figures its data sheet gives.

    Parameters
    ----------
    temperature_c : float array
        °C; from the oil's pour point to about 150.
    cst_40c, cst_100c : float
        Kinematic viscosity at 40 and at 100 °C, mm²/s (cSt), the second > 0 and smaller.

    Returns
    -------
    float array
        mm²/s, shape of `temperature_c`.

    Raises
    ------
    ValueError
        If the two figures aren't those of an oil.

    Notes
    -----
    lg lg(ν + 0.7) = A − B lg T, T in kelvin [Walther1931]; good above 2 mm²/s.

    Examples
    --------
    >>> import numpy as np
    >>> oil_viscosity_cst(np.array([40.0, 100.0]), 16.0, 4.0).round(6)
    array([16.,  4.])
    """
    if not 0 < cst_100c < cst_40c:
        raise ValueError(
            f"oil: {cst_40c:g} cSt at 40 °C and {cst_100c:g} at 100 °C; the second must be > 0 and smaller"
        )
    if cst_100c + SHIFT_CST <= 1:
        raise ValueError(f"oil: {cst_100c:g} cSt at 100 °C is too thin for the rule; it must be above 0.3")
    kelvin = np.log10(np.array([40.0, 100.0]) + KELVIN)
    known = np.log10(np.log10(np.array([cst_40c, cst_100c]) + SHIFT_CST))
    slope = (known[1] - known[0]) / (kelvin[1] - kelvin[0])
    at = np.log10(np.asarray(temperature_c, dtype=float) + KELVIN)
    return np.asarray(10 ** (10 ** (known[0] + slope * (at - kelvin[0]))) - SHIFT_CST, dtype=float)
