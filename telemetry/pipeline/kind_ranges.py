"""`bikes`: where the bikes of a kind lie that this shop kept days of."""

from __future__ import annotations

import os
import statistics
from collections import Counter
from collections.abc import Sequence
from typing import cast

import numpy as np

from telemetry import library
from telemetry.comparison import kind_rows
from telemetry.library import Catalogue, LeftBike
from telemetry.model.catalogue import SPECS
from telemetry.model.finding import Place
from telemetry.model.kind_ranges import KindRanges, KindValues
from telemetry.words import figure

OF_TRAVEL = frozenset({"%", "mm", "mm per hit"})
"""Units of measures that full travel takes part in."""
LIKE_TRAVEL = 0.1
"""By so much of the middle one full travel may differ where travel is what is told. Own choice."""


def bikes_of_kind(kind: str, folder: str | os.PathLike[str] | None = None, *, beside: str = "") -> KindRanges:
    """Return where bikes of a kind lie, each as it was left on its last kept day.

    Parameters
    ----------
    kind : str
        As ``[bike] kind`` says it.
    folder : str or path, optional
        Of the library; else ``TELEMETRY_LIBRARY``, else the user's data folder.
    beside : str, optional
        A bike to hold beside them; it isn't counted among them.

    Raises
    ------
    CallError
        If no bike is of that kind, or none is called like the one beside.
    """
    with library.reading(library.library_folder(folder)) as catalogue:
        own = library.bike_named(catalogue, beside) if beside else ""
        return _ranges(kind, library.bikes_left(catalogue, kind, own), own)


def bikes_like(bike: str, catalogue: Catalogue) -> KindRanges | None:
    """Return where the other bikes of a bike's own kind lie, itself beside them.

    None where its last kept day states no kind, or it was measured or cleaned otherwise than they.
    """
    own = library.folded(bike)
    kind = library.kind_of(catalogue, own)
    if not kind:
        return None
    found = library.bikes_left(catalogue, kind, own)
    ranges = _ranges(kind, found, own)
    one = next(left for left in found if library.folded(left.bike) == own)
    return ranges if (one.definitions, one.cutoff_hz) == (ranges.definitions, ranges.cutoff_hz) else None


def _ranges(kind: str, found: Sequence[LeftBike], own: str) -> KindRanges:
    """Return where bikes lie; the one whose folded name is `own` stands beside them."""
    one = next((bike for bike in found if own and library.folded(bike.bike) == own), None)
    others = [bike for bike in found if bike is not one and library.folded(bike.kind) == library.folded(kind)]
    alike, left_out = _alike(others)
    told = {} if one is None else one.values
    beside_them = {(measure, cast(Place, end)): value for (measure, end, _), value in told.items()}
    rows, refused = kind_rows(_values(alike), beside_them)
    first = alike[0] if alike else found[0]
    return KindRanges(
        kind=kind,
        n_bikes=len(alike),
        n_days=sum(bike.days for bike in alike),
        definitions=first.definitions,
        cutoff_hz=first.cutoff_hz,
        left_out=tuple(left_out),
        rows=rows,
        refused=refused,
        beside="" if one is None else one.bike,
    )


def _alike(bikes: Sequence[LeftBike]) -> tuple[list[LeftBike], list[tuple[str, str]]]:
    """Return the most bikes that were measured and cleaned alike, and the others with the reason."""
    if not bikes:
        return [], []
    counts = Counter((bike.definitions, bike.cutoff_hz) for bike in bikes)
    most = max(counts, key=lambda how: (counts[how], how[0]))
    alike = [bike for bike in bikes if (bike.definitions, bike.cutoff_hz) == most]
    left = [(bike.bike, _unlike(bike, most)) for bike in bikes if (bike.definitions, bike.cutoff_hz) != most]
    return alike, left


def _unlike(bike: LeftBike, most: tuple[int, float | None]) -> str:
    if bike.definitions != most[0]:
        return f"measured by definitions {bike.definitions}, the others by {most[0]}; `telemetry library reanalyse`"
    cutoffs = ["unknown height" if hz is None else f"{figure(hz, 0)} Hz" for hz in (bike.cutoff_hz, most[1])]
    return f"cleaned with a cut-off of {cutoffs[0]}, the others of {cutoffs[1]}"


def _values(bikes: Sequence[LeftBike]) -> list[KindValues]:
    """Return each measure's values, a bike each; where travel is told, of bikes of like travel alone."""
    found = []
    for measure, end, unit in dict.fromkeys(place for bike in bikes for place in bike.values):
        telling = [bike for bike in bikes if (measure, end, unit) in bike.values]
        if end in ("front", "rear") and measure in SPECS and SPECS[measure].by == "travel" and unit in OF_TRAVEL:
            telling = _of_like_travel(telling, end)
        values = np.array([bike.values[measure, end, unit] for bike in telling], dtype=np.float64)
        if measure in SPECS:
            found.append(KindValues(measure=measure, end=cast(Place, end), unit=unit, values=values))
    return found


def _of_like_travel(bikes: Sequence[LeftBike], end: str) -> list[LeftBike]:
    known = [bike for bike in bikes if end in bike.full_travel_mm]
    if not known:
        return []
    middle = statistics.median(bike.full_travel_mm[end] for bike in known)
    return [bike for bike in known if abs(bike.full_travel_mm[end] / middle - 1) <= LIKE_TRAVEL]
