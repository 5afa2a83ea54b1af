"""Where a ride starts and ends: as stated, else by three pushes, else the whole log."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from telemetry.model.arrays import Bools
from telemetry.model.finding import Step
from telemetry.model.motion import Pushes, PushGroup
from telemetry.model.ride import BoundFrom, Ride
from telemetry.model.stretches import mask_of

from .inertial.pushed import PushedChassis
from .push_groups import Pushed, PushedEnd, find_push_groups
from .riding import find_lifted, where_still

TOGETHER_S = 3.0
"""Groups with less movement between them mark one place: pushed twice, or the same place again. Own choice."""
BOUND_WORDS: dict[BoundFrom, str] = {"stated": "as stated", "pushes": "by three pushes", "log": "the log's own"}


def _moving(ride: Ride) -> Bools:
    """Tell where any end moves, the bike carried left out."""
    return np.asarray(~where_still(ride) & ~mask_of(find_lifted(ride), ride.time_s.shape[0]))


def start_and_end(
    groups: tuple[PushGroup, ...], moving: Bools, rate_hz: float
) -> tuple[PushGroup | None, PushGroup | None]:
    """Return the group that marks the start and the one that marks the end.

    Parameters
    ----------
    groups : tuple of PushGroup
        In time order.
    moving : bool array, shape (n,)
        Where the bike moves; what a group itself moves counts for nothing.
    rate_hz : float

    Returns
    -------
    at_start, at_end : PushGroup or None

    Notes
    -----
    Groups with under 3 s of movement between them stand at one place. The first place is the start and the last one
    the end, of each the group next to the riding between them. With one place only it is the start where at least as
    much movement follows as precedes, else the end.
    """
    if not groups:
        return None, None
    moved = np.concatenate([[0], np.cumsum(moving)])
    places: list[list[PushGroup]] = [[groups[0]]]
    for group in groups[1:]:
        apart = int(moved[group.start] - moved[places[-1][-1].stop])
        if apart < TOGETHER_S * rate_hz:
            places[-1].append(group)
        else:
            places.append([group])
    if len(places) > 1:
        return places[0][-1], places[-1][0]
    only = places[0]
    before, after = int(moved[only[0].start]), int(moved[-1] - moved[only[-1].stop])
    return (only[-1], None) if after >= before else (None, only[0])


def _pushed_chassis(ride: Ride) -> list[PushedChassis]:
    """Return the chassis as what is pushed; nothing where no inertial sensor sits on it."""
    signals = [signal for signal in ride.inertial.values() if signal.on == "chassis"]
    return [PushedChassis(signals=tuple(signals), still=where_still(ride), rate_hz=ride.rate_hz)] if signals else []


def find_pushes(ride: Ride) -> Pushes:
    """Return the three pushes of a ride, and which mark its start and end.

    Parameters
    ----------
    ride : Ride

    Returns
    -------
    Pushes

    Notes
    -----
    Where no end's travel is measured the chassis' way down is taken, from its acceleration between two standstills.
    """
    ends = [
        PushedEnd(end=end, travel_mm=signal.travel_mm, still=signal.still, full_travel_mm=signal.full_travel_mm)
        for end, signal in ride.ends.items()
    ]
    pushed: Sequence[Pushed] = ends or _pushed_chassis(ride)
    if not pushed:
        return Pushes()
    groups, lone = find_push_groups(pushed, ride.rate_hz, ride.segments)
    if not groups:
        turned = [replace(end, travel_mm=-end.travel_mm) for end in ends] if not lone else []
        return Pushes(lone=lone, upside_down=find_push_groups(turned, ride.rate_hz, ride.segments)[0] if turned else ())
    at_start, at_end = start_and_end(groups, _moving(ride), ride.rate_hz)
    return Pushes(groups=groups, lone=lone, at_start=at_start, at_end=at_end)


def with_bounds(ride: Ride, pushes: Pushes) -> Ride:
    """Return a ride whose start and end, where they aren't stated, are those of its pushes; its history says so.

    Parameters
    ----------
    ride : Ride
    pushes : Pushes
        Its own.

    Notes
    -----
    Start is the end of the last return, end the sample in which the first hit begins. Pushes beyond a stated bound,
    on its wrong side, mark nothing.
    """
    start_s, end_s = ride.start_s, ride.end_s
    start_from, end_from = ride.start_from, ride.end_from
    if start_from == "log" and pushes.at_start is not None:
        found_s = float(ride.time_s[pushes.at_start.stop])
        if end_from == "log" or found_s < end_s:
            start_s, start_from = found_s, "pushes"
    if end_from == "log" and pushes.at_end is not None:
        found_s = float(ride.time_s[pushes.at_end.start])
        if found_s > start_s:
            end_s, end_from = found_s, "pushes"
    step = Step(
        stage="bounds",
        words=f"start {start_s:.2f} s, {BOUND_WORDS[start_from]}; end {end_s:.2f} s, {BOUND_WORDS[end_from]}",
        parameters={"start_s": start_s, "start_from": start_from, "end_s": end_s, "end_from": end_from},
    )
    return replace(
        ride,
        start_s=start_s,
        end_s=end_s,
        start_from=start_from,
        end_from=end_from,
        history=(*ride.history, step),
    )
