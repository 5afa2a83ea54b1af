"""A library whose days were measured by an earlier program: other definitions, other values, verdicts and travel."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from telemetry import library
from telemetry.library import Kept, KeptFile
from telemetry.library.catalogue import writing
from telemetry.library.entering import enter
from telemetry.library.keeping import due, write_due
from telemetry.pipeline.measuring_anew import Measured
from telemetry.pipeline.originals import Originals

OLD = 1
FACTOR = 1.25


def records(root: Path) -> list[Kept]:
    store = library.Store(root)
    return [store.read_record(stem) for stem in store.stems()]


def older(kept: Kept) -> Kept:
    """Return a version as an earlier program had it: front sag a quarter larger, and no verdict a change."""
    setups = []
    for setup in kept.setups:
        values = [
            replace(own, value=own.value * FACTOR) if (own.measure, own.end) == ("dynamic_sag", "front") else own
            for own in setup.values
        ]
        verdicts = [replace(own, verdict="unchanged") for own in setup.verdicts]
        setups.append(replace(setup, values=tuple(values), verdicts=tuple(verdicts)))
    return replace(kept, definitions=OLD, setups=tuple(setups))


def rewritten(root: Path, change: Callable[[Kept], Kept] = older) -> None:
    """Have every kept version say something else, in record and catalogue."""
    with writing(root) as catalogue:
        for kept in records(root):
            with catalogue.change():
                enter(catalogue, change(kept))
                due(catalogue, kept.stem, change(kept).packed())
        write_due(catalogue)


def results(root: Path) -> dict[str, object]:
    """Return what every version is measured as, to the last bit, whenever that was; and its earlier results."""
    return {
        kept.stem: [replace(own, measured_at="", program="") for own in (kept.results, *kept.before)]
        for kept in records(root)
    }


def bits(measured: Iterable[Measured]) -> dict[str, object]:
    """Return what was measured, to the last bit, whenever that was."""
    return {own.stem: own.results and replace(own.results, measured_at="") for own in measured}


@dataclass(frozen=True)
class Deadly(Originals):
    """Originals that kill the process that reads them: the first time, or every time where there is no mark."""

    mark: Path | None = None

    def fetch(self, file: KeptFile, place: Path) -> str:
        if self.mark is None or not self.mark.exists():
            if self.mark is not None:
                self.mark.touch()
            os.kill(os.getpid(), signal.SIGKILL)
        return Originals.fetch(self, file, place)
