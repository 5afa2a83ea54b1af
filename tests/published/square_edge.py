"""A rigid wheel of 0.37 m at a square edge: the axle's speed upwards at first touch, m/s.

Computed from ``v sqrt(2 R h - h²) / (R - h)``: ground speed in m/s, height of the edge in m, speed upwards.
"""

RADIUS_M = 0.37
LIFT_M_S = (
    (5.0, 0.03, 2.146),
    (5.0, 0.05, 2.902),
    (8.0, 0.03, 3.434),
    (8.0, 0.05, 4.644),
    (8.0, 0.10, 7.496),
    (12.0, 0.05, 6.965),
)
