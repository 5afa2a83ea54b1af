"""Measured values, and the measures that could not be had with the reason."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from .finding import Place

MeasureAt: TypeAlias = tuple[str, Place]
"""A measure by name, and the end it is of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One value in its unit. `part` names the trail section where a measure has one value a section."""

    measure: str
    end: Place
    unit: str
    value: float
    part: str | None = None

    def to_dict(self) -> dict[str, object]:
        """Return the value as it stands in JSON."""
        row: dict[str, object] = {
            "measure": self.measure,
            "end": self.end,
            "unit": self.unit,
            "value": self.value,
        }
        return row if self.part is None else row | {"part": self.part}


@dataclass(frozen=True, slots=True, kw_only=True)
class Absent:
    """A measure the data can't give, with the reason; never zero."""

    measure: str
    end: Place
    reason: str

    def to_dict(self) -> dict[str, object]:
        """Return the row as it stands in JSON."""
        return {"measure": self.measure, "end": self.end, "reason": self.reason}
