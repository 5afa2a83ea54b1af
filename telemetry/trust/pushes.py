"""What three pushes told: where the run starts and ends, and whether both channels live the right way round."""

from __future__ import annotations

from telemetry.model.finding import Finding
from telemetry.model.motion import LonePushes, Pushes, PushGroup
from telemetry.model.ride import BoundFrom, Ride

LEAST_PCT = 10
LEAST_MM = 15
PUSH_AGAIN = "stand still for 1 s, press both ends three times within 3 s, stand still again, before and after the run"


def _seconds(ride: Ride, group: PushGroup) -> str:
    return f"{float(ride.time_s[group.start]):.2f} to {float(ride.time_s[group.stop]):.2f} s"


def _bound(name: str, group: PushGroup | None, second: float, origin: BoundFrom) -> str:
    """Return in words where a ride starts or ends and what says so."""
    if origin == "stated":
        return f"{name} stays at {second:.2f} s, as stated"
    if origin == "pushes":
        return f"{name} is {second:.2f} s"
    return f"{name} isn't marked by any" if group is None else f"{name} isn't theirs: they lie beyond the other bound"


def _what_moves(ride: Ride) -> tuple[str, str]:
    """Return in words what counted as a push, and what the pushes prove."""
    if not ride.ends:
        return f"the chassis goes down by {LEAST_MM} mm or more, by its acceleration", "the chassis' sensor lives"
    hits = f"hits of at least {LEAST_PCT} % of travel"
    return hits, "both ends live and move alike" if len(ride.ends) > 1 else "the one measured end lives"


def _found(ride: Ride, pushes: Pushes) -> Finding:
    where = " and at ".join(_seconds(ride, group) for group in pushes.groups)
    bounds = "; ".join(
        (
            _bound("the start", pushes.at_start, ride.start_s, ride.start_from),
            _bound("the end", pushes.at_end, ride.end_s, ride.end_from),
        )
    )
    lacking = "log" in (ride.start_from, ride.end_from)
    to_do = f"next time {PUSH_AGAIN}" if lacking else "nothing to do"
    told, lives = _what_moves(ride)
    message = f"{ride.name}: three pushes ({told}) at {where}: {bounds}; {lives}; {to_do}"
    second = float(ride.time_s[pushes.groups[0].start])
    return Finding(code="pushes", message=message, second=second)


def _one_end(ride: Ride, lone: LonePushes) -> Finding:
    moved = f"the {lone.other} moves by {100 * lone.other_share:.1f} % of travel"
    if lone.opposite:
        what = f"{moved} the other way: it reads upside down; check the readings of its calibration `points`"
    else:
        what = (
            f"{moved} (at least {LEAST_PCT} % expected): was that end pressed at all? Check its plug, rod and lever, "
            "and that `column` is its own"
        )
    message = f"{ride.name}, {lone.other}: three pushes at the {lone.end} at {_seconds(ride, lone.at)}, but {what}"
    second = float(ride.time_s[lone.at.start])
    return Finding(code="pushes_one_end", message=message, end=lone.other, second=second)


def _upside_down(ride: Ride, group: PushGroup) -> Finding:
    which = "both ends move" if len(ride.ends) > 1 else "the one measured end moves"
    message = (
        f"{ride.name}: three pushes at {_seconds(ride, group)}, but {which} the wrong way, out instead of in: sensors "
        "read upside down, and then nothing measured is right; check the readings of their calibration `points`"
    )
    second = float(ride.time_s[group.start])
    return Finding(code="pushes_upside_down", message=message, second=second)


def _untrimmed(ride: Ride) -> Finding:
    start, end = ride.start_from == "log", ride.end_from == "log"
    lacking = "start and end aren't" if start and end else "the start isn't" if start else "the end isn't"
    uncounted = "standing and lifted" if ride.ends else "standing"
    keys = "start_s and end_s" if start and end else "start_s" if start else "end_s"
    message = (
        f"{ride.name}: {lacking} known, neither from {keys} nor from three pushes: the log's own "
        f"{'bounds hold' if start and end else 'bound holds'} and everything but {uncounted} counts; "
        f"state {keys} where much besides the trail was logged, or next time {PUSH_AGAIN}"
    )
    return Finding(code="untrimmed", message=message)


def push_findings(ride: Ride, pushes: Pushes) -> tuple[Finding, ...]:
    """Return what is to be said of a run's pushes and of its bounds.

    Parameters
    ----------
    ride : Ride
        With the bounds in force.
    pushes : Pushes
    """
    found = [_found(ride, pushes)] if pushes.groups else []
    found.extend(_upside_down(ride, group) for group in pushes.upside_down[:1])
    found.extend(_one_end(ride, lone) for lone in pushes.lone)
    if "log" in (ride.start_from, ride.end_from):
        found.append(_untrimmed(ride))
    return tuple(found)
