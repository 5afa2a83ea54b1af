"""Figures of what the parts do, gathered: the rear's mechanism and leverage, each end's springs and damper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from dashboards.figures.drawn import Drawn
from dashboards.figures.mechanism import mechanism
from dashboards.figures.parts import TOLD_PCT, SpringsTold, force_against_speed, force_along, leverage_curves
from dashboards.theme import MOST_SETUPS, SetupStyle, setup_styles
from telemetry.model.arrays import Floats
from telemetry.model.bench import Bench
from telemetry.model.bench_figures import Ranged
from telemetry.model.bench_leverage import Leverage
from telemetry.model.finding import End
from telemetry.telling.bench import beside_figure
from telemetry.telling.names import ENDS

from .groups import Groups

LEAST_RATIO = 0.005
"""A leverage ratio that varies by less is constant: a line straight across says nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartPanels(Groups):
    """Panels of the question what the parts do: what moves the shock, springs and dampers, rear beside front.

    Groups in which drawn setups differ, `differing`, stand first.
    """

    link: tuple[Drawn, ...] = ()
    springs: tuple[Drawn, ...] = ()
    dampers: tuple[Drawn, ...] = ()
    differing: frozenset[str] = frozenset()

    @property
    def named(self) -> dict[str, tuple[Drawn, ...]]:
        """The groups by name, in the order they are shown."""
        held = {"link": self.link, "springs": self.springs, "dampers": self.dampers}
        return {name: held[name] for name in sorted(held, key=lambda name: name not in self.differing)}


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
    drawn: dict[str, list[tuple[Drawn, bool]]] = {"link": _link(bench, known, styles), "springs": [], "dampers": []}
    for end in ENDS:
        drawn["springs"] += _springs(bench, styles, end)
        drawn["dampers"] += _dampers(bench, styles, end)
    panels = {
        name: tuple(_said_alike(panel, len(styles)) if alike else panel for panel, alike in group)
        for name, group in drawn.items()
    }
    return PartPanels(
        link=panels["link"],
        springs=panels["springs"],
        dampers=panels["dampers"],
        differing=frozenset(name for name, group in drawn.items() if not all(alike for _, alike in group)),
    )


def _said_alike(panel: Drawn, among: int) -> Drawn:
    """Return a panel that says that one line stands for all setups, where there are several."""
    if among < 2:
        return panel
    return replace(panel, title=f"{panel.title}; alike in {'both' if among == 2 else 'all'}")


def _alike(curves: Sequence[tuple[Floats, Floats]], among: int) -> bool:
    """Tell whether so many setups have a curve each, x and y, and all the same one."""
    first, *others = curves
    return len(curves) == among and all(map(partial(np.array_equal, first), others))


def _link(bench: Bench, known: Mapping[str, Leverage], styles: Mapping[str, SetupStyle]) -> list[tuple[Drawn, bool]]:
    """Return what moves the shock, and whether it is alike in all; nothing where one constant ratio is all there is."""
    if not known:
        return []
    alike = _alike([(own.stroke_mm, own.ratio) for own in known.values()], len(styles))
    linkages = {name: own.mechanism for name, own in known.items() if own.mechanism is not None}
    if not linkages and alike and np.ptp(next(iter(known.values())).ratio) < LEAST_RATIO:
        return []
    found = [(mechanism(linkages, styles), alike)] if linkages else []
    numbers = beside_figure(bench, "rear", "leverage", list(known))
    return [*found, (leverage_curves(known, styles, numbers), alike)]


def _springs(bench: Bench, styles: Mapping[str, SetupStyle], end: End) -> list[tuple[Drawn, bool]]:
    """Return the panel of an end's springs where they are known, and whether they are alike in all."""
    setups = [setup for setup in bench.setups if setup.name in styles]
    held = {setup.name: own for setup in setups if (own := setup.at(end).springs) is not None}
    if not held:
        return []
    rows = [row for row in bench.rows if (row.end, row.part) == (end, "springs")]
    apart: dict[tuple[str, int], Ranged] = {}
    for percent in TOLD_PCT:
        force = f"force at {percent} % of travel"
        row = next((row for row in rows if row.figure.what in (f"{force}, fast", force)), None)
        apart |= {} if row is None else {(name, percent): own for name, own in row.differences.items()}
    numbers = beside_figure(bench, end, "springs", list(held))
    panel = force_along(held, styles, SpringsTold(end=end, numbers=numbers, apart=apart))
    return [(panel, _alike([(own.travel_mm, own.fast.total_n) for own in held.values()], len(styles)))]


def _dampers(bench: Bench, styles: Mapping[str, SetupStyle], end: End) -> list[tuple[Drawn, bool]]:
    """Return the panel of an end's damper where it was measured, and whether it is alike in all."""
    setups = [setup for setup in bench.setups if setup.name in styles]
    dampers = {setup.name: own for setup in setups if (own := setup.at(end).damper) is not None}
    curves = {
        name: (own.speed_mm_s, own.force_n)
        for name, own in dampers.items()
        if own.speed_mm_s is not None and own.force_n is not None
    }
    if not curves:
        return []
    panel = force_against_speed(curves, styles, end, beside_figure(bench, end, "damper", list(curves)))
    return [(panel, _alike(list(curves.values()), len(styles)))]
