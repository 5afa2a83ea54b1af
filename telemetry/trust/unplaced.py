"""Where the sensors that tell an end's movement sit isn't stated, and what that costs."""

from __future__ import annotations

from telemetry.model.finding import Finding
from telemetry.model.motion import MovedEnd


def unplaced(run: str, moved: MovedEnd) -> tuple[Finding, ...]:
    """Return what a run is told of an end whose movement hangs on where the chassis' sensor sits.

    Parameters
    ----------
    run : str
    moved : MovedEnd
    """
    if moved.unplaced_mm is None:
        return ()
    message = (
        f"{run}, {moved.end}: where the chassis' inertial sensor sits isn't stated (ahead_of_axle_mm and "
        f"above_axle_mm are expected): movement is wrong by {moved.unplaced_mm:.2g} mm (sd) for each 100 mm that it "
        "sits fore or aft of the wheel's path, its speeds and lengths with it, in every run alike; state them"
    )
    return (Finding(severity="note", code="unplaced", message=message, end=moved.end),)
