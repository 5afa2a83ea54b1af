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
from telemetry.telling.names import ENDS

from .groups import Groups


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPanels(Groups):
    """Panels of the question what the parts do: what moves the shock, then springs and dampers, rear beside front."""

    link: tuple[Drawn, ...] = ()
    springs: tuple[Drawn, ...] = ()
    dampers: tuple[Drawn, ...] = ()


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
    link = [mechanism(linkages, styles)] if linkages else []
    link += [leverage_curves(known, styles)] if known else []
    drawn = {end: _of_end(bench, styles, end) for end in ENDS}
    springs, dampers = (tuple(panel for end in ENDS for panel in drawn[end][place]) for place in (0, 1))
    return PartPanels(link=tuple(link), springs=springs, dampers=dampers)


def _of_end(bench: Bench, styles: Mapping[str, SetupStyle], end: End) -> tuple[tuple[Drawn, ...], tuple[Drawn, ...]]:
    """Return the panel of an end's springs, and that of its damper, each where it is known."""
    setups = [setup for setup in bench.setups if setup.name in styles]
    springs = {setup.name: own for setup in setups if (own := setup.at(end).springs) is not None}
    dampers = {setup.name: damper for setup in setups if (damper := setup.at(end).damper) is not None}
    drawn = force_against_speed(dampers, styles, end)
    return (force_along(springs, styles, end),) if springs else (), (drawn,) if drawn is not None else ()
