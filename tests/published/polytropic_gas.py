"""Worked examples of a polytropic gas.

Sources. `MORAN_SHAPIRO`: M. J. Moran, H. N. Shapiro, Fundamentals of Engineering Thermodynamics, Wiley, Example 2.1:
gas from 3 bar and 0.1 m3 to 0.2 m3; n = 1.5 as reprinted (1.06 bar, 17.6 kJ), n = 1 and n = 0 from memory (20.79 kJ,
30 kJ).
`EXPANSION`: question 95480 of assignmentexpert.com, n = 1.2, 690 kPa and 0.05 m3 to 0.08 m3, as printed.
`SINGLE_CHAMBER` and `WITH_OIL` are invented air springs, computed beforehand from the closed forms; not published.
"""

from __future__ import annotations

MORAN_SHAPIRO = {
    "pressure_pa": 3e5,
    "volume_m3": 0.1,
    "new_volume_m3": 0.2,
    # exponent: pressure after, Pa, how exact; work, J, how exact (half a unit of the last printed digit)
    "exponents": {1.5: (1.06e5, 5e2, 17.6e3, 50.0), 1.0: (1.5e5, 5e2, 20.79e3, 5.0), 0.0: (3e5, 5e2, 30e3, 50.0)},
}
EXPANSION = {
    "pressure_pa": 6.9e5,
    "volume_m3": 0.05,
    "new_volume_m3": 0.08,
    "exponent": 1.2,
    "after_pa": (3.926e5, 50.0),
    "work_j": (15476.0, 0.5),
}
SINGLE_CHAMBER = {
    "pressure_pa": 6e5,
    "area_m2": 5e-4,
    "volume_m3": 1e-4,
    # exponent: rows of travel m, pressure Pa, force N, rate N/m, energy J
    "exponents": {
        1.0: (
            (0.00, 600000.0, 249.3375, 1500.0, 0.0),
            (0.05, 800000.0, 349.3375, 2666.667, 14.7278),
            (0.10, 1200000.0, 549.3375, 6000.0, 36.52258),
            (0.15, 2400000.0, 1149.3375, 24000.0, 75.57829),
        ),
        1.2: (
            (0.00, 600000.0, 249.3375, 1800.0, 0.0),
            (0.05, 847379.07, 373.027, 3389.516, 15.23403),
            (0.10, 1378438.03, 638.5565, 8270.628, 39.54326),
            (0.15, 3166818.99, 1532.747, 38001.83, 88.253),
        ),
        1.4: (
            (0.00, 600000.0, 249.3375, 2100.0, 0.0),
            (0.05, 897564.12, 398.1196, 4188.633, 15.76015),
            (0.10, 1583409.49, 741.0422, 11083.87, 42.85994),
            (0.15, 4178642.7, 2038.659, 58500.998, 103.56579),
        ),
    },
}
WITH_OIL = {
    "pressure_pa": 6e5,
    "bore_m": 0.035,
    "volume_m3": 150e-6,
    "travel_m": 0.140,
    "exponent": 1.3,
    # oil m3: ratio of compression, force N (given to 0.01 and to 0.1 kN)
    "rows": ((0.0, 9.80, 11.1e3), (5e-6, 14.07, 17.9e3), (10e-6, 26.39, 40.6e3)),
}
