"""How fast the bike gains and loses speed: what braking and accelerating are told by."""

from __future__ import annotations

from dataclasses import dataclass

from telemetry.measures.missing import Missing
from telemetry.model.arrays import Bools, Floats
from telemetry.model.motion import Stretch
from telemetry.model.phase import Confidence
from telemetry.model.ride import GroundSpeed, Ride
from telemetry.model.stretches import lasting

from .airborne import chassis_signals
from .slow import SlowClock

ALONG_M_S2 = 1.0
ALONG_S = 0.5
SMOOTHED_HZ = 1.5
COUNTED_HZ = 0.5
SURE_WITHIN_DEG = 2.0
WIDEST_WITHIN_DEG = 5.0
"""Own choices: a tenth of g, as a light hand on the lever gives; pitch that is off by 5.8 deg reads as much."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Along:
    """Forward acceleration on a slow clock.

    Attributes
    ----------
    clock : SlowClock
    forward_m_s2 : float array, shape (blocks,)
        Positive where the bike gains speed.
    cutoff_hz : float
        Of the low-pass it went through: what is laid against it goes through the same.
    told_by : str
    """

    clock: SlowClock
    forward_m_s2: Floats
    cutoff_hz: float
    confidence: Confidence
    told_by: str


def _by_speed(clock: SlowClock, ground: GroundSpeed) -> Along:
    """Return forward acceleration as the slope of a speed sensor's speed; sensors that count are smoothed longer."""
    counted = ground.source != "ground_speed"
    cutoff_hz = COUNTED_HZ if counted else SMOOTHED_HZ
    slow = clock.slope(clock.lowpassed(clock.means(ground.speed_m_s), cutoff_hz))
    told_by = "slope of ground speed" + (", which counts: smoothed over 2 s" if counted else "")
    confidence: Confidence = "low" if counted else "high"
    return Along(clock=clock, forward_m_s2=slow, cutoff_hz=cutoff_hz, confidence=confidence, told_by=told_by)


def forward_acceleration(ride: Ride) -> Along | Missing:
    """Return a ride's forward acceleration: by ground speed, else by a chassis sensor whose attitude is known.

    Parameters
    ----------
    ride : Ride
    """
    clock = SlowClock(ride.rate_hz, ride.segments)
    if ride.ground_speed is not None:
        return _by_speed(clock, ride.ground_speed)
    signals = chassis_signals(ride)
    if not signals:
        return Missing("no ground-speed sensor and no inertial sensor on the chassis")
    headed = [signal for signal in signals if signal.mounting.heading_known]
    if not headed:
        return Missing("which way the chassis sensor points isn't known: record a still stretch and a straight coast")
    turning = [signal for signal in headed if signal.rotation_rad_s is not None]
    if not turning:
        return Missing("no ground-speed sensor, and a chassis sensor without rotation can't tell braking from a slope")
    best = min(turning, key=lambda signal: signal.attitude.within_deg)
    within = best.attitude.within_deg
    if not within <= WIDEST_WITHIN_DEG:
        return Missing(f"pitch is known within {within:.1f} deg only (limit {WIDEST_WITHIN_DEG:g} deg)")
    forward = clock.lowpassed(clock.means(best.attitude.forward_m_s2), SMOOTHED_HZ)
    sure = within <= SURE_WITHIN_DEG
    told_by = f"forward acceleration of the {best.end} chassis, pitch within {within:.1f} deg"
    confidence: Confidence = "high" if sure else "low"
    return Along(clock=clock, forward_m_s2=forward, cutoff_hz=SMOOTHED_HZ, confidence=confidence, told_by=told_by)


def braked(along: Along, counts: Bools) -> tuple[Stretch, ...]:
    """Return the blocks in which at least 1 m/s2 is lost for 0.5 s or more; `counts` tells what may be braked."""
    return _beyond(along, -along.forward_m_s2, counts)


def accelerated(along: Along, counts: Bools) -> tuple[Stretch, ...]:
    """Return the blocks in which at least 1 m/s2 is gained for 0.5 s or more."""
    return _beyond(along, along.forward_m_s2, counts)


def _beyond(along: Along, m_s2: Floats, counts: Bools) -> tuple[Stretch, ...]:
    found = along.clock.stretches((m_s2 >= ALONG_M_S2) & counts)
    return lasting(found, along.clock.rate_hz, ALONG_S)
