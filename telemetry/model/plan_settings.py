"""What a planned day may cost, as a ride day states it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from . import ranges as r


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanSettings:
    """The ``[plan]`` table. Keys of `spread` are (measure, end); `day_min` is the longest day."""

    spread: Mapping[tuple[str, str | None], float]
    spread_from: Path | None = None
    run_min: r.Minutes | None = None
    return_min: r.Minutes | None = None
    change_over_min: r.Minutes | None = None
    day_min: r.DayMinutes | None = None
    can_be_undone: bool = True
