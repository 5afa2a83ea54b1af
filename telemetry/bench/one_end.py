"""One end: every part of its answer, and why others lack."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from telemetry.model.bench import EndBench
from telemetry.model.bench_figures import Lacking

from .clicks import lacking_clicks, positions_of
from .damper import damper_part, damping_ratio, lacking_damper, measured_damper
from .lower_legs import legs_part
from .masses import carried, lacking_masses, lacking_swing, masses_part, sag_mm
from .parts import springs_of
from .set_up import set_up_part
from .springs import lacking_springs, springs_part
from .stated import Stated


def end_of(stated: Stated, others: Sequence[Stated] = ()) -> EndBench:
    """Return an end's answer, as far as what is stated goes.

    Parameters
    ----------
    stated : Stated
    others : sequence of Stated
        The same end of the day's other setups: they may state what its damper does at other clicks.

    Raises
    ------
    PartError
        If figures contradict each other.
    """
    springs, own, damper = springs_of(stated), carried(stated), measured_damper(stated)
    rest = None if springs is None or own is None else sag_mm(springs, own)[0]
    found = EndBench(
        end=stated.end,
        springs=None if springs is None else springs_part(stated, springs, rest),
        lower_legs=legs_part(stated) if stated.end == "front" else None,
        damper=damper_part(stated),
    )
    if springs is None or own is None:
        return found

    def ratio_at(travel_mm: float, sprung_kg: float) -> float | None:
        return None if damper is None else damping_ratio(damper, springs, travel_mm, sprung_kg)

    return replace(
        found,
        masses=masses_part(stated, springs, own, ratio_at),
        set_up=set_up_part(stated, springs, own, damper, positions_of((stated, *others))),
    )


def lacking_of(stated: Stated) -> Iterator[Lacking]:
    """Yield what of an end can't be told."""
    yield from lacking_springs(stated)
    yield from filter(None, (lacking_masses(stated), lacking_swing(stated)))
    yield from lacking_damper(stated)
    yield from lacking_clicks(stated)
