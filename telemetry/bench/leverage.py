"""The rear's leverage: curve, ratio, axle path and mechanism, with the band that its measured points leave open."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from telemetry.mechanics.leverage import curve_of
from telemetry.mechanics.linkage import linkage_path, paths_of_draws
from telemetry.mechanics.points_drawn import SEED, points_drawn
from telemetry.model.arrays import Floats
from telemetry.model.bench_leverage import Band, Leverage
from telemetry.model.day import EndSetup, LeverageTable
from telemetry.model.linkage import Linkage

from .bands import band
from .measured_pairs import is_few, pairs_curve

STEPS = 50
OF_PAIRS = "taken from {} measured pairs: the ratio is that of the smooth curve behind them"
DRAWS = 400
"""Of the points that a band is made of; own choice: its edge is then known to some per cent of its width."""


def leverage_of(end: EndSetup) -> Leverage | None:
    """Return the leverage of the rear, without its bands and at no sag; None where none is stated."""
    if end.leverage is None:
        return None
    stroke = end.stroke_mm or end.leverage.stroke_mm[-1]
    if end.linkage is not None:
        return _of_linkage(end.linkage, stroke)
    return _of_table(end.leverage, stroke)


def with_bands(leverage: Leverage, drawn: tuple[Floats, Floats]) -> Leverage:
    """Return the leverage with the bands that hold draws of its travel and ratio."""
    return replace(
        leverage,
        travel_band=_band(leverage.travel_mm, drawn[0]),
        ratio_band=_band(leverage.ratio, drawn[1]),
    )


def drawn_curves(end: EndSetup, stroke_mm: Floats, draws: int) -> tuple[Floats, Floats] | None:
    """Return travel and ratio of draws at strokes, shape (draws, n) each; None where nothing tells their width.

    A linkage's draws that can't reach full stroke are left out.
    """
    if end.linkage is not None:
        points = points_drawn(end.linkage, draws)
        if points is None:
            return None
        travel, ratio, _ = paths_of_draws(end.linkage, points, stroke_mm)
        return travel, ratio
    if end.leverage is None:
        return None
    stated = end.settings.get("ratio")
    if stated is not None and stated.plus_minus:
        own = curve_of(end.leverage).ratio(stroke_mm)
        off = 1 + stated.plus_minus / own[0] * np.random.default_rng(SEED).standard_normal((draws, 1))
        return off * curve_of(end.leverage).travel_mm(stroke_mm), off * own
    if not is_few(end.leverage):
        return None
    pairs = pairs_curve(end.leverage, stroke_mm, draws, SEED)
    return pairs.drawn_travel_mm, pairs.drawn_ratio


def _band(measured: Floats, draws: Floats) -> Band | None:
    edges = band(measured, draws)
    return None if edges is None else Band(low=edges[0], high=edges[1])


def _of_table(table: LeverageTable, stroke_mm: float) -> Leverage:
    strokes = np.linspace(0.0, stroke_mm, STEPS + 1)
    curve = curve_of(table)
    pairs = pairs_curve(table, strokes, 1, SEED) if is_few(table) else None
    return Leverage(
        stroke_mm=strokes,
        travel_mm=curve.travel_mm(strokes),
        ratio=curve.ratio(strokes) if pairs is None else pairs.ratio,
        axle_x_mm=None,
        came_from=table.source,
        known_to="" if pairs is None else f"pairs known to {pairs.off_mm:.1f} mm",
        remarks=() if pairs is None else (OF_PAIRS.format(len(table.stroke_mm) - 1),),
    )


def _of_linkage(linkage: Linkage, stroke_mm: float) -> Leverage:
    path = linkage_path(linkage, stroke_mm, steps=STEPS)
    return Leverage(
        stroke_mm=path.stroke_mm,
        travel_mm=path.travel_mm,
        ratio=path.ratio,
        axle_x_mm=path.axle_x_mm,
        came_from="linkage" if linkage.photo is None else "photograph",
        known_to=_known_to(linkage),
        path=path,
        remarks=tuple(_remarks(linkage)),
    )


def _known_to(linkage: Linkage) -> str:
    if linkage.photo is not None:
        return f"points known to {linkage.photo.plus_minus_px:.3g} px"
    return f"points known to {linkage.plus_minus_mm:g} mm" if linkage.plus_minus_mm else ""


def _remarks(linkage: Linkage) -> list[str]:
    found = []
    if linkage.faces == "left":
        found.append("the points were measured with the bike facing left: turned round")
    photo = linkage.photo
    if photo is not None and photo.askew:
        tilt = np.degrees(np.arccos(np.exp(-photo.askew)))
        found.append(
            f"the photograph's known distances disagree by {100 * photo.askew:.1f} %, as with a camera {tilt:.0f}° "
            "askew: the band is wider for it; photograph the bike square from the side and from further away"
        )
    return found
