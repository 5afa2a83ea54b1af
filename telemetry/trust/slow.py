"""Which logs are slow, and what they can still tell."""

from __future__ import annotations

from collections.abc import Sequence

from telemetry.model.finding import End, Finding
from telemetry.model.ride import CleanedEnd, Ride

SLOW_RATE_HZ = 200.0
DEEP_RATE_HZ = 100.0
"""Below this a deepest point between two rows is missed by over 2 % of travel, its smallest change: at the 30 g by
which a bumper turns a wheel 3.7 mm, half-way between rows of 10 ms. Own choice."""


def is_slow(rate_hz: float) -> bool:
    """Tell whether a log is slow; a clock a little off 200 Hz doesn't make it so."""
    return rate_hz < SLOW_RATE_HZ * 0.995


def slow_rate(ride: Ride, ends: Sequence[CleanedEnd] = ()) -> tuple[Finding, ...]:
    """Return what a run or recording is told that was logged slowly; of ends at a rate of their own, each by itself."""
    if is_slow(ride.rate_hz):
        return (_slow(ride.name, ride.rate_hz, None, travel=bool(ride.ends)),)
    return tuple(
        _slow(f"{ride.name}, {end.signal.end}", end.rate_hz, end.signal.end, travel=True)
        for end in ends
        if is_slow(end.rate_hz)
    )


def _slow(name: str, rate_hz: float, end: End | None, *, travel: bool) -> Finding:
    seen = "fast shaking isn't seen, hard knocks read low"
    if travel:
        deep = rate_hz < DEEP_RATE_HZ * 0.995
        lost = (
            "deepest points and bottom-outs can't, for some fall between rows" if deep else "what one row shows can't"
        )
        seen = f"sag and how travel is spread can be trusted, {lost}, and speeds read low"
    message = f"{name}: {rate_hz:.0f} rows a second (limit {SLOW_RATE_HZ:.0f}); {seen}: log faster"
    return Finding(code="slow_rate", message=message, end=end)
