"""Pages and reports made of analyses and comparisons; this package imports telemetry, never the other way.

Their figures can be had by name, for a notebook: ``dashboards.figure("travel", telemetry.compare(day))``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from telemetry.lazily import names_of

if TYPE_CHECKING:
    from .notebook import FIGURES, figure

_HOMES = {"notebook": "FIGURES figure"}

__all__ = ["FIGURES", "figure"]

if not TYPE_CHECKING:
    __getattr__ = names_of(__name__, _HOMES)
