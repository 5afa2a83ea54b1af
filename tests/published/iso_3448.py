"""Viscosity grades of industrial oils: mid-point, least and most kinematic viscosity at 40 degrees C, mm2/s.

Source: ISO 3448:1992, table 1 (from memory; each limit is 10 % off the mid-point, to the digits printed).
"""

from __future__ import annotations

GRADES = {
    2: (2.2, 1.98, 2.42),
    3: (3.2, 2.88, 3.52),
    5: (4.6, 4.14, 5.06),
    7: (6.8, 6.12, 7.48),
    10: (10.0, 9.00, 11.0),
    15: (15.0, 13.5, 16.5),
    22: (22.0, 19.8, 24.2),
    32: (32.0, 28.8, 35.2),
    46: (46.0, 41.4, 50.6),
    68: (68.0, 61.2, 74.8),
    100: (100.0, 90.0, 110.0),
}
