"""The measures that are taken over phases: how far an end moves a g of braking, with each turn of the cranks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Literal, TypeAlias

from telemetry.measures.missing import Missing, Outcome
from telemetry.measures.view import RunMotion
from telemetry.model.finding import End, Place
from telemetry.model.ride import Ride

from .airborne import chassis_signals
from .along import Along
from .crank_movement import movement_a_turn
from .found import FoundPhases
from .per_g import PerG, Pulled, per_g, pull_of
from .turning import heavier

Pull: TypeAlias = Literal["braking", "accelerating"]
NEITHER = "no inertial sensor on the chassis and no ground-speed sensor: neither braking nor pedalling can be told"
NO_SPEED = "no ground-speed sensor: by acceleration alone the bike's pitching in dips passes for drive"

TRAVEL_PER_G: Mapping[str, tuple[End, Pull]] = MappingProxyType(
    {"dive_per_g": ("front", "braking"), "squat_per_g": ("rear", "accelerating")}
)
A_TURN: Mapping[str, End] = MappingProxyType({"pedal_movement": "rear"})
Told: TypeAlias = tuple[str, Place, Outcome]


def phase_measures(run: RunMotion, found: FoundPhases | None) -> Iterator[Told]:
    """Yield every measure that is taken over phases: its name, its end, its value or why there is none.

    Parameters
    ----------
    run : RunMotion
    found : FoundPhases or None
        None where no sensor tells phases.
    """
    for name, (end, pull) in TRAVEL_PER_G.items():
        yield from _with_error(name, end, _travel_per_g(run, found, end, pull))
    for name, end in A_TURN.items():
        yield name, end, _moved_a_turn(run, found, end)


def _with_error(name: str, place: Place, outcome: PerG | Missing) -> Iterator[Told]:
    if isinstance(outcome, Missing):
        yield name, place, outcome
        yield f"{name}_error", place, outcome
    else:
        yield name, place, outcome.value
        yield f"{name}_error", place, outcome.spread


def _pulled(ride: Ride, found: FoundPhases | None, pull: Pull) -> tuple[Pulled, Along] | Missing:
    """Return the acceleration that movement is laid against, on the slow clock."""
    if found is None:
        return Missing(NEITHER)
    if isinstance(found.along, Missing):
        return found.along
    if pull == "accelerating" and ride.ground_speed is None:
        return Missing(NO_SPEED)
    pulled = Pulled(
        clock=found.clock,
        pull_g=pull_of(found.along.forward_m_s2, losing=pull == "braking"),
        stretches=found.slow[pull],
        ground=found.ground,
        what=pull,
        heavier=heavier(found.clock, chassis_signals(ride), found.along.cutoff_hz),
    )
    return pulled, found.along


def _travel_per_g(run: RunMotion, found: FoundPhases | None, end: End, pull: Pull) -> PerG | Missing:
    signal = run.ride.ends.get(end)
    if signal is None:
        return run.lacks(end)
    against = _pulled(run.ride, found, pull)
    if isinstance(against, Missing):
        return against
    pulled, along = against
    share = pulled.clock.means(signal.travel_mm) * (100.0 / signal.full_travel_mm)
    return per_g(pulled, pulled.clock.lowpassed(share, along.cutoff_hz))


def _moved_a_turn(run: RunMotion, found: FoundPhases | None, end: End) -> Outcome:
    signal = run.ride.ends.get(end)
    if signal is None:
        return run.lacks(end)
    if found is None:
        return Missing(NEITHER)
    if isinstance(found.pedalled, Missing):
        return found.pedalled
    return movement_a_turn(found.pedalled, found.clock, found.clock.means(signal.travel_mm))
