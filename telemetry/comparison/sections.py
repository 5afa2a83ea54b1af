"""Into how many trail sections a run is shared, and what is said where the sections wished for can't be had."""

from __future__ import annotations

from telemetry.model.finding import Finding

MOST = 20
SHORTEST_S = 5.0


def section_count(shortest_riding_s: float) -> int:
    """Return the number of sections: 20, fewer so that each lasts 5 s or more in the shortest run, at least 1.

    Examples
    --------
    >>> section_count(240.0), section_count(61.0), section_count(3.0)
    (20, 12, 1)
    """
    return max(1, min(MOST, int(shortest_riding_s / SHORTEST_S + 1e-9)))


def marks_not_alike(run: str, names: str, other: str, other_names: str) -> Finding:
    """Note that marks make no sections, because the runs share no two in one order."""
    message = (
        f"marks make no sections: {run} has {names}, {other} {other_names} (2 or more of the same names in the same "
        "order, each once, are needed in every run compared); mark the same places in all of them"
    )
    return Finding(code="marks_not_alike", message=message)


def presses_not_alike(marker: str, most: tuple[str, int], least: tuple[str, int]) -> Finding:
    """Note that a marker's presses make no sections, because some run has more or fewer of them.

    Parameters
    ----------
    marker : str
    most, least : (run, presses)
    """
    message = (
        f"presses of marker {marker!r} make no sections: {most[0]} has {most[1]}, {least[0]} {least[1]} (as many in "
        "every run compared are needed: with one missing the rest would be other places); leave a run out, or write "
        "the places as [[marks]]"
    )
    return Finding(code="marks_not_alike", message=message)


def distance_not_alike(shortest: tuple[str, float], longest: tuple[str, float], limit_pct: float) -> Finding:
    """Note that distance isn't gone by, because it differs too much between runs of one trail.

    Parameters
    ----------
    shortest, longest : (run, m)
    limit_pct : float
    """
    more = "" if shortest[1] <= 0 else f", {100 * (longest[1] / shortest[1] - 1):.0f} % more"
    message = (
        f"distance makes no sections: {shortest[0]} rode {shortest[1]:.0f} m, {longest[0]} {longest[1]:.0f} m{more} "
        f"(limit {limit_pct:.0f} %); look at the speed sensor, and whether all runs start and end at the same places"
    )
    return Finding(code="distance_not_alike", message=message)


def travel_not_alike(by: str, run: str, reference: str, correlation: float, needed: float) -> Finding:
    """Note that runs aren't aligned by travel, or by shaking, because the signals agree too little."""
    message = (
        f"runs aren't aligned by {by}: {run} agrees with {reference} by a correlation of {correlation:.2f} (at least "
        f"{needed:.2f} needed), so equal shares of riding time are compared; ride the same stretch every time, log "
        "speed or distance, or mark the same places in every run"
    )
    return Finding(code="travel_not_alike", message=message)
