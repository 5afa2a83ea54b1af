"""What is printed about Butterworth filters that run forward and backward.

TWO_PASSES_ORDER_2: D. A. Winter, *Biomechanics and Motor Control of Human Movement*, 4th edition, Wiley 2009, p. 69:
the cut-off of two passes of order 2 over that of one, as printed, three digits.

CHANNEL_CLASSES, CLASS_TO_SINGLE_PASS: SAE J211-1 (MAR95), the class number and the -3 dB frequency printed for it;
second order, forward and backward, one pass designed at 2.0775 x class. `class_coefficients` works out the standard's
formulae for a0, a1, a2, b1, b2 (from memory).
"""

from __future__ import annotations

import math

TWO_PASSES_ORDER_2 = 0.802

CLASS_TO_SINGLE_PASS = 2.0775
CHANNEL_CLASSES = {60: 100.0, 180: 300.0, 600: 1000.0, 1000: 1650.0}


def class_coefficients(channel: int, rate_hz: float) -> tuple[float, float, float, float, float]:
    """Return a0, a1, a2, b1, b2 of ``y[t] = a0 x[t] + a1 x[t-1] + a2 x[t-2] + b1 y[t-1] + b2 y[t-2]``."""
    turn = 2 * math.pi * channel * CLASS_TO_SINGLE_PASS / rate_hz
    bent = math.sin(turn / 2) / math.cos(turn / 2)
    below = 1 + math.sqrt(2) * bent + bent**2
    a0 = bent**2 / below
    return a0, 2 * a0, a0, -2 * (bent**2 - 1) / below, (-1 + math.sqrt(2) * bent - bent**2) / below
