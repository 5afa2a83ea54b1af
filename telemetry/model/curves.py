"""What the figures draw of one run at one end: distributions and the deepest hits' close-ups."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from .arrays import Floats
from .finding import End
from .inertial import Site
from .motion import StrokeKind
from .phase import Confidence, PhaseName


@dataclass(frozen=True, slots=True, kw_only=True)
class EndCurves:
    """Distributions of one end in one run, over riding time.

    Attributes
    ----------
    depth_pct : float array, shape (d,)
        Depths, % of full travel, increasing.
    deeper_pct : float array, shape (d,)
        Share of riding time spent deeper than each depth, %.
    travel_edges_pct, travel_share_pct : float arrays, shapes (b + 1,), (b,)
        Histogram of travel: share of riding time in each bin, %.
    speed_edges_mm_s, speed_share_pct : float arrays, shapes (w + 1,), (w,)
        Distribution of time over wheel speed, compression positive; edges even on asinh(v / 100 mm/s).
    hit_peaks_mm_s, return_peaks_mm_s : float arrays
        Peak wheel speeds of every hit and return, in time order (positive).
    bottoming_line_pct : float
        Depth from which a bottom-out counts, % of full travel.
    """

    end: End
    full_travel_mm: float
    depth_pct: Floats
    deeper_pct: Floats
    travel_edges_pct: Floats
    travel_share_pct: Floats
    speed_edges_mm_s: Floats
    speed_share_pct: Floats
    hit_peaks_mm_s: Floats
    return_peaks_mm_s: Floats
    bottoming_line_pct: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DeepHit:
    """One of a run's deepest hits and its close-up, 0.5 s before to 1 s after the deepest point.

    `bottomed` is None where what isn't known of zero and full travel decides that.
    `trace_s` are the log's seconds; `trace_pct` maps each measured end to travel in % on those times.
    """

    end: End
    at_s: float
    depth_pct: float
    depth_mm: float
    entry_speed_mm_s: float
    length_mm: float
    bottomed: bool | None
    trace_s: Floats
    trace_pct: Mapping[End, Floats]


@dataclass(frozen=True, slots=True, kw_only=True)
class FeltLanding:
    """What the chassis felt from a touch-down on: highest upward acceleration, downward speed lost, time to settle."""

    peak_g: float
    impulse_m_s: float
    lasts_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Flight:
    """One airborne stretch, the log's seconds; `landing` is None where no inertial sensor on the chassis felt it."""

    start_s: float
    end_s: float
    landing: FeltLanding | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RiddenPhase:
    """How long one phase of a run was ridden, how well that is known, and what it was told by."""

    name: PhaseName
    ridden_s: float
    confidence: Confidence
    told_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PackingBurst:
    """A burst of hits that each start deeper (or not): first start, hits, slope in mm a hit."""

    end: End
    start_s: float
    hits: int
    slope_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ShakenCurves:
    """How hard one place with an inertial sensor was shaken in one run.

    Attributes
    ----------
    peaks_m_s2 : float array, shape (k,)
        Peaks of upward acceleration's size, 1 to 80 Hz, in the order of time.
    minutes : float
        Of riding they were looked for in.
    """

    peaks_m_s2: Floats
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Spectrum:
    """A figure by frequency.

    Attributes
    ----------
    frequency_hz, value : float arrays, shape (f,)
        At the true centres of thirds of an octave, increasing; NaN where it can't be told.
    """

    frequency_hz: Floats
    value: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedCurves:
    """How one end moved about its ride height, out of acceleration.

    Attributes
    ----------
    edges_mm, share_pct : float arrays, shapes (b + 1,), (b,)
        Share of riding time in each bin of movement, %, compression positive.
    """

    edges_mm: Floats
    share_pct: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class InertialPicture:
    """What is drawn of a run's inertial sensors.

    Attributes
    ----------
    shaken : mapping of (end, on) to ShakenCurves
    passed_on : mapping of end to Spectrum
        Chassis over wheel, a ratio.
    shock : mapping of end to Spectrum
        Of the chassis's ten hardest hits, m/s2.
    moved : mapping of end to MovedCurves
    upward_g : mapping of end to float array, shape (k,)
        A sketch of the chassis's upward acceleration in g, gravity taken out, on the run's `overview_s`.
    """

    shaken: Mapping[Site, ShakenCurves] = field(default_factory=lambda: MappingProxyType({}))
    passed_on: Mapping[End, Spectrum] = field(default_factory=lambda: MappingProxyType({}))
    shock: Mapping[End, Spectrum] = field(default_factory=lambda: MappingProxyType({}))
    moved: Mapping[End, MovedCurves] = field(default_factory=lambda: MappingProxyType({}))
    upward_g: Mapping[End, Floats] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPicture:
    """Everything the figures draw of one run.

    `overview_s` and `overview_pct` sketch travel over the whole run: pairs of lowest and highest per stretch,
    shape (k,), for a line that shows every peak. `phases` are those its sensors tell.
    """

    run: str
    setup: str
    order: int
    riding_s: float
    ends: Mapping[End, EndCurves]
    deep_hits: tuple[DeepHit, ...]
    flights: tuple[Flight, ...] | None  # None where flight can't be told
    worst_bursts: Mapping[End, PackingBurst]
    overview_s: Floats
    overview_pct: Mapping[End, Floats]
    inertial: InertialPicture = field(default_factory=InertialPicture)
    phases: tuple[RiddenPhase, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class StrokeRates:
    """How often strokes at one end are faster than each speed, a row a run.

    Attributes
    ----------
    speed_m_s : float array, shape (v,)
        Peak wheel speeds, increasing.
    hits_per_min, returns_per_min : float arrays, shape (r, v)
        Hits and returns a minute whose peak is faster.
    """

    speed_m_s: Floats
    hits_per_min: Floats
    returns_per_min: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeedPairs:
    """Peak speeds of hits, or of returns, at both ends by quantile, vertical.

    Attributes
    ----------
    kind : {"hits", "returns"}
    share : float array, shape (s,)
        Of strokes that are slower, 0 to 1, increasing.
    front_m_s, rear_m_s : float arrays, shape (s,)
        Positive.
    """

    kind: StrokeKind
    share: Floats
    front_m_s: Floats
    rear_m_s: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class AlignedHits:
    """Deep hits of one setup at one end, laid over each other at their deepest moment.

    Attributes
    ----------
    hits : int
        How many.
    time_s : float array, shape (k,)
        From the deepest moment.
    mean_pct, low_pct, high_pct : float arrays, shape (k,)
        Travel, %: mean, 10th and 90th percentile of the hits.
    """

    end: End
    setup: str
    hits: int
    time_s: Floats
    mean_pct: Floats
    low_pct: Floats
    high_pct: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class TrailEvent:
    """One thing that happened at one place of the trail in one run.

    Attributes
    ----------
    kind : {"bottom-out", "deep hit"}
    at_s : float
        The log's seconds.
    place : float
        On the day's common course.
    section : int
        From 1; 0 outside of every section.
    entry_speed_mm_s : float
        The hit's fastest moment.
    """

    run: str
    setup: str
    end: End
    kind: Literal["bottom-out", "deep hit"]
    at_s: float
    place: float
    section: int
    depth_pct: float
    depth_mm: float
    entry_speed_mm_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedPlace:
    """A named stretch of trail on the day's common course."""

    name: str
    start: float
    end: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FlownStretch:
    """One flight of one run, on the day's common course."""

    run: str
    setup: str
    start: float
    end: float
