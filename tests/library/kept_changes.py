"""Kept days of one change, entered with differences that are known."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np

from telemetry import library
from telemetry.library import Kept, KeptChange, KeptComparison, KeptDifference
from telemetry.library.catalogue import writing
from telemetry.library.entering import enter

OIL = "lower_leg_oil_each_ml"
SAG = {"measure": "dynamic_sag", "end": "front", "unit": "%", "scale": "raw", "full_travel_mm": 160.0, "margin": 2.0}
PACKING = SAG | {"measure": "packing", "unit": "mm per hit", "margin": 0.5}
DEPTH = SAG | {"measure": "hit_depth_10_per_min"}
SPEED = SAG | {
    "measure": "rebound_speed_10_per_min",
    "unit": "mm/s",
    "scale": "log",
    "full_travel_mm": None,
    "margin": float(np.log(1.1)),
}
BOTTOMS = SPEED | {"measure": "deep_hits_per_min", "unit": "1/min", "scale": "count", "margin": float(np.log(1.5))}


def change(before: float | str = 20.0, after: float | str = 8.0, **other: Any) -> KeptChange:
    numbers = [value if isinstance(value, float) else None for value in (before, after)]
    about = {"end": "front", "key": OIL, "words": "lower-leg oil", "unit": "ml"} | other
    texts = {"before": f"{before} ml", "after": f"{after} ml"}
    return KeptChange(**about, **texts, before_number=numbers[0], after_number=numbers[1])


def difference(d: float, se: float = 0.3, *, row: dict[str, Any] | None = None, **other: Any) -> KeptDifference:
    told = {"focus": False, "nu": 4.0, "reach": 0.8, "floor_se": 0.1, "floor_nu": 15.0}
    return KeptDifference(**told | (row or SAG) | {"d": d, "se": se} | other)


@dataclass(frozen=True, kw_only=True)
class Day:
    """One day to enter; `setups` are what is held against its baseline."""

    bike: str = "Mule"
    setups: tuple[KeptComparison, ...] = ()
    definitions: int = 2
    cutoff_hz: float | None = 60.0
    runs: tuple[str, ...] = ()
    more: dict[str, Any] = field(default_factory=dict)


def compared(
    *rows: KeptDifference, changes: Iterable[KeptChange] = (change(),), opened: tuple[str, ...] = ()
) -> KeptComparison:
    return KeptComparison(against="before", changes=tuple(changes), open=opened, differences=rows)


def entered(root: Path, kept: Kept, days: Iterable[Day]) -> list[str]:
    """Enter days, a date each; return their ids."""
    names = []
    with writing(root) as catalogue, catalogue.change():
        for place, day in enumerate(days, 1):
            names.append(f"2026-06-{place:02d}-00000{place:x}")
            baseline = replace(kept.setups[0], name="before", compared=None)
            others = [
                replace(kept.setups[1], name=f"after_{number}", compared=own)
                for number, own in enumerate(day.setups, 1)
            ]
            logs = [own for own in kept.files if own.is_run]
            mark = place.to_bytes(2, "big")
            files = tuple(replace(own, sha256=(bytes.fromhex(own.sha256)[:-2] + mark).hex()) for own in kept.files)
            shared = tuple(replace(logs[0], path=run, sha256=run.encode().hex().ljust(64, "0")) for run in day.runs)
            version = replace(
                kept,
                id=names[-1],
                date=names[-1][:10],
                bike=day.bike,
                place=names[-1],
                definitions=day.definitions,
                kept_at=f"2026-07-{place:02d}T00:00:00+00:00",
                conditioning={"cutoff_hz": day.cutoff_hz},
                setups=(baseline, *others),
                files=(*files, *shared),
            )
            enter(catalogue, replace(version, **day.more))
    return names


def five(root: Path, kept: Kept, **of_all: Any) -> list[str]:
    """Enter five days of five bikes on which less oil let the front sag 4 points deeper, give or take."""
    ds = (4.1, 3.6, 4.4, 3.9, 4.2)
    return entered(
        root,
        kept,
        [Day(bike=f"Bike {place}", setups=(compared(difference(d)),), **of_all) for place, d in enumerate(ds)],
    )


def record(root: Path, day: str) -> Kept:
    with library.reading(root) as catalogue:
        return library.record_of(catalogue, day)
