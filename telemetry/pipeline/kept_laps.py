"""The runs of a kept day as laps, of its record alone: what later laps of the same trail are told beside."""

from __future__ import annotations

import datetime as dt
from types import MappingProxyType

from telemetry.library import Kept, KeptRun, KeptSetup
from telemetry.model.finding import End
from telemetry.model.measure import MeasureAt
from telemetry.telling.earlier_laps import TOLD, Lap
from telemetry.telling.names import ENDS
from telemetry.telling.untold import BOTTOMING

from .lenders import DEFINITIONS


def laps_kept(kept: Kept) -> tuple[Lap, ...]:
    """Return a kept day's usable runs as laps, in the order ridden; without those that were left out."""
    setups = {setup.name: setup for setup in kept.setups}
    runs = [run for run in kept.runs if run.measures and run.usable != "ride again" and not run.left_out]
    return tuple(_lap(kept, run, setups[run.setup]) for run in runs if run.setup in setups)


def _lap(kept: Kept, run: KeptRun, setup: KeptSetup) -> Lap:
    rows = {(row["measure"], row["end"]): float(row["value"]) for row in run.measures if row.get("part") is None}
    full: dict[End, float] = {end: setup.full_travel_mm[end] for end in ENDS if end in setup.full_travel_mm}
    values: dict[MeasureAt, float] = {
        key: rows[key] for key in TOLD if key in rows and not _says_less(run, *key, rows[key])
    }
    return Lap(
        date=dt.date.fromisoformat(kept.date),
        order=run.order,
        run=run.name,
        setup=setup.label,
        bike=kept.bike,
        trail=kept.trail,
        rider=run.rider,
        riding_s=rows.get(("riding_time", "both"), 0.0),
        full_mm=MappingProxyType(full),
        values=MappingProxyType(values),
        day=kept.id,
        definitions=0 if kept.definitions == DEFINITIONS else kept.definitions,
    )


def _says_less(run: KeptRun, measure: str, end: str, value: float) -> bool:
    """Tell whether no bottom-out counted leaves it open whether there was one."""
    return measure in BOTTOMING and round(value) == 0 and (run.untold is None or end in run.untold)
