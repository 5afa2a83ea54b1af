"""What the pages draw of a run's inertial sensors."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from telemetry.measures.missing import Missing
from telemetry.measures.view import RunMotion
from telemetry.model.arrays import read_only
from telemetry.model.curves import InertialPicture, MovedCurves, ShakenCurves, Spectrum
from telemetry.model.finding import ENDS, End
from telemetry.model.inertial import On, Site

from .control import passed_on, shock_response
from .moved import MOVEMENT_EDGES_MM, movement_shares_pct
from .parts import shaken
from .shaking import minutes_of, peaks
from .third_octaves import bands_between, centre_hz, name_of
from .view import InertialView, inertial_view

PLACES: tuple[On, ...] = ("wheel", "chassis")


def spectrum_of(parts: Mapping[str, float]) -> Spectrum:
    """Return values by a band's name as a spectrum, with a gap wherever a band between has none."""
    numbers = [number for number in bands_between(0.5, 500.0) if name_of(number) in parts]
    every = range(numbers[0], numbers[-1] + 1)
    return Spectrum(
        frequency_hz=read_only(np.array([centre_hz(number) for number in every])),
        value=read_only(np.array([parts.get(name_of(number), np.nan) for number in every])),
    )


def _shaken(view: InertialView, on: On) -> ShakenCurves | None:
    parts = shaken(view, on)
    if isinstance(parts, Missing):
        return None
    found = peaks(parts, view.rate_hz)
    return ShakenCurves(peaks_m_s2=read_only(found), minutes=minutes_of(parts, view.rate_hz))


def _moved(run: RunMotion, view: InertialView) -> MovedCurves | None:
    if isinstance(view.moved, Missing):
        return None
    shares = movement_shares_pct(view.moved, run.time.riding)
    return MovedCurves(edges_mm=MOVEMENT_EDGES_MM, share_pct=read_only(shares))


def inertial_picture(run: RunMotion) -> InertialPicture:
    """Return everything the pages draw of a run's inertial sensors; empty where it has none.

    Parameters
    ----------
    run : RunMotion
    """
    sites: dict[Site, ShakenCurves] = {}
    passed: dict[End, Spectrum] = {}
    shock: dict[End, Spectrum] = {}
    moved: dict[End, MovedCurves] = {}
    for end in ENDS:
        view = inertial_view(run, end)
        if view.wheel is None and view.chassis is None:
            continue
        sites |= {(end, on): found for on in PLACES if (found := _shaken(view, on)) is not None}
        for told, measure in ((passed, passed_on), (shock, shock_response)):
            parts = measure(view)
            if not isinstance(parts, Missing):
                told[end] = spectrum_of(parts)
        curves = _moved(run, view)
        if curves is not None:
            moved[end] = curves
    return InertialPicture(
        shaken=MappingProxyType(sites),
        passed_on=MappingProxyType(passed),
        shock=MappingProxyType(shock),
        moved=MappingProxyType(moved),
    )
