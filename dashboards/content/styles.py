"""How the setups that are shown are drawn."""

from __future__ import annotations

from dashboards.theme import MOST_SETUPS, SetupStyle, setup_styles
from telemetry.model.analysis import Analysis
from telemetry.pipeline import ShownDay

from .sitting import setups_recorded


def styles_of(analysis: Analysis, seen: ShownDay, baseline: str | None) -> dict[str, SetupStyle]:
    """Return how each shown setup is drawn: baseline first, then in the order ridden.

    Colours stay with a setup whatever is chosen, as long as the day has four setups or fewer. Where no run is shown,
    they are those recorded off the trail.

    Raises
    ------
    CallError
        With more than four setups in one figure.
    """
    labels = {name: setup.label for name, setup in analysis.day.setups.items()}
    if not seen.pictures:
        return setup_styles(setups_recorded(analysis), labels)
    shown = {picture.setup for picture in seen.pictures}
    ridden = dict.fromkeys(run.entry.setup for run in analysis.runs)
    names = sorted(ridden, key=lambda name: name != baseline)
    if len(names) > MOST_SETUPS:
        names = [name for name in names if name in shown]
    return {name: style for name, style in setup_styles(names, labels).items() if name in shown}
