"""`together`: the same change on several kept days as one summary."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from telemetry import library
from telemetry.comparison import days_together
from telemetry.errors import CallError
from telemetry.library import MeasureKept, Wanted
from telemetry.model.day import SAME_TRAVEL_MM
from telemetry.model.finding import Place
from telemetry.model.measure_spec import Scale
from telemetry.model.together import DaysRow, DaysTogether, DayTogether, RefusedRow
from telemetry.telling.together import with_words
from telemetry.words import figure

from .days_alike import FEWEST, Alike, Chosen, asked_change, common_change, days_alike, told_sizes

SAME_SHARE = 1e-5
"""The catalogue holds seven digits."""
TWO_TRAVELS = "full_travel_differs"
"""Left open by a day whose own setups have unlike full travel: there a share is of two travels."""


def together(
    days: Sequence[str] = (),
    change: str = "",
    folder: str | os.PathLike[str] | None = None,
    *,
    wanted: Wanted | None = None,
    open_too: bool = False,
    proportional: bool = False,
) -> DaysTogether:
    """Put the same change on several kept days together.

    Parameters
    ----------
    days : sequence of str
        Ids; none: all that are like `wanted`.
    change : str
        ``"lower_leg_oil_each_ml"``, ``"front.rebound=less"``; empty with ids: the one that they share.
    folder : str or path, optional
        Of the library; else ``TELEMETRY_LIBRARY``, else the user's data folder.
    wanted : Wanted, optional
    open_too, proportional : bool
        As of `days_alike`.

    Raises
    ------
    CallError
        If they can't be put together, with the reason.
    """
    with library.reading(library.library_folder(folder)) as catalogue:
        if not (days or change):
            raise library.nothing_asked(catalogue)
        asked = asked_change(change) if change else None
        if asked is not None:
            asked = replace(asked, key=library.key_meant(catalogue, asked.key, f"--change {change}"))
        found = library.changed_days(catalogue, days, wanted or Wanted(), "" if days or asked is None else asked.key)
        measures = library.measures_kept(catalogue)
    alike = days_alike(found, asked or common_change(found), open_too=open_too, proportional=proportional)
    names = [own.day.id for own in alike.chosen]
    rows, refused = _rows(alike, measures)
    told, families = days_together(rows, names)
    if not told:
        raise CallError(alike.change.key, "no measure that two of the days tell alike", "one at least", "name others")
    first = alike.chosen[0].day
    return with_words(
        DaysTogether(
            change=alike.change,
            days=tuple(map(_day, alike.chosen)),
            left_out=alike.left_out,
            definitions=first.definitions,
            cutoff_hz=first.cutoff_hz,
            rows=told,
            refused=tuple(refused),
            families=families,
        )
    )


def _day(own: Chosen) -> DayTogether:
    return DayTogether(
        day=own.day.id,
        date=own.day.date,
        bike=own.day.bike,
        setup=own.setup.name,
        against=own.setup.against,
        size=own.size,
        open=own.setup.open,
    )


def _rows(alike: Alike, measures: Mapping[int, MeasureKept]) -> tuple[list[DaysRow], list[RefusedRow]]:
    """Return each measure over the days that tell it, and those that aren't told alike."""
    packed = [own.setup.differences for own in alike.chosen]
    every = library.unpacked(b"".join(packed))
    day = np.repeat(np.arange(len(packed)), [len(rows) // every.itemsize for rows in packed])
    times = np.array(list(told_sizes(alike.chosen, alike.change)))[day]
    mixed = np.array([TWO_TRAVELS in own.setup.open for own in alike.chosen])
    told, refused = [], []
    for key in dict.fromkeys(every["measure"].tolist()):
        here = every["measure"] == key
        kept, own = measures[key], every[here]
        why = _unlike(own, kept.unit, own_travel=not mixed[day[here]].any())
        if why:
            refused.append(RefusedRow(measure=kept.measure, end=cast(Place, kept.end), reason=why))
        elif len(own) >= FEWEST:
            told.append(_row(kept, own, day[here], times[here], len(packed)))
    return told, refused


def _row(kept: MeasureKept, own: NDArray[Any], day: NDArray[Any], times: NDArray[Any], days: int) -> DaysRow:
    figures = {name: own[name].astype(float) for name in ("d", "se", "nu", "reach", "floor_se", "floor_nu")}
    for name in ("d", "se", "reach", "floor_se"):
        figures[name] = figures[name] * times
    return DaysRow(
        measure=kept.measure,
        end=cast(Place, kept.end),
        unit=kept.unit,
        scale=cast(Scale, library.scale_of(int(own["scale"][0]))),
        focus=bool(own["focus"].all()) and len(own) == days,
        margin=float(own["margin"][0]),
        days=tuple(day.tolist()),
        **figures,
    )


def _unlike(own: NDArray[Any], unit: str, *, own_travel: bool) -> str:
    """Return why days don't tell a measure alike; empty where they do."""
    return next(_reasons(own, unit, own_travel=own_travel), "")


def _reasons(own: NDArray[Any], unit: str, *, own_travel: bool) -> Iterator[str]:
    margins, full = own["margin"], own["full_travel_mm"]
    if margins.max() - margins.min() > SAME_SHARE * margins.max():
        yield "the smallest change that matters isn't the same on all days"
    if not (np.maximum(own["se"], np.nan_to_num(own["floor_se"])) > 0).all():
        yield "runs of one setup don't differ at all on a day: how well it tells this isn't known"
    full = full[~np.isnan(full)]
    share = unit.startswith("%")
    if len(full) and full.max() - full.min() > SAME_TRAVEL_MM and not (share and own_travel):
        least, most = (figure(float(mm), 1) for mm in (full.min(), full.max()))
        other = "a share of it isn't the same travel" if share else "as many mm aren't the same share of it"
        yield f"full travel differs between days, {least} to {most} mm: {other}"
