"""Whether there is enough riding, and whether it is known where the ride starts and ends."""

from __future__ import annotations

from telemetry.model.day import EndSetup, RunEntry
from telemetry.model.finding import Finding
from telemetry.model.motion import RidingTime

SHORT_RUN_S = 30.0
NOT_RIDING_S = 5.0


def _riding_time(name: str, riding_s: float) -> tuple[Finding, ...]:
    if riding_s < NOT_RIDING_S:
        message = f"{name}: {riding_s:.1f} s of riding (at least {NOT_RIDING_S:g} s needed); ride again"
        return (Finding(severity="error", code="not_riding", message=message),)
    if riding_s < SHORT_RUN_S:
        message = (
            f"{name}: {riding_s:.1f} s of riding (limit {SHORT_RUN_S:g} s); rare events and slow measures say little"
            ": choose a longer stretch of trail"
        )
        return (Finding(severity="warning", code="short_run", message=message),)
    return ()


def run_findings(run: RunEntry, time: RidingTime, ends: tuple[EndSetup, ...]) -> tuple[Finding, ...]:
    """Return what is to be said of a run as a whole.

    Parameters
    ----------
    run : RunEntry
    time : RidingTime
    ends : tuple of EndSetup
        The measured ends.
    """
    found = list(_riding_time(run.name, round(time.riding_s, 2)))  # a clock's last digits make no run short
    if run.start_s is None or run.end_s is None:
        message = (
            f"{run.name}: start_s and end_s aren't both stated and three pushes aren't looked for in this version; "
            "everything but standing and lifted counts; state both where much besides the trail was logged"
        )
        found.append(Finding(severity="note", code="untrimmed", message=message))
    for end in ends:
        if end.end == "front" and end.full_travel_from == "travel_mm":
            message = (
                f"{run.name}, front: bottoming is counted against the stated travel, {end.full_travel_mm:.0f} mm; "
                "measure it by hand (air out or coil off) and state measured_travel_mm"
            )
            found.append(Finding(severity="note", code="travel_is_stated", message=message, end="front"))
    return tuple(found)
