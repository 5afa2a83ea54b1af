"""Figures of spring and damper, gathered: springs, dampers, and where the rides were that they rest on."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from dashboards.figures.drawn import Drawn
from dashboards.figures.forces import cells_ridden, damper_curves, reach_of, spring_curves
from dashboards.theme import SetupStyle
from telemetry.model.analysis import Analysis
from telemetry.model.finding import End
from telemetry.model.force import ForceMap
from telemetry.telling.names import ENDS

from .groups import Groups


@dataclass(frozen=True, slots=True, kw_only=True)
class ForcePanels(Groups):
    """Panels of the question what spring and damper do, rear first in each; empty where no ride tells."""

    spring: tuple[Drawn, ...] = ()
    damper: tuple[Drawn, ...] = ()
    cells: tuple[Drawn, ...] = ()


def tells_forces(analysis: Analysis) -> bool:
    """Tell whether any end of any run has the sensors for it, whatever came of them."""
    return any(run.force_maps for run in analysis.runs)


def _maps(analysis: Analysis, runs: Collection[str], end: End) -> dict[str, list[ForceMap]]:
    """Return the maps of an end by setup, of these runs, in the order ridden."""
    found: dict[str, list[ForceMap]] = {}
    for run in analysis.runs:
        own = [item for item in run.force_maps if isinstance(item, ForceMap) and item.end == end]
        if own and run.entry.name in runs:
            found.setdefault(run.entry.setup, []).extend(own)
    return found


def force_panels(analysis: Analysis, runs: Collection[str], styles: Mapping[str, SetupStyle]) -> ForcePanels:
    """Return the panels of spring and damper.

    Parameters
    ----------
    analysis : Analysis
    runs : collection of str
        Names of the runs that are shown.
    styles : mapping of setup to SetupStyle
    """
    maps_at = {end: _maps(analysis, runs, end) for end in ENDS}
    maps_at = {end: {name: maps_of[name] for name in styles if name in maps_of} for end, maps_of in maps_at.items()}
    told = [(end, maps_of, reach_of(maps_of)) for end, maps_of in maps_at.items() if maps_of]
    return ForcePanels(
        spring=tuple(spring_curves(maps_of, styles, end, reach) for end, maps_of, reach in told),
        damper=tuple(damper_curves(maps_of, styles, end, reach) for end, maps_of, reach in told),
        cells=tuple(cells_ridden(list(maps_of.values())[-1][-1], reach) for _, maps_of, reach in told),
    )
