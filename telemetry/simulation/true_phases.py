"""What a run truly was, stretch by stretch: braking, driving, turning, pedalling, coasting, in the air, landing."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from telemetry.dynamics.car import GRAVITY_M_S2, Bike
from telemetry.dynamics.half_car import Motion, ride
from telemetry.model.arrays import Bools
from telemetry.model.motion import Stretch
from telemetry.model.stretches import lasting, mask_of, stretches

from .path import Path, straight
from .truth import FLIGHT_S, TrueRun

ALONG_M_S2, YAW_RAD_S, LEAN_RAD, LASTING_S = 1.0, 0.3, 0.05, 0.5
"""As the phases of the measures are told."""
LANDING_S = 0.3
"""From touch-down on; own choice."""
STEADY_G, STEADY_M_S, STEADY_S, STEADY_RATE_HZ = 0.2, 8.0, 5.0, 4000.0
"""How the bike is braked and driven for its dive and squat; own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TruePhases:
    """One run's phases, in steps of its motion.

    Attributes
    ----------
    rate_hz : float
    stretches : dict of phase to stretches
        ``braking``, ``accelerating``, ``turning``, ``pedalling``, ``coasting``, ``airborne``, ``landing``.
    landings_n : list of float
        What both tyres together push with at most within each landing.
    """

    rate_hz: float
    stretches: dict[str, tuple[Stretch, ...]]
    landings_n: list[float]

    def mask(self, phase: str, count: int) -> Bools:
        """Return where a phase is, over so many steps."""
        return mask_of(self.stretches[phase], count)

    def to_dict(self) -> dict[str, object]:
        """Return the phases as they stand in ``truth.json``, in seconds from the trail's beginning."""
        return {
            "phases": {
                name: [[start / self.rate_hz, stop / self.rate_hz] for start, stop in found]
                for name, found in self.stretches.items()
            },
            "landing_peak_n": self.landings_n,
        }


def true_phases(motion: Motion, path: Path) -> TruePhases:
    """Return the phases of one run.

    Parameters
    ----------
    motion : Motion
    path : Path

    Notes
    -----
    Airborne: both tyres off the ground for 0.1 to 3 s; a landing is the 0.3 s after it. Braking and accelerating: speed
    that changes by 1 m/s² or more for 0.5 s, not in the air. Turning: 0.3 rad/s and 0.05 rad of lean for 0.5 s.
    Pedalling: where legs push. Coasting: none of all that.
    """
    rate, count = motion.rate_hz, motion.front_m.shape[0]
    off = (motion.front_tyre_n <= 0) & (motion.rear_tyre_n <= 0)
    airborne = lasting(stretches(off), rate, *FLIGHT_S)
    landing = tuple((stop, min(stop + round(LANDING_S * rate), count)) for _, stop in airborne if stop < count)
    flown = mask_of(airborne, count)
    turning = (np.abs(path.yaw_rad_s) >= YAW_RAD_S) & (np.abs(path.roll_rad) >= LEAN_RAD)
    found = {
        "braking": lasting(stretches((path.forward_m_s2 <= -ALONG_M_S2) & ~flown), rate, LASTING_S),
        "accelerating": lasting(stretches((path.forward_m_s2 >= ALONG_M_S2) & ~flown), rate, LASTING_S),
        "turning": lasting(stretches(turning), rate, LASTING_S),
        "pedalling": stretches(path.pedalled & ~flown),
        "airborne": airborne,
        "landing": landing,
    }
    busy = np.any([mask_of(own, count) for own in found.values()], axis=0)
    found["coasting"] = lasting(stretches(~busy), rate, LASTING_S)
    pushed = motion.front_tyre_n + motion.rear_tyre_n
    return TruePhases(
        rate_hz=rate, stretches=found, landings_n=[float(pushed[start:stop].max()) for start, stop in landing]
    )


def with_load_transfer(truth: TrueRun, bike: Bike, full_m: tuple[float, float]) -> TrueRun:
    """Return a run's truth with how far the front dives a g of braking and the rear squats a g of drive.

    Parameters
    ----------
    truth : TrueRun
    bike : Bike
    full_m : (front, rear)

    Returns
    -------
    TrueRun
        With ``dive_per_g`` and ``squat_per_g``, % of full travel.

    Notes
    -----
    What the ends do on smooth level ground where the bike is braked, or driven, by a fifth of g until it has settled,
    times five: springs bend, so at another force it is another figure.
    """
    steps = round(STEADY_S * STEADY_RATE_HZ)
    ends = {end: dict(table) for end, table in truth.ends.items()}
    for end, name, place, sign in (("front", "dive_per_g", 0, -1.0), ("rear", "squat_per_g", 1, 1.0)):
        path = straight(np.full(steps, STEADY_M_S), np.full(steps, sign * STEADY_G * GRAVITY_M_S2))
        motion = ride(bike, np.zeros((steps, 2)), STEADY_RATE_HZ, given=path.given(bike))
        travel_m = motion.front_m if end == "front" else motion.rear_m
        ends[end][name] = float(100 * (travel_m[-1] - travel_m[0]) / full_m[place] / STEADY_G)
    return replace(truth, ends=ends)
