"""How two loggers' clocks are joined: by three pushes, a common marker or the shared shaking."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from telemetry.conditioning import ClockLine, clock_line, lowpass, shape_lag_s
from telemetry.measures import SHARES_OF_MM, find_pushes, where_still
from telemetry.model.arrays import Floats
from telemetry.model.day import RunEntry
from telemetry.model.finding import ENDS, End, Finding, Step
from telemetry.model.finding_codes import Severity
from telemetry.model.inertial import Site
from telemetry.model.motion import PushGroup
from telemetry.model.ride import Clocks, Ride
from telemetry.model.stretches import mask_of

WITHIN_S = 0.005
USUAL_DRIFT_PPM, MOST_DRIFT_PPM = 200.0, 1000.0
NO_CLOCK_PPM = 20_000.0  # as far off as a logger that counts its rows instead of timing them: further is another ride
ALIKE_PUSHES, ALIKE_SHAKING = 0.6, 0.3
AROUND_S, MOST_LAG_S, HANDS_S = 0.3, 0.5, 0.1
FINE_HZ, COARSE_HZ = 1000.0, 20.0
SMOOTHED_S = 0.5
LEAST_SHAKING = 0.01  # of full travel a second: less is a bike that stands, or a sensor that is stuck
SLOWEST_HZ = 0.3  # of speed by acceleration: what drifts slower is left out
LEAST_LOST_S, LEAST_LOST_SHARE, MOST_LOST_SHARE = 1.0, 0.01, 0.20
"""Own choices: a crystal is good to 100 ppm (common practice, no source), and 5 ms at 8 m/s are 4 cm of trail."""

NO_LAG = (
    "hands push both ends together to some 0.05 s, too far for ground speed by lag: a marker wired to both loggers, or "
    "a speed sensor, would give it"
)
BEST_FIRST: tuple[Clocks, ...] = ("one", "near", "rough")

Ends: TypeAlias = dict[End, Ride]
Presses: TypeAlias = Mapping[End, Mapping[str, Floats]]
SameStamps: TypeAlias = Literal["own", "counted"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Join:
    """How two clocks were joined, and how well; `within_s` of another clock line it doesn't speak against that."""

    line: ClockLine
    by: str
    clocks: Clocks
    within_s: float = 0.0


def _down(ride: Ride, end: End) -> Floats:
    """Return how fast an end goes down, shares of full travel a second; where only acceleration tells it, by that."""
    if end in ride.ends:
        return ride.ends[end].speed_mm_s / ride.ends[end].full_travel_mm
    site: Site = (end, "chassis") if (end, "chassis") in ride.inertial else (end, "wheel")
    upward = ride.inertial[site].attitude.upward_m_s2
    down = np.empty_like(upward)
    for start, stop in ride.segments:
        speed = -np.cumsum(upward[start:stop] - upward[start:stop].mean()) / ride.rate_hz
        down[start:stop] = speed - lowpass(speed, ride.rate_hz, SLOWEST_HZ)
    return np.asarray(down * 1000 / SHARES_OF_MM)


def _speed(ride: Ride, end: End, start_s: float, stop_s: float, rate_hz: float) -> Floats:
    at_s = np.arange(start_s, stop_s, 1 / rate_hz)
    return np.asarray(np.interp(at_s, ride.time_s, _down(ride, end)), dtype=float)


def _same_moment(rides: Ends, front: PushGroup, rear: PushGroup) -> tuple[float, float] | None:
    """Return one moment of three pushes on both clocks; None where the two ends don't move alike."""
    windows: dict[End, tuple[float, float]] = {}
    groups: dict[End, PushGroup] = {"front": front, "rear": rear}
    for end, group in groups.items():
        time_s = rides[end].time_s
        last = min(group.stop, time_s.shape[0] - 1)
        windows[end] = (float(time_s[group.start]) - AROUND_S, float(time_s[last]) + AROUND_S)
    shapes = {end: _speed(rides[end], end, *windows[end], FINE_HZ) for end in ENDS}
    lag_s, alike = shape_lag_s(shapes["front"], shapes["rear"], FINE_HZ, MOST_LAG_S)
    return (windows["front"][0] + lag_s, windows["rear"][0]) if alike >= ALIKE_PUSHES else None


