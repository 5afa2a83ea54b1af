"""Shock absorber of a motorcycle, damped free vibration.

Source: S. S. Rao, Mechanical Vibrations, Example 2.14: 200 kg, damped period 2 s, amplitude down to a quarter in half a
cycle; damping and stiffness as reprinted. The speed that leads to 250 mm (1.4294 m/s) is from memory; it
carries the book's own rounding, 1.42926 m/s being exact (computed).
"""

from __future__ import annotations

MASS_KG = 200.0
DAMPED_PERIOD_S = 2.0
HALF_CYCLE_RATIO = 1 / 4
DAMPING_N_S_M = 554.4981
STIFFNESS_N_M = 2358.2652
SPEED_M_S = 1.4294
REACHED_M = 0.25
PRINTED_TO = 1e-4
SPEED_TO = 2e-4
