"""What the parts of each setup do: the bench's answer.

A part of the answer is a field of `EndBench` or `SetupBench`, None where it can't be had; its reason then stands in
`absent`. Each has a data type of its own whose ``to_dict`` is its JSON: one of an end is entered in `END_PARTS`, one of
the whole bike in `BIKE_PARTS`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from telemetry.sheet import Sheet, Shown

from .day import RideDay
from .finding import End, Place


class Part(Protocol):
    """One part of the answer."""

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON: no NaN, arrays as lists."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lacking:
    """What can't be worked out.

    Attributes
    ----------
    what : str
        The part of the answer: "springs", "damping ratio".
    reason : str
        Why, and which keys would give it.
    end : {"front", "rear", "both"}
    """

    what: str
    reason: str
    end: Place

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        return {"what": self.what, "end": self.end, "reason": self.reason}


@dataclass(frozen=True, slots=True, kw_only=True)
class EndBench:
    """One end of a setup; a part is None where `absent` of the setup says why."""

    end: End

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON, without the parts that it lacks."""
        return _parts(self, END_PARTS)


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupBench:
    """One setup: both ends, and what is of the whole bike.

    Attributes
    ----------
    name, label : str
    front, rear : EndBench
    absent : tuple of Lacking
    """

    name: str
    label: str
    front: EndBench
    rear: EndBench
    absent: tuple[Lacking, ...] = ()

    def at(self, end: End) -> EndBench:
        """Return one end."""
        return self.front if end == "front" else self.rear

    def to_dict(self) -> dict[str, object]:
        """Return it as it stands in JSON."""
        ends: dict[str, object] = {"label": self.label, "front": self.front.to_dict(), "rear": self.rear.to_dict()}
        return ends | _parts(self, BIKE_PARTS) | {"absent": [item.to_dict() for item in self.absent]}


END_PARTS: tuple[str, ...] = ()
"""Parts of an end's answer, by field, in the order of JSON."""
BIKE_PARTS: tuple[str, ...] = ()
"""Parts of the whole bike's, the same way: ``geometry``, ``geometry_at_sag``."""


def _parts(holder: object, names: tuple[str, ...]) -> dict[str, object]:
    parts: dict[str, Part | None] = {name: getattr(holder, name) for name in names}
    return {name: part.to_dict() for name, part in parts.items() if part is not None}


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
    tell : callable
        What it says as lines and tables.
    """

    day: RideDay
    setups: tuple[SetupBench, ...]
    tell: Callable[[Bench], Sheet] = _nothing

    @property
    def in_short(self) -> str:
        """Title, and how many setups."""
        return f"{self.day.title}: parts of {', '.join(setup.label for setup in self.setups)}"

    @property
    def sheet(self) -> Sheet:
        """What it says, as lines and tables."""
        return self.tell(self)

    def setup(self, name: str) -> SetupBench:
        """Return the setup of that name; KeyError where there is none."""
        return {setup.name: setup for setup in self.setups}[name]

    def to_dict(self) -> dict[str, object]:
        """Return the JSON of ``telemetry bench --json``."""
        return {"ride_day": self.day.title, "setups": {setup.name: setup.to_dict() for setup in self.setups}}
