"""What an oil's data sheet leaves out: viscosity at 100 °C by its viscosity index, and the grade it is sold as."""

from __future__ import annotations

import math

from scipy.optimize import brentq

GRADES_CST: dict[int, float] = {
    2: 2.2, 3: 3.2, 5: 4.6, 7: 6.8, 10: 10, 15: 15, 22: 22, 32: 32, 46: 46, 68: 68, 100: 100, 150: 150,
    220: 220, 320: 320, 460: 460, 680: 680, 1000: 1000, 1500: 1500,
}  # fmt: skip
"""Grade and its mid-point at 40 °C, mm²/s; each reaches 10 % to either side [ISO3448]."""
GRADE_SHARE = 0.1

_L_AND_H = (
    (3.8, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
    (4.4, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
    (5.0, 2.5000, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
    (6.4, 0.10100, 16.6350, -45.469, 0.04985, 9.1613, -18.557),
    (7.0, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
    (7.7, 0.01191, 21.4750, -72.870, 0.79762, -0.7321, 14.610),
    (9.0, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
    (12.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
    (15.0, 0.76720, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
    (18.0, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930),
    (22.0, 0.97256, 5.2500, -0.980, 0.24504, 7.4160, -16.730),
    (28.0, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230),
    (40.0, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750),
    (55.0, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620),
    (70.0, 0.85921, 11.1009, -83.190, 0.17130, 11.3680, -76.940),
    (math.inf, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
)
"""Up to which viscosity at 100 °C, and the factors of L and H by it [ASTM2270] (from memory)."""
LEAST_CST_100C = 2.0
"""The index is defined from here on."""


def viscosity_index(cst_40c: float, cst_100c: float) -> float:
    """Return an oil's viscosity index.

    Parameters
    ----------
    cst_40c, cst_100c : float
        Kinematic viscosity at 40 and at 100 °C, mm²/s; the second 2 or more.

    Notes
    -----
    Against two reference oils of the same viscosity at 100 °C, with L and H at 40 °C: 100 (L − U)/(L − H), and above
    100: 100 + (10^N − 1)/0.00715 with N = lg(H/U)/lg Y [ASTM2270].

    Examples
    --------
    >>> round(viscosity_index(73.30, 8.86)), round(viscosity_index(22.83, 5.05))
    (92, 156)
    """
    row = next(row for row in _L_AND_H if cst_100c <= row[0])
    low, high = (row[at] * cst_100c**2 + row[at + 1] * cst_100c + row[at + 2] for at in (1, 4))
    if cst_40c >= high:
        return 100 * (low - cst_40c) / (low - high)
    steps = math.log10(high / cst_40c) / math.log10(cst_100c)
    return 100 + (10**steps - 1) / 0.00715


def cst_at_100c(cst_40c: float, index: float) -> float | None:
    """Return an oil's viscosity at 100 °C, mm²/s, from its figure at 40 °C and its viscosity index.

    None where none from 2 mm²/s on fits: the index isn't defined for thinner oils.
    """
    least, most = LEAST_CST_100C, 0.98 * cst_40c
    if most <= least or not viscosity_index(cst_40c, least) <= index <= viscosity_index(cst_40c, most):
        return None
    return float(brentq(lambda cst: viscosity_index(cst_40c, cst) - index, least, most, xtol=1e-9))


def grade_of(cst_40c: float) -> int | None:
    """Return the grade an oil is sold as; None between two grades.

    Examples
    --------
    >>> grade_of(16.1), grade_of(12.5), grade_of(4.2)
    (15, None, 5)
    """
    fits = (grade for grade, middle in GRADES_CST.items() if abs(cst_40c - middle) <= GRADE_SHARE * middle)
    return next(fits, None)
