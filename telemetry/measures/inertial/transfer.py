"""How much of the wheel's shaking reaches the chassis, by thirds of an octave."""

from __future__ import annotations

import numpy as np

from .band import LOWEST_HZ, upper_edge_hz
from .spectra import Spectra
from .third_octaves import bands_between, name_of, within

LEAST_COHERENCE = 0.8
"""Below, over a third of the chassis's shaking at that frequency comes from elsewhere: rider, other end, noise."""


def transmissibility(spectra: Spectra, rate_hz: float) -> dict[str, float | None]:
    """Return the size of H1 from wheel to chassis in every band the log holds, by the band's name.

    Parameters
    ----------
    spectra : Spectra
        Upward acceleration of the wheel first, of the chassis second.
    rate_hz : float

    Returns
    -------
    dict of str to float or None
        Mean size over the band's frequencies; None where coherence, likewise averaged, isn't over 0.8.
    """
    size, coherence = np.abs(spectra.response), spectra.coherence
    found: dict[str, float | None] = {}
    for number in bands_between(LOWEST_HZ, upper_edge_hz(rate_hz)):
        inside = within(spectra.frequency_hz, number)
        told = inside.any() and float(coherence[inside].mean()) > LEAST_COHERENCE
        found[name_of(number)] = float(size[inside].mean()) if told else None
    return found
