"""What every figure module returns: the drawing, a sentence for those who can't see it, and its numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from telemetry.model.finding import Place
from telemetry.sheet import Table


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One panel of a figure.

    Attributes
    ----------
    place : {"rear", "front", "both"}
        Where it stands: the bike faces right.
    plot : bokeh model
    alternative : str
        One sentence that says what it shows.
    numbers : Table
    title : str
        What stands above it beside the end's name; empty where the section says it.
    """

    place: Place
    plot: Any
    alternative: str
    numbers: Table
    title: str = ""