def _by_pushes(rides: Ends) -> Join | None:
    pushes = {end: find_pushes(ride) for end, ride in rides.items()}
    moments = []
    for which in ("at_start", "at_end"):
        front, rear = (getattr(pushes[end], which) for end in ENDS)
        moment = None if front is None or rear is None else _same_moment(rides, front, rear)
        moments.extend([moment] if moment is not None else [])
    if not moments:
        return None
    line = clock_line([front for front, _ in moments], [rear for _, rear in moments])
    both = len(moments) == 2 and abs(line.drift_ppm) <= MOST_DRIFT_PPM
    where = "at start and end" if len(moments) == 2 else "at one end of the run only, so the drift isn't known"
    return Join(line=line, by=f"the three pushes {where}", clocks="near" if both else "rough", within_s=HANDS_S)


def _by_markers(presses: Presses) -> Join | None:
    for name in presses["front"].keys() & presses["rear"].keys():
        front, rear = presses["front"][name], presses["rear"][name]
        if front.shape[0] == rear.shape[0] >= 2:
            line = clock_line(front.tolist(), rear.tolist())
            sure = line.worst_s <= WITHIN_S and abs(line.drift_ppm) <= MOST_DRIFT_PPM
            words = f"{front.shape[0]} presses of marker {name!r}, within {1000 * line.worst_s:.1f} ms of a line"
            return Join(line=line, by=words, clocks="one" if sure else "rough", within_s=WITHIN_S + line.worst_s)
    return None


def _shaking(ride: Ride, end: End) -> Floats:
    return np.abs(_speed(ride, end, float(ride.time_s[0]), float(ride.time_s[-1]), COARSE_HZ))


def _by_shaking(rides: Ends) -> Join | None:
    """Return the offset at which both ends shake most alike; the rear follows the front, so it is never certain."""
    envelopes = {}
    for end, ride in rides.items():
        shaking = _shaking(ride, end)
        width = round(SMOOTHED_S * COARSE_HZ)
        envelopes[end] = np.convolve(shaking, np.ones(width) / width, "same")
        if shaking.mean() < LEAST_SHAKING:
            return None
    longest = max(len(envelope) for envelope in envelopes.values()) / COARSE_HZ
    lag_s, alike = shape_lag_s(envelopes["front"], envelopes["rear"], COARSE_HZ, longest)
    if alike < ALIKE_SHAKING:
        return None
    offset = float(rides["front"].time_s[0]) + lag_s - float(rides["rear"].time_s[0])
    line = ClockLine(offset_s=offset, rate=1.0, worst_s=0.0)
    return Join(line=line, by=f"how both ends shake (alike to {alike:.2f})", clocks="rough", within_s=MOST_LAG_S)


def _by_stamps(others: Sequence[Join], stamps: SameStamps) -> Join | None:
    """Return that the same stamps in every row are of one clock; None where presses or movement know better.

    Stamps counted evenly from zero are those of any two loggers that ran equally long: there pushes have to agree.
    """
    if any(other.clocks == "one" or abs(other.line.offset_s) > MOST_LAG_S for other in others):
        return None
    if stamps == "counted" and not any(abs(other.line.offset_s) <= HANDS_S for other in others):
        return None
    line = ClockLine(offset_s=0.0, rate=1.0, worst_s=0.0)
    return Join(line=line, by="the stamps, the same in every row of both logs", clocks="one")


def joins_by_data(rides: Ends, presses: Presses) -> list[Join]:
    """Return what markers, pushes and shaking, each by itself, tell of two clocks, as far as they are there."""
    ways: tuple[Callable[[], Join | None], ...] = (
        lambda: _by_markers(presses),
        lambda: _by_pushes(rides),
        lambda: _by_shaking(rides),
    )
    return [join for way in ways if (join := way()) is not None and abs(join.line.drift_ppm) <= NO_CLOCK_PPM]


def find_join(rides: Ends, presses: Presses, same_stamps: SameStamps | None = None) -> Join | None:
    """Return how the rear logger's clock follows from the front's; None where nothing tells it.

    Parameters
    ----------
    rides : dict of end to Ride
        Each log cleaned by itself.
    presses : dict of end to dict of marker to float array
        Seconds at which markers were pressed, on each clock.
    same_stamps : str, optional
        Where both logs have as many rows, each with the same stamp: "own" where no other clock gives these, "counted"
        where they are counted evenly from zero.
    """
    found = joins_by_data(rides, presses)
    if same_stamps is not None and (own := _by_stamps(found, same_stamps)) is not None:
        return own
    return min(found, key=lambda join: BEST_FIRST.index(join.clocks), default=None)


def unmoved(rides: Ends) -> End | None:
    """Return the one end of two that doesn't shake at all, its sensor stuck or unplugged; None where both do or none.

    Parameters
    ----------
    rides : dict of end to Ride
        Each log cleaned by itself.
    """
    still = [end for end, ride in rides.items() if _shaking(ride, end).mean() < LEAST_SHAKING]
    return still[0] if len(still) == 1 else None


