"""Whether the ends stand the right way round."""

from __future__ import annotations

from telemetry.model.finding import Finding

FEWEST_WINDOWS = 5


def ends_swapped(name: str, windows: int, reversed_windows: int) -> tuple[Finding, ...]:
    """Find a rear that meets the bumps before the front in most windows.

    Parameters
    ----------
    name : str
        The run.
    windows, reversed_windows : int
        Windows of 4 s looked at, and those in which the front clearly repeats the rear.
    """
    if windows < FEWEST_WINDOWS or reversed_windows * 2 <= windows:
        return ()
    message = (
        f"{name}: the rear moves before the front in {reversed_windows} of {windows} windows of 4 s (limit half "
        "of them); front and rear sensor are probably swapped: check `end` and `column` of both"
    )
    return (Finding(severity="warning", code="ends_swapped", message=message),)
