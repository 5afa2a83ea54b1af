"""Road classes of ISO 8608:1995 and :2016, Annex C, by letter, at n0 = 0.1 cycle/m, one-sided, m³.

The standard's own tables couldn't be read. Geometric means and limits agree in four independent public programs.

ANGULAR_M3: the rounded table for angular spatial frequency at 1 rad/m, from one of them. CLASS_A_ANGULAR_M3: class A's
geometric mean converted exactly (computed), 0.53 % above it.

RMS_MM: standard deviation of height between 0.011 and 2.83 cycles/m, w = 2 (computed from the closed form), by class.
SLOPE_LEVEL_A_M: class A's constant spectrum of slope, m (computed).
"""

GEOMETRIC_MEAN_M3 = {
    "A": 16e-6,
    "B": 64e-6,
    "C": 256e-6,
    "D": 1024e-6,
    "E": 4096e-6,
    "F": 16384e-6,
    "G": 65536e-6,
    "H": 262144e-6,
}
UPPER_LIMIT_M3 = {
    "A": 32e-6,
    "B": 128e-6,
    "C": 512e-6,
    "D": 2048e-6,
    "E": 8192e-6,
    "F": 32768e-6,
    "G": 131072e-6,
}
LOWER_LIMIT_M3 = {
    "B": 32e-6,
    "C": 128e-6,
    "D": 512e-6,
    "E": 2048e-6,
    "F": 8192e-6,
    "G": 32768e-6,
    "H": 131072e-6,
}
ANGULAR_M3 = {
    "A": 1e-6,
    "B": 4e-6,
    "C": 16e-6,
    "D": 64e-6,
    "E": 256e-6,
    "F": 1024e-6,
    "G": 4096e-6,
    "H": 16384e-6,
}
CLASS_A_ANGULAR_M3 = 1.00531e-6

BAND_CYCLES_M = (0.011, 2.83)
RMS_MM = {"A": 3.8064, "C": 15.2257}
SLOPE_LEVEL_A_M = 6.31655e-6