def join_words(run: RunEntry, join: Join | None, dead: End | None = None) -> Finding:
    """Return what a run of two loggers is told about their clocks; without its dead end, the other is measured."""
    needed = (
        f"three pushes of both ends at start and end, or a common marker, to {1000 * WITHIN_S:.0f} ms and "
        f"{MOST_DRIFT_PPM:.0f} ppm"
    )
    if dead is not None:
        message = (
            f"{run.name}, {dead}: hardly moves in all of its log, so nothing joins its clock to the other logger's: "
            "the other end is measured by itself; look at its plug and sensor, then ride again"
        )
        return Finding(severity="error", code="loggers_not_joined", message=message, end=dead)
    if join is None:
        message = (
            f"{run.name}: nothing joins the clocks of the two loggers ({needed} are expected), so nothing is measured: "
            "press both ends down three times at start and end"
        )
        return Finding(severity="error", code="loggers_not_joined", message=message)
    told = f"offset {join.line.offset_s:+.3f} s, drift {join.line.drift_ppm:+.0f} ppm, by {join.by}"
    if join.clocks != "rough":
        advice = "nothing to do" if join.clocks == "one" else NO_LAG
        message = f"{run.name}: the rear logger's clock was joined to the front's: {told}; {advice}"
        return Finding(code="loggers_joined", message=message)
    message = (
        f"{run.name}: the clocks of the two loggers are joined roughly only: {told} ({needed} are expected). Each end "
        "is measured; ground speed by lag, flight and front against rear are left out: press both ends down three "
        "times at start and end"
    )
    return Finding(code="loggers_not_joined", message=message)


def drift_words(run: RunEntry, join: Join | None, lasts_s: float) -> tuple[Finding, ...]:
    """Warn where two clocks drift apart by more than two crystals should."""
    if join is None or abs(join.line.drift_ppm) <= USUAL_DRIFT_PPM:
        return ()
    message = (
        f"{run.name}: the two loggers' clocks drift apart by {join.line.drift_ppm:+.0f} ppm, "
        f"{abs(join.line.drift_ppm) * lasts_s / 1e6:.3f} s over the log (limit {USUAL_DRIFT_PPM:.0f} ppm); taken out "
        "as a straight line: look whether one of them gets hot, or counts its rate instead of timing it"
    )
    return (Finding(code="loggers_drift", message=message),)


def overlap_words(run: RunEntry, front: Ride, joined: Ride) -> tuple[Finding, ...]:
    """Say how much of the front's riding the rear's log doesn't cover."""
    since = -np.inf if run.start_s is None else run.start_s
    until = np.inf if run.end_s is None else run.end_s
    moving = ~where_still(front) & (front.time_s >= since) & (front.time_s <= until)
    moving &= mask_of(front.segments, front.time_s.shape[0])
    shared = np.zeros(moving.shape[0], dtype=bool)
    for start, stop in joined.segments:
        shared |= (front.time_s >= joined.time_s[start]) & (front.time_s <= joined.time_s[stop - 1])
    moved_s, lost_s = (float(np.count_nonzero(mask)) / front.rate_hz for mask in (moving, moving & ~shared))
    if lost_s <= max(LEAST_LOST_S, LEAST_LOST_SHARE * moved_s):
        return ()
    first_s = float(front.time_s[int(np.argmax(moving & ~shared))])
    severity: Severity = "error" if lost_s > MOST_LOST_SHARE * moved_s else "warning"
    left = "only the front is measured" if severity == "error" else "only what both logs cover is measured"
    message = (
        f"{run.name}: the rear's log lacks {lost_s:.1f} s of {moved_s:.1f} s in which the front moves "
        f"({100 * lost_s / moved_s:.0f} %, error above {100 * MOST_LOST_SHARE:.0f} %), from {first_s:.2f} s on: "
        f"{left}. Is it the right log, and whole? Else state start_s and end_s, or ride again"
    )
    return (Finding(severity=severity, code="loggers_overlap", message=message, end="rear", second=first_s),)


def join_step(join: Join) -> Step:
    """Return the step that stands in the run's history."""
    return Step(
        stage="joining",
        words=f"two loggers on the front's clock: offset {join.line.offset_s:+.3f} s, drift "
        f"{join.line.drift_ppm:+.0f} ppm, by {join.by}",
        parameters={
            "offset_s": join.line.offset_s,
            "drift_ppm": join.line.drift_ppm,
            "by": join.by,
            "clocks": join.clocks,
        },
    )
