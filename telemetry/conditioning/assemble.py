"""A whole ride from its log: every measured end, ground speed and flight signal on one even clock."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from telemetry.model.arrays import read_only
from telemetry.model.finding import End, Finding, Step, errors_by_end
from telemetry.model.log import Log
from telemetry.model.ride import CleanedEnd, Clocks, GroundSpeed, Ride

from . import inertial
from .end import EndCleaner, EndRecipe
from .ground import (
    MOST_LACKING_SHARE,
    GroundSensor,
    believable_speed,
    ground_speed,
    lacking,
    lacking_share,
)
from .own_clock import on_ride_clock
from .resampling import EvenClock

if TYPE_CHECKING:
    from .inertial import CleanedInertial, InertialRecipe

__all__ = ["RideRecipe", "clean_ride"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RideRecipe:
    """What is needed to clean one log.

    Attributes
    ----------
    name : str
        The run's name or the recording's file name, for messages.
    cutoff_hz : float
        Low-pass, the same for every run of the day; a slower log uses 0.4 x its own rate.
    start_s, end_s : float or None
        Bounds of the ride in the log's seconds; None: the log's own.
    clocks : {"one", "near", "rough"}
        How well front and rear share a clock.
    """

    name: str
    setup: str | None
    ends: tuple[EndRecipe, ...]
    cutoff_hz: float
    ground: GroundSensor | None = None
    inertial: tuple[InertialRecipe, ...] = ()
    start_s: float | None = None
    end_s: float | None = None
    clocks: Clocks = "one"


def clean_ride(log: Log, recipe: RideRecipe) -> tuple[Ride, tuple[CleanedEnd, ...]]:
    """Clean one log into a ride.

    Parameters
    ----------
    log : Log
        With a column for each sensor of the recipe and at least one segment.
    recipe : RideRecipe

    Returns
    -------
    Ride, tuple of CleanedEnd
        The history holds the log's first, then what cleaning added; findings tell what was left out. The ends of the
        recipe are there to be judged.

    Raises
    ------
    ValueError
        If the log has no gap-free stretch long enough.
    """
    if not log.segments:
        raise ValueError("no gap-free stretch of 0.25 s and 16 rows")
    clock = EvenClock(log)
    done = tuple(_end(item, log, clock, recipe.cutoff_hz) for item in recipe.ends if not _is_lost(item, log))
    speed, odd_speed = _ground(log, recipe, clock)
    felt = _felt(log, recipe, clock, speed) if recipe.inertial else ()
    signals = {item.signal.site: item.signal for item in felt if item.signal is not None}
    resampled = () if log.even else (_resampled(log.rate_hz),)
    ride = Ride(
        name=recipe.name,
        setup=recipe.setup,
        time_s=read_only(clock.time_s),
        rate_hz=log.rate_hz,
        segments=clock.segments,
        ends=MappingProxyType({item.signal.end: item.signal for item in done}),
        start_s=float(clock.time_s[0]) if recipe.start_s is None else recipe.start_s,
        end_s=float(clock.time_s[-1]) if recipe.end_s is None else recipe.end_s,
        start_from="log" if recipe.start_s is None else "stated",
        end_from="log" if recipe.end_s is None else "stated",
        ground_speed=speed,
        findings=(*odd_speed, *_told(felt, {item.signal.end for item in done} | {end for end, _ in signals})),
        history=(*log.history, *resampled, *_steps(done), *_steps(felt)),
        clocks=recipe.clocks,
        inertial=MappingProxyType(signals),
    )
    return ride, done


def _ground(log: Log, recipe: RideRecipe, clock: EvenClock) -> tuple[GroundSpeed | None, Sequence[Finding]]:
    """Return ground speed where a sensor gives it that can be believed; else None and why."""
    if recipe.ground is None:
        return None, ()
    share = lacking_share(log, recipe.ground, clock.time_s)
    if share > MOST_LACKING_SHARE:
        return None, (lacking(recipe.name, share),)
    speed = ground_speed(recipe.ground, lambda name: clock.values(log.columns[name]), log.rate_hz, clock.segments)
    return believable_speed(recipe.name, speed, log.rate_hz)


def _is_lost(recipe: EndRecipe, log: Log) -> bool:
    """Tell whether an end was logged at a clock of its own, and that log is in error."""
    own = log.own.get(recipe.sensor.column)
    return own is not None and bool(errors_by_end(own.findings))


def _end(recipe: EndRecipe, log: Log, clock: EvenClock, cutoff_hz: float) -> CleanedEnd:
    """Return a cleaned end; one that was logged at a clock of its own is cleaned there."""
    apart = log.own.get(recipe.sensor.column)
    if apart is None:
        return _cleaned(recipe, log, clock, cutoff_hz)
    return on_ride_clock(_cleaned(recipe, apart, EvenClock(apart), cutoff_hz), clock.time_s)


def _cleaned(recipe: EndRecipe, log: Log, clock: EvenClock, cutoff_hz: float) -> CleanedEnd:
    return EndCleaner(recipe, clock, min(cutoff_hz, 0.4 * log.rate_hz)).clean(log.columns[recipe.sensor.column])


def _felt(log: Log, recipe: RideRecipe, clock: EvenClock, speed: GroundSpeed | None) -> tuple[CleanedInertial, ...]:
    logged_ride = inertial.LoggedRide(
        name=recipe.name,
        rate_hz=log.rate_hz,
        segments=clock.segments,
        column=lambda name: clock.values(log.columns[name]),
    )
    return inertial.clean_inertial(logged_ride, recipe.inertial, None if speed is None else speed.speed_m_s)


def _steps(cleaned: tuple[CleanedEnd, ...] | tuple[CleanedInertial, ...]) -> Iterator[Step]:
    return (step for item in cleaned for step in item.history)


def _told(felt: tuple[CleanedInertial, ...], measured: Collection[End]) -> Iterator[Finding]:
    """Yield what inertial sensors are told; where one was the last that measured an end, that end is lost."""
    for item in felt:
        yield from item.findings
        if item.out is not None:
            yield item.out if item.sensor.end in measured else replace(item.out, severity="error")


def _resampled(rate_hz: float) -> Step:
    words = f"uneven clock: linearly interpolated to {rate_hz:.3f} rows a second"
    return Step(stage="resampling", words=words, parameters={"rate_hz": rate_hz})
