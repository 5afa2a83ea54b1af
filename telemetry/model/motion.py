"""What a ride's motion consists of: riding time, strokes, and trail sections."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from .arrays import Bools, Floats, Ints
from .finding import End

Stretch = tuple[int, int]
"""Samples [start, stop)."""
StrokeKind: TypeAlias = Literal["hits", "returns"]
"""Compressions, or rebounds, of at least 6 % of full travel."""
LAG_WINDOW_S = 4.0
"""In windows of so long the rear is looked for where the front was: ground speed, and whether the ends are swapped."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RidingTime:
    """Which samples of a ride count.

    Attributes
    ----------
    riding : bool array, shape (n,)
        Neither standing nor lifted, within start and end.
    airborne : bool array, shape (n,), or None
        Riding samples in flight; None where flight can't be told.
    standing, lifted, flights : tuple of (start, stop)
        Stretches of samples.
    why_no_flight : str
        The reason where `airborne` is None.
    rate_hz : float
    """

    riding: Bools
    airborne: Bools | None
    standing: tuple[Stretch, ...]
    lifted: tuple[Stretch, ...]
    flights: tuple[Stretch, ...]
    why_no_flight: str
    rate_hz: float

    @property
    def riding_s(self) -> float:
        """Riding time, s."""
        return float(self.riding.sum()) / self.rate_hz


@dataclass(frozen=True, slots=True, kw_only=True)
class PushGroup:
    """Three pushes at every measured end, as samples [start, stop).

    `start` is where the first hit begins, `stop` where the last return has ended.
    """

    start: int
    stop: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LonePushes:
    """Three pushes seen at one end while the other stood still or moved the other way.

    Attributes
    ----------
    end, other : {"front", "rear"}
        Where the pushes are seen, and where they aren't.
    at : PushGroup
    other_share : float
        How far the other end moved, share of its full travel.
    opposite : bool
        Whether the other end shows the three pushes upside down.
    """

    end: End
    other: End
    at: PushGroup
    other_share: float
    opposite: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Pushes:
    """Every group of three pushes in a run, in time order, and which of them mark its start and its end.

    `upside_down` are groups that every measured end shows the wrong way, looked for where no other is seen.
    """

    groups: tuple[PushGroup, ...] = ()
    lone: tuple[LonePushes, ...] = ()
    upside_down: tuple[PushGroup, ...] = ()
    at_start: PushGroup | None = None
    at_end: PushGroup | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Strokes:
    """Compression or rebound strokes of one end that count, in time order.

    Attributes
    ----------
    start, stop : int arrays, shape (k,)
        Samples of the turning points; a stroke includes both.
    start_mm, stop_mm : float arrays, shape (k,)
        Filtered wheel travel there.
    peak_mm_s : float array, shape (k,)
        Largest wheel speed among the stroke's samples, positive.
    peak_shaft_mm_s : float array, shape (k,), or None
        The same at the damper shaft; None where the shaft's motion isn't known.
    """

    start: Ints
    stop: Ints
    start_mm: Floats
    stop_mm: Floats
    peak_mm_s: Floats
    peak_shaft_mm_s: Floats | None

    @property
    def length_mm(self) -> Floats:
        """Length of each stroke, mm, positive."""
        return abs(self.stop_mm - self.start_mm)

    def where(self, keep: Bools) -> Strokes:
        """Return the strokes for which `keep` holds."""
        shaft = self.peak_shaft_mm_s
        return Strokes(
            start=self.start[keep],
            stop=self.stop[keep],
            start_mm=self.start_mm[keep],
            stop_mm=self.stop_mm[keep],
            peak_mm_s=self.peak_mm_s[keep],
            peak_shaft_mm_s=None if shaft is None else shaft[keep],
        )

    def __len__(self) -> int:
        return int(self.start.shape[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Events:
    """Single events: the sample each starts at, and a figure of each (s, mm, or a weight's partner)."""

    start: Ints
    value: Floats
    weight: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class EndMotion:
    """Everything the measures count at one end of one ride.

    Attributes
    ----------
    compressions, rebounds : Strokes
        All strokes that count.
    hits, returns : Strokes
        Those of at least 6 % of full travel.
    bottom_outs : Events
        At the crossing sample; value = seconds the last 8 mm took (inf where they weren't ridden through).
    top_outs : Events
        At the return's start; value = speed of the last 8 mm, mm/s.
    recoveries : Events
        At the hit's start; value = seconds from the deepest sample back to dynamic sag.
    bursts : Events
        At the first hit's start; value = slope, mm a hit; weight = hits - 1.
    line_mm : float
        Depth from which a bottom-out counts, mm.
    """

    end: End
    full_travel_mm: float
    compressions: Strokes
    rebounds: Strokes
    hits: Strokes
    returns: Strokes
    bottom_outs: Events
    top_outs: Events
    recoveries: Events
    bursts: Events
    line_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedEnd:
    """One end's movement about its ride height out of acceleration, above a corner of 0.6 Hz.

    Attributes
    ----------
    movement_mm, speed_mm_s : float arrays, shape (n,)
        Positive in compression; 0 in stretches too short to settle.
    hits, returns : Strokes
        Of at least 10 mm; heights are about the ride height.
    settled : tuple of (start, stop)
        Where movement is told: 3 s and more from the ends of a gap-free stretch.
    error_mm : float
        Standard deviation of what movement is wrong by.
    error_from : str
        What that was found from, in words: "from rest to rest".
    words : str
        From what, and along what.
    unplaced_mm : float or None
        By how much (sd) it is wrong for each 100 mm that the chassis' sensor sits fore or aft of the wheel's path; None
        where its place is stated.
    """

    end: End
    movement_mm: Floats
    speed_mm_s: Floats
    hits: Strokes
    returns: Strokes
    settled: tuple[Stretch, ...]
    error_mm: float
    error_from: str
    words: str
    unplaced_mm: float | None = None
