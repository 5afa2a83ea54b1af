"""The phases of one ride, each by what its sensors tell, or absent with the reason."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TypeAlias

import numpy as np

from telemetry.measures.missing import Missing
from telemetry.measures.view import RunMotion
from telemetry.model.arrays import Bools
from telemetry.model.inertial import InertialSignal
from telemetry.model.motion import Stretch
from telemetry.model.phase import Confidence, Landing, Phase, PhaseName, Phases
from telemetry.model.ride import Ride
from telemetry.model.stretches import mask_of, stretches

from .airborne import chassis_signals
from .along import Along, accelerated, braked, forward_acceleration
from .landing import SETTLED_CUTOFF_HZ, found_landings
from .pedalling import Pedalled, pedalled
from .slow import SlowClock
from .turning import Turning, turned

BY_LEGS = "both legs extended: seen late, short flights not at all"
NOT_PEDALLED = "pedalling can't be told from it"
Finder: TypeAlias = Callable[[Along, Bools], tuple[Stretch, ...]]


def tells_phases(ride: Ride) -> bool:
    """Tell whether a ride has a sensor that tells phases: of acceleration on the chassis, or of ground speed."""
    return bool(chassis_signals(ride)) or ride.ground_speed is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPhases:
    """The phases of one ride, and the slow signals they were found on, for what is measured within them.

    Attributes
    ----------
    phases : Phases
    along : Along or Missing
    pedalled : Pedalled or Missing
    slow : mapping of "braking", "accelerating" to stretches
        In blocks of the slow clock.
    clock : SlowClock
    ground : bool array, shape (blocks,)
        Ridden on the ground, landings settled.
    """

    phases: Phases
    along: Along | Missing
    pedalled: Pedalled | Missing
    slow: Mapping[PhaseName, tuple[Stretch, ...]]
    clock: SlowClock
    ground: Bools


def find_phases(run: RunMotion) -> FoundPhases:
    """Return the phases of one ride.

    Parameters
    ----------
    run : RunMotion

    Notes
    -----
    Braking, accelerating, turning and pedalling are riding time on the ground, after a landing has settled. Turns may
    be braked or pedalled; coasting is what is ridden in none of the others but turns.
    """
    finding = _Finding(run)
    finding.airborne()
    finding.landing()
    ground = finding.on_the_ground()
    along, pedalled = finding.along(ground), finding.pedalling(ground)
    finding.turning(ground)
    finding.coasting()
    found = Phases(
        found=MappingProxyType(finding.found), absent=MappingProxyType(finding.absent), landings=finding.landings
    )
    return FoundPhases(
        phases=found,
        along=along,
        pedalled=pedalled,
        slow=MappingProxyType(finding.slow),
        clock=finding.clock,
        ground=ground,
    )


class _Finding:
    """The phases found so far; each may stand on those before it."""

    def __init__(self, run: RunMotion) -> None:
        self.run, self.ride, self.time = run, run.ride, run.time
        self.found: dict[PhaseName, Phase] = {}
        self.absent: dict[PhaseName, str] = {}
        self.slow: dict[PhaseName, tuple[Stretch, ...]] = {}
        self.landings: tuple[Landing, ...] = ()
        self.signals: tuple[InertialSignal, ...] = chassis_signals(run.ride)
        self.clock = SlowClock(self.ride.rate_hz, self.ride.segments)

    def _add(self, name: PhaseName, found: tuple[Stretch, ...], confidence: Confidence, told_by: str) -> None:
        self.found[name] = Phase(name=name, stretches=found, confidence=confidence, told_by=told_by)

    def _mask(self, *names: PhaseName) -> Bools:
        parts = [item for name in names if name in self.found for item in self.found[name].stretches]
        return mask_of(tuple(parts), self.time.riding.shape[0])

    def on_the_ground(self) -> Bools:
        """Return the blocks of riding time that are neither flown nor a landing."""
        return self.clock.throughout(self.time.riding & ~self._mask("airborne", "landing"))

    def airborne(self) -> None:
        if self.time.airborne is None:
            self.absent["airborne"] = self.time.why_no_flight
            return
        told_by = "free fall of the chassis" if self.signals else BY_LEGS
        flown = stretches(self.time.airborne, self.ride.segments)
        self._add("airborne", flown, "high" if self.signals else "low", told_by)

    def landing(self) -> None:
        if not self.signals or self.time.airborne is None:
            self.absent["landing"] = "no inertial sensor on the chassis: what a landing does isn't felt"
            return
        upward = np.mean([signal.attitude.upward_m_s2 for signal in self.signals], axis=0)
        slow = self.clock.over_samples(
            self.clock.lowpassed(self.clock.means(upward), SETTLED_CUTOFF_HZ), upward.shape[0]
        )
        self.landings = found_landings(upward, slow, self._touched(), self.ride.rate_hz)
        where = " and ".join(signal.end for signal in self.signals)
        told_by = f"acceleration of the {where} chassis after each flight"
        self._add("landing", tuple((item.start, item.stop) for item in self.landings), "high", told_by)

    def _touched(self) -> tuple[Stretch, ...]:
        """Return each touch-down with the sample before which its landing ends."""
        flights = self.time.flights
        ridden = stretches(self.time.riding, self.ride.segments)
        touched: list[Stretch] = []
        for number, (_, touch) in enumerate(flights):
            inside = [stop for start, stop in ridden if start <= touch < stop]
            later = flights[number + 1][0] if number + 1 < len(flights) else touch + self.time.riding.shape[0]
            touched.extend((touch, min(stop, later)) for stop in inside)
        return tuple(touched)

    def along(self, ground: Bools) -> Along | Missing:
        along = forward_acceleration(self.ride)
        if isinstance(along, Missing):
            self.absent |= {"braking": along.reason, "accelerating": along.reason}
            return along
        finders: Mapping[PhaseName, Finder] = {"braking": braked, "accelerating": accelerated}
        for name, finder in finders.items():
            self.slow[name] = finder(along, ground)
            self._add(name, self.clock.in_samples(self.slow[name]), along.confidence, along.told_by)
        return along

    def turning(self, ground: Bools) -> None:
        self._add_slow("turning", turned(self.clock, self.signals, ground))

    def pedalling(self, ground: Bools) -> Pedalled | Missing:
        rear = self.ride.ends.get("rear")
        rear_mm = None if rear is None else self.clock.means(rear.travel_mm)
        found = pedalled(self.clock, self.signals, rear_mm, ground)
        self._add_slow("pedalling", found)
        return found

    def _add_slow(self, name: PhaseName, found: Turning | Pedalled | Missing) -> None:
        if isinstance(found, Missing):
            self.absent[name] = found.reason
        else:
            self._add(name, self.clock.in_samples(found.stretches), found.confidence, found.told_by)

    def coasting(self) -> None:
        if "braking" not in self.found:
            self.absent["coasting"] = self.absent["braking"]
            return
        others = self._mask("airborne", "landing", "braking", "accelerating", "pedalling")
        found = stretches(self.time.riding & ~others, self.ride.segments)
        sure = self.found["braking"].confidence == "high" and "pedalling" in self.found
        told_by = "neither braked, accelerated, pedalled nor flown"
        if "pedalling" not in self.found:
            told_by = f"neither braked, accelerated nor flown; {NOT_PEDALLED}"
        self._add("coasting", found, "high" if sure else "low", told_by)
