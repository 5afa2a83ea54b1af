"""What is kept of a setup's comparison with its day's baseline: by this, days are put together later."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from telemetry.model.comparison import Estimated


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptChange:
    """What one key was before and after: as a text, and as a number in `unit` where it is one."""

    end: str
    key: str
    words: str
    before: str
    after: str
    before_number: float | None
    after_number: float | None
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptDifference(Estimated):
    """A setup's difference from the day's baseline, and of which row it is.

    `focus`: named before riding. `full_travel_mm`: of the baseline, where travel is what the row is measured in.
    """

    measure: str
    end: str
    unit: str
    scale: str
    focus: bool
    full_travel_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptComparison:
    """A setup held against the day's baseline: what was changed, what speaks against it by its codes, what differed."""

    against: str
    changes: tuple[KeptChange, ...]
    open: tuple[str, ...]
    differences: tuple[KeptDifference, ...]


def comparison_of(raw: Mapping[str, Any] | None) -> KeptComparison | None:
    """Return a comparison from the tables that `asdict` makes of it; None for None."""
    if raw is None:
        return None
    return KeptComparison(
        against=raw["against"],
        changes=tuple(KeptChange(**item) for item in raw["changes"]),
        open=tuple(raw["open"]),
        differences=tuple(KeptDifference(**item) for item in raw["differences"]),
    )
