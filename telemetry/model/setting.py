"""One key of a setup in force: its value, the words it was entered in, and how well it is known."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal, TypeAlias


@dataclass(frozen=True, slots=True, kw_only=True)
class AdjusterPosition:
    """Clicks or turns counted from closed, of so many in all."""

    from_closed: float
    of: float | None
    unit: Literal["clicks", "turns"]


ForcePoints: TypeAlias = tuple[tuple[float, float], ...]
"""Speed at the shaft (mm/s) and force (N), compression positive, by rising speed."""
SettingValue: TypeAlias = float | bool | str | date | AdjusterPosition | ForcePoints


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One resolved key of a setup.

    Attributes
    ----------
    key : str
    value : SettingValue
        In the metric key's unit.
    entered : str
        With its unit, as the tuner wrote it: "88 psi", "9 of 18 clicks from closed".
    plus_minus : float or None
        How well a number is known, in the key's unit; None where nothing is stated of it.
    """

    key: str
    value: SettingValue
    entered: str
    plus_minus: float | None = None
