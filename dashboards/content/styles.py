"""How the setups that are shown are drawn."""

from __future__ import annotations

from collections.abc import Sequence

from dashboards.theme import MOST_SETUPS, SetupStyle, setup_styles
from telemetry.model.day import RideDay
from telemetry.pipeline import ShownDay


def styles_of(
    day: RideDay, seen: ShownDay, baseline: str | None, recorded: Sequence[str] = ()
) -> dict[str, SetupStyle]:
    """Return how each shown setup is drawn: baseline first, then in the order ridden.

    Parameters
    ----------
    day : RideDay
    seen : ShownDay
    baseline : str or None
    recorded : sequence of str
        Setups that recordings off the trail were made with: those that are drawn where no run is shown.

    Notes
    -----
    Colours stay with a setup whatever is chosen, as long as the day has four setups or fewer.

    Raises
    ------
    CallError
        With more than four setups in one figure.
    """
    labels = {name: setup.label for name, setup in day.setups.items()}
    if not seen.pictures:
        return setup_styles(recorded, labels)
    shown = {picture.setup for picture in seen.pictures}
    ridden = dict.fromkeys(run.setup for run in day.runs)
    names = sorted(ridden, key=lambda name: name != baseline)
    if len(names) > MOST_SETUPS:
        names = [name for name in names if name in shown]
    return {name: style for name, style in setup_styles(names, labels).items() if name in shown}
