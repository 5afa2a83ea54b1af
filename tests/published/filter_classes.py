"""What is printed about Butterworth filters that run forward and backward.

TWO_PASSES: D. A. Winter, *Biomechanics and Motor Control of Human Movement*, 4th edition, Wiley 2009, p. 69, for order
2, as ``(2^(1/passes) - 1)^(1/4)``; the other orders computed with the general exponent ``1 / (2 order)``.

DESIGN_HZ: single-pass cut-offs for 20 Hz after two passes at 1000 rows a second, by order; computed from the same
formula with the correction on the pre-warped frequency.

CHANNEL_CLASSES: SAE J211-1 (MAR95), the class number and the -3 dB frequency printed for it: second order, forward and
backward, single pass at 2.0775 x class. COEFFICIENTS: the standard's formulae for a0, a1, a2, b1, b2 worked out, by
class and rate. CLASS_60_DB: computed attenuation of class 60 at 10 kHz, both passes.
"""

TWO_PASSES = {1: 0.6435942529055827, 2: 0.8022432629231502, 4: 0.8956803352330285}
DESIGN_HZ = {1: 31.01788531, 2: 24.91196465, 4: 22.32216157}

CLASS_TO_SINGLE_PASS = 2.0775
CHANNEL_CLASSES = {60: 100.0, 180: 300.0, 600: 1000.0, 1000: 1650.0}
COEFFICIENTS = {
    (60, 10_000): (
        *(0.0014523674735534124, 0.002904734947106825, 0.0014523674735534124),
        *(1.8893432242215735, -0.8951526941157872),
    ),
    (180, 10_000): (
        *(0.011796271099778452, 0.023592542199556903, 0.011796271099778452),
        *(1.670117463267827, -0.7173025476669411),
    ),
    (600, 20_000): (
        *(0.029806072039817035, 0.05961214407963407, 0.029806072039817035),
        *(1.4557282139067511, -0.5749525020660193),
    ),
    (1000, 20_000): (
        *(0.07189309706838491, 0.14378619413676982, 0.07189309706838491),
        *(1.111586176156447, -0.39915856442998654),
    ),
}
CLASS_60_DB = {60: -0.4535, 100: -3.0085, 160: -11.407, 300: -30.852, 600: -55.009}
