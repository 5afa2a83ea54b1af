"""Whether a recording's reading was taken at rest: what still moves has no sag and no resting place."""

from __future__ import annotations

import numpy as np

from telemetry.model.arrays import Floats
from telemetry.model.finding import Finding
from telemetry.model.ride import EndSignal

MIDDLE = (25.0, 75.0)
REST_SHARE = 0.02
"""Own choices: a median is off by no more than the middle half reaches; the share is sag's usual smallest change."""


def not_at_rest(name: str, signal: EndSignal, rest_mm: Floats) -> tuple[Finding, ...]:
    """Return what is told where the travel that a reading is the median of doesn't rest.

    Parameters
    ----------
    name : str
        The recording's.
    signal : EndSignal
    rest_mm : float array, shape (n,)
        The part of its travel that the reading is taken from.
    """
    low, high = np.percentile(rest_mm, MIDDLE)
    limit = REST_SHARE * signal.full_travel_mm
    if high - low <= limit:
        return ()
    message = (
        f"{name}, {signal.end}: the middle half of what it is read from spans {high - low:.1f} mm (limit {limit:.1f} "
        f"mm, {100 * REST_SHARE:g} % of travel): it wasn't at rest, and the reading is off by up to as much; hold "
        "still, let it come to rest and record it again"
    )
    return (Finding(code="not_at_rest", message=message, end=signal.end),)
