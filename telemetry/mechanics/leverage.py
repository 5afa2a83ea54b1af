"""Leverage: wheel travel against shock stroke."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy.interpolate import PchipInterpolator

from telemetry.model.arrays import Floats
from telemetry.model.day import EndSetup, LeverageTable

KNOTS = 8192
SHARE_KNOTS = 1201


class LeverageCurve:
    """Wheel travel as a monotone, shape-preserving curve of shock stroke; its end slopes continue outside.

    Parameters
    ----------
    table : LeverageTable
        Two points or more, mm; both columns strictly increasing.

    Raises
    ------
    ValueError
        If the table has fewer than two points or doesn't increase.

    Notes
    -----
    Piecewise cubic Hermite interpolation [FritschCarlson1980], tabulated at 8192 strokes and read by straight
    lines between them: within 1e-5 mm of the curve itself for a bike's table.

    Examples
    --------
    >>> import numpy as np
    >>> table = LeverageTable(stroke_mm=(0.0, 60.0), travel_mm=(0.0, 150.0), source="ratio = 2.5")
    >>> LeverageCurve(table).travel_mm(np.array([-2.0, 30.0, 62.0]))
    array([ -5.,  75., 155.])
    """

    def __init__(self, table: LeverageTable) -> None:
        stroke = np.array(table.stroke_mm, dtype=float)
        travel = np.array(table.travel_mm, dtype=float)
        if stroke.shape[0] < 2:
            raise ValueError(f"{table.source}: a leverage curve needs two points or more")
        if not (np.all(np.diff(stroke) > 0) and np.all(np.diff(travel) > 0)):
            raise ValueError(f"{table.source}: stroke and travel must both increase from row to row")
        curve = PchipInterpolator(stroke, travel)
        slope = curve.derivative()
        straight = stroke.shape[0] == 2
        inside = stroke if straight else np.union1d(np.linspace(stroke[0], stroke[-1], KNOTS), stroke)
        ratio = np.asarray(slope(inside), dtype=float)
        rising = np.maximum.accumulate(np.asarray(curve(inside)))  # where it is flat, rounding lets it fall
        reach = stroke[-1] - stroke[0]  # one whole stroke further on either side, along the end slopes
        self._stroke = np.concatenate([[inside[0] - reach], inside, [inside[-1] + reach]])
        self._travel = np.concatenate([[travel[0] - ratio[0] * reach], rising, [rising[-1] + ratio[-1] * reach]])
        self._ratio = np.concatenate([[ratio[0]], ratio, [ratio[-1]]])

    def _read(self, at: Floats, known: Floats, wanted: Floats) -> Floats:
        inside: Floats = np.interp(at, known, wanted)
        for end, beyond in ((0, at < known[0]), (-1, at > known[-1])):
            if np.any(beyond):
                inner = 1 if end == 0 else -2
                slope = (wanted[end] - wanted[inner]) / (known[end] - known[inner])
                inside = np.where(beyond, wanted[end] + slope * (at - known[end]), inside)
        return inside

    def travel_mm(self, stroke_mm: Floats) -> Floats:
        """Return wheel travel at each stroke, mm, same shape."""
        return self._read(np.asarray(stroke_mm, dtype=float), self._stroke, self._travel)

    def stroke_mm(self, travel_mm: Floats) -> Floats:
        """Return shock stroke at each wheel travel, mm, same shape."""
        return self._read(np.asarray(travel_mm, dtype=float), self._travel, self._stroke)

    def ratio(self, stroke_mm: Floats) -> Floats:
        """Return the leverage ratio, d travel / d stroke, at each stroke, same shape."""
        return np.asarray(np.interp(np.asarray(stroke_mm, dtype=float), self._stroke, self._ratio), dtype=float)


@lru_cache(maxsize=64)
def curve_of(table: LeverageTable) -> LeverageCurve:
    """Return a table's curve; each is tabulated once, however often a day asks for it.

    Raises
    ------
    ValueError
        As `LeverageCurve`.
    """
    return LeverageCurve(table)


def stroke_shares(setup: EndSetup) -> tuple[Floats, Floats] | None:
    """Return shares of wheel travel and the shares of shock stroke they take, %; None without curve or stroke.

    Parameters
    ----------
    setup : EndSetup
        The rear of a setup.

    Returns
    -------
    tuple of float arrays, shape (n,), or None
        Both increasing, from -10 to 110 % of wheel travel.
    """
    if setup.leverage is None or setup.full_travel_mm is None:
        return None
    curve = curve_of(setup.leverage)
    travel = np.linspace(-10.0, 110.0, SHARE_KNOTS)
    stroke = curve.stroke_mm(travel * setup.full_travel_mm / 100)
    whole = setup.stroke_mm or float(curve.stroke_mm(np.array([setup.full_travel_mm]))[0])
    return travel, 100 * stroke / whole
