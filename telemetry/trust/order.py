"""Whether the ends stand the right way round, and both the right way up."""

from __future__ import annotations

from telemetry.model.finding import Finding

FEWEST_WINDOWS = 5


def _most(windows: int, of: int) -> bool:
    return of >= FEWEST_WINDOWS and windows * 2 > of


def ends_swapped(name: str, windows: int, reversed_windows: int) -> tuple[Finding, ...]:
    """Find a rear that meets the bumps before the front in most windows.

    Parameters
    ----------
    name : str
        The run.
    windows, reversed_windows : int
        Windows of 4 s on the ground, and those in which the front clearly repeats the rear.
    """
    if not _most(reversed_windows, windows):
        return ()
    message = (
        f"{name}: the rear moves before the front in {reversed_windows} of {windows} windows of 4 s (limit half "
        "of them); front and rear sensor are probably swapped: check `end` and `column` of both"
    )
    return (Finding(severity="warning", code="ends_swapped", message=message),)


def ends_opposed(name: str, windows: int, opposed_windows: int) -> tuple[Finding, ...]:
    """Find ends of which one reads upside down: where one goes in, the other comes out.

    Parameters
    ----------
    name : str
        The run.
    windows, opposed_windows : int
        Windows of 4 s on the ground, and those in which one end clearly does the opposite of the other.
    """
    if not _most(opposed_windows, windows):
        return ()
    message = (
        f"{name}: one end does the opposite of the other in {opposed_windows} of {windows} windows of 4 s (limit half "
        "of them): one sensor reads upside down; swap its outer wires, or measure its `points` again"
    )
    return (Finding(severity="error", code="ends_opposed", message=message),)
