"""What the parts of each setup do: the bench's answer.

A part of the answer is a field of `EndBench` or `SetupBench`, None where it can't be had; its reason then stands in
`absent`. Each has a data type of its own whose ``to_dict`` is its JSON: one of an end is entered in `END_PARTS`, one of
the whole bike in `BIKE_PARTS`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from telemetry.sheet import Sheet, Shown

from .bench_damper import DamperForces
from .bench_figures import FigureAt, FigureRow, Lacking, Part, Ranged, Unseen, Width
from .bench_friction import Friction, FrictionChange
from .bench_geometry import Geometry
from .bench_leverage import Leverage
from .bench_masses import Masses, SetUp
from .bench_springs import Legs, Springs
from .comparison import SetupDifference
from .day import RideDay
from .finding import End


@dataclass(frozen=True, slots=True, kw_only=True)
class EndBench:
    """One end of a setup; a part is None where `absent` of the setup says why."""

    end: End
    leverage: Leverage | None = None
    springs: Springs | None = None
    lower_legs: Legs | None = None
    damper: DamperForces | None = None
    masses: Masses | None = None
    set_up: SetUp | None = None
    friction: Friction | None = None

    @property
    def parts(self) -> dict[str, Part]:
        """What it has, by field."""
        return parts_of(self, END_PARTS)

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON, without the parts that it lacks."""
        return {name: part.to_dict() for name, part in self.parts.items()}


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupBench:
    """One setup: both ends, and what is of the whole bike.

    Attributes
    ----------
    name, label : str
    front, rear : EndBench
    geometry, geometry_at_sag : Geometry or None
        Unladen, and with sag at both wheels.
    absent : tuple of Lacking
    widths : tuple of Width
        How well the figures are known that it rests on, and what was assumed.
    """

    name: str
    label: str
    front: EndBench
    rear: EndBench
    geometry: Geometry | None = None
    geometry_at_sag: Geometry | None = None
    absent: tuple[Lacking, ...] = ()
    widths: tuple[Width, ...] = ()

    @property
    def parts(self) -> dict[str, Part]:
        """What it has of the whole bike, by field."""
        return parts_of(self, BIKE_PARTS)

    def at(self, end: End) -> EndBench:
        """Return one end."""
        return self.front if end == "front" else self.rear

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        ends: dict[str, object] = {"label": self.label, "front": self.front.to_dict(), "rear": self.rear.to_dict()}
        whole = {name: part.to_dict() for name, part in self.parts.items()}
        told = {"absent": [item.to_dict() for item in self.absent], "known": [item.to_dict() for item in self.widths]}
        return ends | whole | told


END_PARTS: tuple[str, ...] = ("leverage", "springs", "lower_legs", "damper", "masses", "set_up", "friction")
"""Parts of an end's answer, by field, in the order of JSON."""
BIKE_PARTS: tuple[str, ...] = ("geometry", "geometry_at_sag")
"""Parts of the whole bike's, the same way."""


def parts_of(holder: object, names: tuple[str, ...]) -> dict[str, Part]:
    """Return those of the named fields that are there."""
    held: dict[str, Part | None] = {name: getattr(holder, name) for name in names}
    return {name: part for name, part in held.items() if part is not None}


def _nothing(_bench: Bench) -> Sheet:
    return ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Bench(Shown):
    """What the parts of a day's setups do.

    Attributes
    ----------
    day : RideDay
    setups : tuple of SetupBench
        As they stand in the file; the comparison's baseline first.
    rows : tuple of FigureRow
        Every figure of every part, setups side by side.
    friction : tuple of FrictionChange
    setup_differences : tuple of SetupDifference
        What setups differ in from the first on paper.
    unseen : tuple of Unseen
        Which of these move no figure.
    possible : float
        Share of the draws behind the ranges in which the figures were those of parts that can be.
    tell : callable
        What it says as lines and tables.
    """

    day: RideDay
    setups: tuple[SetupBench, ...]
    rows: tuple[FigureRow, ...] = ()
    friction: tuple[FrictionChange, ...] = ()
    setup_differences: tuple[SetupDifference, ...] = ()
    unseen: tuple[Unseen, ...] = ()
    possible: float = 1.0
    tell: Callable[[Bench], Sheet] = _nothing

    @property
    def in_short(self) -> str:
        """Title and setups."""
        return f"{self.day.title}: what the parts do ({', '.join(setup.label for setup in self.setups)})"

    @property
    def sheet(self) -> Sheet:
        """What it says, as lines and tables."""
        return self.tell(self)

    def apart(self, at: FigureAt, setup: str) -> Ranged | None:
        """Return a figure of a setup less the first setup's; None where either doesn't have it."""
        rows = (row for row in self.rows if row.at == at)
        return next((row.differences[setup] for row in rows if setup in row.differences), None)

    def ranged(self, at: FigureAt, setup: str) -> Ranged | None:
        """Return a figure of a setup with its range; None where it doesn't have it."""
        rows = (row for row in self.rows if row.at == at)
        return next((row.values[setup] for row in rows if setup in row.values), None)

    def setup(self, name: str) -> SetupBench:
        """Return the setup of that name; KeyError where there is none."""
        return {setup.name: setup for setup in self.setups}[name]

    def to_dict(self) -> dict[str, object]:
        """Return the JSON of ``telemetry bench --json``."""
        return {
            "ride_day": self.day.title,
            "setups": {setup.name: setup.to_dict() for setup in self.setups},
            "setup_differences": [row.to_dict() for row in self.setup_differences],
            "unseen": [item.to_dict() for item in self.unseen],
            "friction": [row.to_dict() for row in self.friction],
            "absent": [{"setup": setup.name, **item.to_dict()} for setup in self.setups for item in setup.absent],
            "possible_draws": self.possible,
            "figures": [row.to_dict() for row in self.rows],
        }
