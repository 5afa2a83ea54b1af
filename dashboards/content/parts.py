"""Figures of what the parts do, gathered: the rear's mechanism and leverage, each end's springs and damper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from dashboards.figures.drawn import Drawn
from dashboards.figures.mechanism import mechanism
from dashboards.figures.parts import force_against_speed, force_along, leverage_curves
from dashboards.theme import MOST_SETUPS, SetupStyle, setup_styles
from telemetry.model.bench import Bench
from telemetry.model.finding import End

from .groups import Groups


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPanels(Groups):
    """Panels of the question what the parts do: the rear's beside the front's, the rear's own springs beneath."""

    first: tuple[Drawn, ...] = ()
    second: tuple[Drawn, ...] = ()
    third: tuple[Drawn, ...] = ()


def part_styles(bench: Bench, shown: Mapping[str, SetupStyle]) -> dict[str, SetupStyle]:
    """Return how a bench's setups are drawn: as on the other pages, then the others, four at most.

    Parameters
    ----------
    bench : Bench
    shown : mapping of setup to SetupStyle
        How the setups are drawn that were ridden.
    """
    names = list(dict.fromkeys((*shown, *(setup.name for setup in bench.setups))))[:MOST_SETUPS]
    found = setup_styles(names, {setup.name: setup.label for setup in bench.setups})
    return found | dict(shown)


def part_panels(bench: Bench, styles: Mapping[str, SetupStyle]) -> PartPanels:
    """Return the panels of what the parts do.

    Parameters
    ----------
    bench : Bench
    styles : mapping of setup to SetupStyle
    """
    levers = {setup.name: setup.rear.leverage for setup in bench.setups if setup.name in styles}
    known = {name: own for name, own in levers.items() if own is not None}
    linkages = {name: own.mechanism for name, own in known.items() if own.mechanism is not None}
    rear = [mechanism(linkages, styles)] if linkages else []
    rear += [leverage_curves(known, styles)] if known else []
    rear += _of_end(bench, styles, "rear")
    front = _of_end(bench, styles, "front")
    if not front:
        return PartPanels(first=tuple(rear[:2]), second=tuple(rear[2:]))
    rows = [(*rear[place : place + 1], *front[place : place + 1]) for place in (0, 1)]
    return PartPanels(first=rows[0], second=rows[1], third=tuple(rear[2:]))


def _of_end(bench: Bench, styles: Mapping[str, SetupStyle], end: End) -> tuple[Drawn, ...]:
    setups = [setup for setup in bench.setups if setup.name in styles]
    springs = {setup.name: own for setup in setups if (own := setup.at(end).springs) is not None}
    dampers = {setup.name: damper for setup in setups if (damper := setup.at(end).damper) is not None}
    found = (force_along(springs, styles, end) if springs else None, force_against_speed(dampers, styles, end))
    return tuple(panel for panel in found if panel is not None)
