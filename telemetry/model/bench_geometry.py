"""How a setup stands, as the bench tells it: angles and lengths, and what would keep the head angle."""

from __future__ import annotations

from dataclasses import dataclass

from .bench_figures import Figure, Json
from .geometry import Stance

WORDS: tuple[tuple[str, str, str, int], ...] = (
    ("head_angle_deg", "head angle", "°", 2),
    ("trail_mm", "trail", "mm", 1),
    ("mechanical_trail_mm", "mechanical trail", "mm", 1),
    ("bottom_bracket_height_mm", "bottom bracket height", "mm", 1),
    ("wheelbase_mm", "wheelbase", "mm", 1),
    ("front_centre_mm", "front centre", "mm", 1),
    ("reach_mm", "reach", "mm", 1),
    ("stack_mm", "stack", "mm", 1),
)
"""What is told of a stance: its field, what people call it, unit, decimals."""
MAIN = ("head_angle_deg", "trail_mm", "bottom_bracket_height_mm", "wheelbase_mm", "reach_mm")
MAIN_AT_SAG = ("head_angle_deg", "bottom_bracket_height_mm")
"""What is read first of it, unladen and at sag."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepsHeadAngle:
    """What alone would bring the head angle back to the first setup's; None where nothing within reach does.

    Attributes
    ----------
    head_angle_deg : float
        The first setup's.
    fork_mm : float or None
        So much longer the fork would have to be.
    cup_deg : float or None
        So much steeper an angled cup.
    """

    head_angle_deg: float
    fork_mm: float | None
    cup_deg: float | None

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        found: Json = {"head_angle_deg": self.head_angle_deg, "fork_longer_mm": self.fork_mm}
        found["cup_steeper_deg"] = self.cup_deg
        return {key: value for key, value in found.items() if value is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """How a setup stands.

    Attributes
    ----------
    stance : Stance
    front_sag_mm, rear_sag_mm : float
        At the wheels; 0 where it stands unladen.
    sag_from : str
        Where sag comes from, in words; empty where it stands unladen.
    keeps : KeepsHeadAngle or None
        Of a setup but the first whose head angle differs, unladen.
    remarks : tuple of str
        What else has to be said of it.
    """

    stance: Stance
    front_sag_mm: float = 0.0
    rear_sag_mm: float = 0.0
    sag_from: str = ""
    keeps: KeepsHeadAngle | None = None
    remarks: tuple[str, ...] = ()

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Angles and lengths, and what would keep the head angle."""
        known, main = self.stance.known, MAIN_AT_SAG if self.sag_from else MAIN
        found = [
            Figure(what=words, unit=unit, value=known[key], places=places, main=key in main)
            for key, words, unit, places in WORDS
            if key in known
        ]
        keeps = self.keeps
        if keeps is not None and keeps.fork_mm is not None:
            what = "to keep the head angle: fork longer by"
            found.append(Figure(what=what, unit="mm", value=keeps.fork_mm, places=1, main=True))
        if keeps is not None and keeps.cup_deg is not None:
            what = "or, to keep it: cups steeper by"
            found.append(Figure(what=what, unit="°", value=keeps.cup_deg, places=2, main=True))
        return tuple(found)

    def to_dict(self) -> Json:
        """Return it as it stands in JSON."""
        found: Json = dict(self.stance.known)
        if self.sag_from:
            found |= {"front_sag_mm": self.front_sag_mm, "rear_sag_mm": self.rear_sag_mm, "sag_from": self.sag_from}
        if self.keeps is not None:
            found["to_keep_head_angle"] = self.keeps.to_dict()
        return found | ({"remarks": list(self.remarks)} if self.remarks else {})
