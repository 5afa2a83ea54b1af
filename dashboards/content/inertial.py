"""Figures of inertial sensors, gathered: how hard it hits, what is passed on, how an end moves."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from dashboards.figures.by_frequency import PASSED_ON, SHOCK, by_frequency
from dashboards.figures.drawn import Drawn
from dashboards.figures.movement import time_moved
from dashboards.figures.peaks_harder import peaks_harder
from dashboards.figures.runs_by_setup import grouped
from dashboards.theme import SetupStyle
from telemetry import measures
from telemetry.model.curves import InertialPicture, RunPicture, ShakenCurves
from telemetry.model.finding import End
from telemetry.model.inertial import On
from telemetry.telling.names import ENDS

from .groups import Groups

PEAK_POINTS = 121
OFTEN_PER_MIN = 1.0
"""The axis ends at the peak that comes so often at the harder end: beyond lie odd ones."""
CHASSIS_OVER_WHEEL: tuple[On, ...] = ("chassis", "wheel")

_Curves = TypeVar("_Curves")


@dataclass(frozen=True, slots=True, kw_only=True)
class ShakenPanels(Groups):
    """Panels of the question how hard it hits, rear first in each; empty where no sensor tells."""

    chassis: tuple[Drawn, ...] = ()
    wheel: tuple[Drawn, ...] = ()
    passed_on: tuple[Drawn, ...] = ()
    shock: tuple[Drawn, ...] = ()
    moved: tuple[Drawn, ...] = ()


def has_inertial(pictures: Sequence[RunPicture]) -> bool:
    """Tell whether any run has something to draw of an inertial sensor."""
    return any(picture.inertial.shaken for picture in pictures)


def _of_setups(
    pictures: Sequence[RunPicture],
    styles: Mapping[str, SetupStyle],
    curves: Callable[[InertialPicture], _Curves | None],
) -> dict[str, list[_Curves]]:
    """Return each setup's runs' curves of one kind; a setup without any is left out."""
    found = {}
    for name, runs in grouped(pictures, styles).items():
        own = [item for run in runs if (item := curves(run.inertial)) is not None]
        if own:
            found[name] = own
    return found


def _peak_panels(pictures: Sequence[RunPicture], styles: Mapping[str, SetupStyle], on: On) -> tuple[Drawn, ...]:

    def at(end: End) -> dict[str, list[ShakenCurves]]:
        return _of_setups(pictures, styles, lambda own: own.shaken.get((end, on)))

    found = {end: at(end) for end in ENDS}
    every = [curves for setups in found.values() for runs in setups.values() for curves in runs]
    hardest = max((measures.reached_often(curves, OFTEN_PER_MIN) for curves in every), default=0.0)
    step = 10.0 if hardest > 30 else 2.0
    grid = np.linspace(0.0, max(step, np.ceil(hardest / step) * step), PEAK_POINTS)
    return tuple(
        peaks_harder(
            {
                name: [measures.rate_faster(own.peaks_m_s2, grid, own.minutes) for own in runs]
                for name, runs in setups.items()
            },
            grid,
            styles,
            end,
            on,
        )
        for end, setups in found.items()
        if setups
    )


def shaken_panels(pictures: Sequence[RunPicture], styles: Mapping[str, SetupStyle]) -> ShakenPanels:
    """Return the panels of how hard it hits: chassis above, wheel below, then what lies between them.

    Parameters
    ----------
    pictures : sequence of RunPicture
    styles : mapping of setup to SetupStyle
    """
    chassis, wheel = (_peak_panels(pictures, styles, on) for on in CHASSIS_OVER_WHEEL)

    def at_ends(curves: Callable[[InertialPicture], Mapping[End, _Curves]]) -> dict[End, dict[str, list[_Curves]]]:
        def at(end: End) -> dict[str, list[_Curves]]:
            return _of_setups(pictures, styles, lambda own: curves(own).get(end))

        return {end: found for end in ENDS if (found := at(end))}

    passed, shock = at_ends(lambda own: own.passed_on), at_ends(lambda own: own.shock)
    moved = at_ends(lambda own: own.moved)
    return ShakenPanels(
        chassis=chassis,
        wheel=wheel,
        passed_on=by_frequency(PASSED_ON, passed, styles),
        shock=by_frequency(SHOCK, shock, styles),
        moved=time_moved(moved, styles),
    )
