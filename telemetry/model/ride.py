"""A run or recording after cleaning: wheel travel and speed of each measured end."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np

from telemetry.sheet import Sheet, Shown, table

from .arrays import Bools, Floats, Ints
from .finding import ENDS, End, Finding, Step
from .inertial import InertialSignal, Site
from .motion import StrokeKind
from .sensor import DisplacementSensor
from .stretches import samples_within, segments_within

if TYPE_CHECKING:
    import pandas as pd

Clocks: TypeAlias = Literal["one", "near", "rough"]
BoundFrom: TypeAlias = Literal["stated", "pushes", "log"]
"""Where a ride's start or end comes from: `start_s` or `end_s`, three pushes, or the log's own first or last row."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Noise:
    """How much of a signal is noise, and where the figures come from."""

    travel_mm: float
    speed_mm_s: float
    sensor_step_mm: float
    source: str  # "sensor step" or "lifted_1.csv"


@dataclass(frozen=True, slots=True, kw_only=True)
class EndSignal:
    """One end's signals at the wheel, positive in compression.

    Attributes
    ----------
    cleaned_mm : float array, shape (n,)
        Wheel travel after spikes, calibration, zero and leverage; not smoothed.
    travel_mm : float array, shape (n,)
        The same after the low-pass ("filtered travel").
    speed_mm_s : float array, shape (n,)
        Wheel speed.
    still : bool array, shape (n,)
        Where speed, low-passed once more at 10 Hz, stays within 20 mm/s.
    full_travel_mm : float
    shaft_ratio : (travel_mm, ratio) arrays or None
        Wheel speed over damper shaft speed, against wheel travel; None where the shaft's motion
        isn't known.
    unsure_mm : float
        How far zero and full travel, as far as they weren't measured, may together be off.
    """

    end: End
    cleaned_mm: Floats
    travel_mm: Floats
    speed_mm_s: Floats
    still: Bools
    full_travel_mm: float
    bumper_touch_mm: float | None
    noise: Noise
    shaft_ratio: tuple[Floats, Floats] | None
    unsure_mm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanedEnd:
    """One end's signals on the ride's clock, and what was seen and done on the way, on the clock of its own rows.

    Attributes
    ----------
    row_of : callable
        Returns the log's row, from 1, of a sample.
    time_s, rate_hz, segments : float array, shape (n,), float, tuple of (start, stop)
        The even clock of its own rows, which is the ride's unless it was logged apart.
    readings : float array, shape (n,)
        On that clock, spikes taken out.
    spikes : int array, shape (k,)
        The samples that were in spikes.
    glitches : int array, shape (g,)
        The samples at, or first after, a slow log's readings that were in glitches.
    lost, lasting : int array, shape (l,) and (k,)
        The samples after each step no wheel makes, and of those steps that last.
    reading_step : float
        The converter's, in readings; 0 where it isn't known.
    off_line_mm, measured_mm : float
        How far a calibration point lies off the line, and full travel, both as the sensor measures.
    wheel_mm : callable
        Returns wheel travel of readings, mm.
    mm_a_reading : float
        At the wheel, by the mean leverage.
    """

    row_of: Callable[[int], int]
    time_s: Floats
    rate_hz: float
    segments: tuple[tuple[int, int], ...]
    sensor: DisplacementSensor
    signal: EndSignal
    history: tuple[Step, ...]
    readings: Floats
    spikes: Ints
    glitches: Ints
    lost: Ints
    lasting: Ints
    reading_step: float
    off_line_mm: float
    measured_mm: float
    wheel_mm: Callable[[Floats], Floats]
    mm_a_reading: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundSpeed:
    """Ground speed from a sensor, m/s, one value a sample."""

    speed_m_s: Floats
    source: Literal["ground_speed", "wheel_pulses", "distance", "position_fix"]


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Ride(Shown):
    """Every signal of one run or recording on one even clock.

    Attributes
    ----------
    name : str
        The run's name, or the recording's file name.
    time_s : float array, shape (n,)
        Seconds after the log's first row.
    segments : tuple of (start, stop)
        Sample ranges free of gaps; they cover all samples.
    ends : mapping of "front", "rear" to EndSignal
        The measured ends.
    start_s, end_s : float
        Bounds of the ride in the log's seconds.
    start_from, end_from : {"stated", "pushes", "log"}
    clocks : {"one", "near", "rough"}
        Of front and rear: one clock, or two joined to 5 ms; two joined to about 0.05 s, too far for ground speed by
        lag; two joined so roughly that the ends can't be told against each other.
    inertial : mapping of (end, "chassis" or "wheel") to InertialSignal
        What its inertial sensors tell; `ends` may be empty where there are no others.
    strokes : callable or None
        Lists its hits or returns; None of a ride that knows of no day.
    """

    name: str
    setup: str | None
    time_s: Floats
    rate_hz: float
    segments: tuple[tuple[int, int], ...]
    ends: Mapping[End, EndSignal]
    start_s: float
    end_s: float
    start_from: BoundFrom
    end_from: BoundFrom
    ground_speed: GroundSpeed | None
    findings: tuple[Finding, ...]
    history: tuple[Step, ...]
    clocks: Clocks = "one"
    inertial: Mapping[Site, InertialSignal] = field(default_factory=lambda: MappingProxyType({}))
    strokes: Callable[[StrokeKind], pd.DataFrame] | None = field(default=None, compare=False)

    @property
    def measured_ends(self) -> tuple[End, ...]:
        """The ends whose travel is measured, or at which an inertial sensor sits."""
        found = self.ends.keys() | {end for end, _ in self.inertial}
        return tuple(end for end in ENDS if end in found)

    @property
    def ridden(self) -> slice:
        """The samples from its start to its end."""
        return samples_within(self.time_s, self.start_s, self.end_s)

    @property
    def ridden_segments(self) -> tuple[tuple[int, int], ...]:
        """Its segments from its start to its end."""
        return segments_within(self.segments, self.ridden)

    @property
    def front(self) -> EndSignal:
        """The front end; KeyError where it isn't measured."""
        return self.ends["front"]

    @property
    def rear(self) -> EndSignal:
        """The rear end; KeyError where it isn't measured."""
        return self.ends["rear"]

    @property
    def in_short(self) -> str:
        """Name and setup, how long the log is and how often it was read, which ends, which inertial sensors."""
        setup = f" ({self.setup})" if self.setup is not None else ""
        length = f"{len(self.time_s) / self.rate_hz:.0f} s at {self.rate_hz:.5g} rows a second"
        measured = [" and ".join(self.ends)] if self.ends else []
        felt = ["inertial at the " + " and ".join(" ".join(site) for site in self.inertial)] if self.inertial else []
        return f"{self.name}{setup}: {', '.join([length, *measured, *felt])}"

    @property
    def sheet(self) -> Sheet:
        """Where the ride starts and ends, each sensor's noise, what was found, how the signals were cleaned."""
        ends = [
            [end, f"{own.full_travel_mm:.0f} mm", f"{own.noise.travel_mm:.2g} mm", f"{own.noise.speed_mm_s:.2g} mm/s"]
            for end, own in self.ends.items()
        ]
        felt = [
            [" ".join(site), own.sensor, f"{own.noise_m_s2:.2g} m/s2", f"{own.attitude.within_deg:.1f} deg"]
            for site, own in self.inertial.items()
        ]
        steps = [[step.end or "", step.stage, step.words] for step in self.history]
        return (
            f"Ridden from {self.start_s:.1f} s ({self.start_from}) to {self.end_s:.1f} s ({self.end_from})",
            *([table(["end", "full travel", "noise of travel", "noise of speed"], ends)] if ends else []),
            *([table(["inertial sensor at", "name", "noise", "attitude within"], felt, right_from=2)] if felt else []),
            *(f"{finding.severity} {finding.code}: {finding.message}" for finding in self.findings),
            table(["end", "step", "how the signal was cleaned"], steps, right_from=3),
        )

    def hits(self) -> pd.DataFrame:
        """Return every hit that the measures count, a row a hit, in time order.

        Returns
        -------
        DataFrame
            As `Analysis.hits` gives it, without the columns ``run`` and ``setup``.

        Raises
        ------
        CallError
            If the run can't be measured.
        ValueError
            If the ride isn't one of a ride day's.

        Notes
        -----
        Which section and place a hit lies in takes all runs of the day: they are read when it is first asked. Who
        wants every run's takes `Analysis.hits`.
        """
        return self._strokes("hits")

    def returns(self) -> pd.DataFrame:
        """Return every return that the measures count, a row a return, in time order; as `hits` does."""
        return self._strokes("returns")

    def _strokes(self, kind: StrokeKind) -> pd.DataFrame:
        if self.strokes is None:
            raise ValueError(f"{self.name} isn't a ride of a ride day's: `load_ride` gives one")
        return self.strokes(kind)

    def to_frame(self) -> pd.DataFrame:
        """Return the signals as a frame, a row a sample, on the index ``time_s``.

        Returns
        -------
        DataFrame
            A measured end's columns are ``front_travel_mm`` and ``front_speed_mm_s`` (filtered, positive in
            compression) and ``front_cleaned_mm`` (not smoothed); ``riding`` tells samples within the ride's bounds;
            ``ground_speed_m_s`` where the log has it; of an inertial sensor ``front_chassis_upward_m_s2`` and
            ``front_chassis_forward_m_s2``, gravity taken out, and ``front_chassis_specific_force_m_s2``, the length of
            what it feels (9.81 at rest, near 0 in flight; not smoothed). ``attrs["history"]`` holds the steps in words.
        """
        import pandas as pd  # noqa: PLC0415 - slow to load, needed by few

        columns = {
            f"{end}_{name}": getattr(own, name)
            for end, own in self.ends.items()
            for name in ("travel_mm", "speed_mm_s", "cleaned_mm")
        }
        columns["riding"] = (self.time_s >= self.start_s) & (self.time_s <= self.end_s)
        if self.ground_speed is not None:
            columns["ground_speed_m_s"] = self.ground_speed.speed_m_s
        for (end, on), felt in self.inertial.items():
            columns[f"{end}_{on}_upward_m_s2"] = felt.attitude.upward_m_s2
            columns[f"{end}_{on}_forward_m_s2"] = felt.attitude.forward_m_s2
            columns[f"{end}_{on}_specific_force_m_s2"] = np.linalg.norm(felt.specific_force_m_s2, axis=1)
        frame = pd.DataFrame(columns, index=pd.Index(self.time_s, name="time_s"))
        frame.attrs["history"] = [step.words for step in self.history]
        return frame
