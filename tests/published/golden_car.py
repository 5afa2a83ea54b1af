"""The golden car, a quarter car by which the roughness of roads is told (IRI), and what is printed about it.

Source: ASTM E1926; M. W. Sayers, T. D. Gillespie, W. D. O. Paterson, World Bank Technical Paper 46, 1986; seen in
several public programs. Parameters by sprung mass: K1 tyre, K2 spring (1/s²), MU unsprung mass, C damping (1/s).
State: height and speed of the sprung, then of the unsprung mass, in units of slope.

S250, P250, S100, P100: printed state transition for steps of 250 and 100 mm, seven digits. P100's first figure is
printed with the single-precision rounding of its time, 0.07 % off.

COUPLED_HZ, PEAKS (cycle/m, gain from the profile's slope to the stroke), GAIN_AT (wavelength m: gain), SINE_IRI
(cycle/m: m/km of a sine of 1 mm): computed with scipy. The rounded printed values, 0.065 and 0.42 cycle/m and about
0.5 at 1.3 and 30 m, are from memory (M. W. Sayers, S. M. Karamihas, *The Little Book of Profiling*).

CLASS_IRI: m/km of ISO 8608's geometric means, computed from Gaussian theory without a moving average. FITTED_IRI: the
same by the published fit of O. Kropac and P. Mucka, 2.21 sqrt(level at 1 rad/m in 1e-6 m³), seen in a public program.

TRIANGLE: running mean of abs(stroke), units of slope, by distance in m: level up to 1 m, up at slope 1 to 3 m, down
to 5 m, level after it; steps of 0.25 m from 0.25 m on, level start. TRIANGLE_STATE_AT_3: the state at 3 m. Computed.
"""

K1, K2, MU, C = 653.0, 63.3, 0.15, 6.0
SPEED_M_S = 80 / 3.6

S250 = (
    (0.9966071, 0.01091514, -0.002083274, 0.0003190145),
    (-0.5563044, 0.9438768, -0.8324718, 0.05064701),
    (0.02153176, 0.002126763, 0.7508714, 0.008221888),
    (3.335013, 0.3376467, -39.12762, 0.4347564),
)
P250 = (0.005476107, 1.388776, 0.2275968, 35.79262)
S100 = (
    (0.9994014, 0.004442351, 0.0002188854, 5.72179e-5),
    (-0.2570548, 0.975036, 0.007966216, 0.02458427),
    (0.003960378, 0.0003814527, 0.9548048, 0.004055587),
    (1.687312, 0.1638951, -19.34264, 0.7948701),
)
P100 = (3.793992e-4, 0.2490886, 0.04123478, 17.65532)

COUPLED_HZ = (1.2082972, 11.0047277)
PEAKS = ((0.0633839, 1.537600), (0.4362360, 1.676483))
GAIN_AT = {1.3: 0.530900, 30.0: 0.454812}
SINE_IRI = {0.42: 2.8019, 0.065: 0.39907}
CLASS_IRI = {"A": 2.2189, "B": 4.4378}
FITTED_IRI = {"A": 2.2159, "B": 4.4317}

TRIANGLE = {
    1.25: 0.05553,
    1.5: 0.17619,
    2.0: 0.43129,
    2.5: 0.53395,
    3.0: 0.51838,
    3.5: 0.53101,
    4.0: 0.70999,
    4.5: 0.81681,
    5.0: 0.82414,
    6.0: 0.73167,
    8.0: 0.59509,
    10.0: 0.52171,
    30.0: 0.20668,
}
TRIANGLE_STATE_AT_3 = (0.53532, 6.12588, 0.89993, -4.5373)
