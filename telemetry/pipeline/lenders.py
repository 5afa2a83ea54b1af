"""Earlier days as they lend: how far the runs of one setup scattered on each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from telemetry.model.catalogue import compared_rows
from telemetry.model.earlier import DayLeftOut, EarlierDay, LentBy
from telemetry.model.measure import MeasureAt
from telemetry.model.plan import RunsOf
from telemetry.planning import DaySpread, by_setup, pooled_spread

from .studied import Study
from .valuing import valued

DEFINITIONS = 2
"""Raised with every change of a measure's definition or of the rule: what was kept before is read anew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lenders:
    """Days that lend, with the spread of each in the same order; those that don't; and why none does.

    `library_is_younger`: nothing at all had been kept when riding began.
    """

    source: LentBy = ""
    days: tuple[EarlierDay, ...] = ()
    spreads: tuple[Mapping[MeasureAt, DaySpread], ...] = ()
    left_out: tuple[DayLeftOut, ...] = ()
    why_none: str = ""
    library_is_younger: bool = False


def spreads_of(done: Study) -> dict[MeasureAt, DaySpread]:
    """Return how far a studied day's runs of one setup scatter, row by row; nothing of a row that none tells.

    Parameters
    ----------
    done : Study

    Raises
    ------
    CallError
        If no run can be used, or nothing of the trail is whole in every run.
    """
    runs = tuple(run for run in done.runs if run.usable)
    found = valued(done, runs, None)
    spreads = {}
    for spec, end in compared_rows(done.day.ends_by_acceleration):
        values = [(run.entry, found.values[run.entry.name][spec.name, end].value) for run in runs]
        told = [(entry, value) for entry, value in values if value is not None]
        of_row = RunsOf(
            source="another day",
            setups=tuple(entry.setup for entry, _ in told),
            orders=tuple(entry.order for entry, _ in told),
            values=tuple(value for _, value in told),
        )
        spread = None if spec.scale == "count" else pooled_spread(by_setup(of_row, log=spec.scale == "log"))
        if spread is not None and spread.s > 0 and spread.nu is not None:
            spreads[spec.name, end] = DaySpread(variance=spread.s**2, nu=spread.nu)
    return spreads
