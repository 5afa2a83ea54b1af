"""What the runs and setups of a comparison were made under: all that fairness is judged by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from types import MappingProxyType
from typing import Literal, TypeAlias

from .comparison import LeftOut, SetupDifference
from .day import Setup
from .finding import End, Place
from .sensor import Sensor

GeometryKey: TypeAlias = tuple[Place, str]
Load: TypeAlias = str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RunConditions:
    """What one run that takes part was ridden under; None or "" where it isn't known.

    Attributes
    ----------
    order : int
        Place among all runs of the ride day, from 1.
    order_in_day : int
        Place among all runs of its date, from 1.
    ground_speed_by : {"sensor", "lag"}
        What `ground_speed_m_s` comes from.
    passed_s : mapping of place to float
        Seconds of riding until the places that runs share were passed: three pushes at start and end, marks.
    airborne_share : float or None
        Airborne share of riding time.
    levers : mapping of end to str
        Lever positions: the run's own, else its setup's. Ends without one are left out.
    pressure_after_bar : mapping of end to float
        Air pressure found after the run.
    zero_unchecked : tuple of End
        Ends opened or changed before the run without a lifted recording since.
    bottoming_untold : tuple of End
        Ends of which it can't be told whether they bottomed.
    same_readings : bool
        Whether another run holds the same stretch of the same readings.
    false_readings : tuple of str
        Codes of its findings that say that part of its readings are false.
    false_at : mapping of end to tuple of str
        The same of one end's readings alone.
    """

    run: str
    setup: str
    order: int
    order_in_day: int
    date: date
    riding_s: float
    rate_hz: float
    ground_speed_m_s: float | None = None
    ground_speed_by: Literal["sensor", "lag"] = "lag"
    passed_s: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    airborne_share: float | None = None
    air_temperature_c: float | None = None
    rider: str = ""
    trail_state: str = ""
    levers: Mapping[End, str] = field(default_factory=lambda: MappingProxyType({}))
    pressure_after_bar: Mapping[End, float] = field(default_factory=lambda: MappingProxyType({}))
    sensors: Mapping[str, Sensor] = field(default_factory=lambda: MappingProxyType({}))
    zero_unchecked: tuple[End, ...] = ()
    bottoming_untold: tuple[End, ...] = ()
    same_readings: bool = False
    false_readings: tuple[str, ...] = ()
    false_at: Mapping[End, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupConditions:
    """What one compared setup is on paper and off the trail.

    Attributes
    ----------
    geometry : mapping of (end, key) to float
        What is stated of the geometry, the bike's own figures where the setup has none; mm and degrees.
    stance : mapping of str to float
        How it stands unladen by its parts, as the bench works it out: ``head_angle_deg``, ``trail_mm`` ...
    friction_band_mm : mapping of (end, load) to float
        From its settle recordings.
    smallest_sag_mm : mapping of end to float
        The smallest change of sag that matters, mm.
    """

    setup: Setup
    geometry: Mapping[GeometryKey, float] = field(default_factory=lambda: MappingProxyType({}))
    stance: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    friction_band_mm: Mapping[tuple[End, Load], float] = field(default_factory=lambda: MappingProxyType({}))
    smallest_sag_mm: Mapping[End, float] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True, kw_only=True)
class Naming:
    """When focus and smallest changes were named, and when riding began.

    Attributes
    ----------
    named : tuple of str
        What was named: ``"focus"``, ``"smallest_change"``.
    first_run_at : datetime or None
        When the first run of the day began; None where nothing tells.
    told_by : {"started_at", "log"}
        The ride day, or the first stamp of the log.
    """

    named: tuple[str, ...] = ()
    named_at: datetime | None = None
    first_run: str = ""
    first_run_at: datetime | None = None
    told_by: Literal["started_at", "log"] = "started_at"

    @property
    def late(self) -> bool:
        """Whether they were named after the first run began."""
        return self.named_at is not None and self.first_run_at is not None and self.named_at > self.first_run_at


@dataclass(frozen=True, slots=True, kw_only=True)
class RiddenRun:
    """One run of the day, whether it takes part or not."""

    run: str
    setup: Setup
    date: date


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonConditions:
    """Everything a comparison's fairness is judged by.

    Attributes
    ----------
    setups : mapping of name to SetupConditions
        Baseline and candidates.
    runs : tuple of RunConditions
        Those that take part, in the order ridden.
    ridden : tuple of RiddenRun
        All runs of the day in the order ridden.
    left_out : tuple of LeftOut
        What of the compared setups takes no part.
    differences : mapping of candidate to its differences from the baseline on paper
    altitude_m : float or None
        Where the day was ridden.
    planned_runs : tuple of int
        Of each setup, as stated; empty where none was.
    """

    baseline: str
    candidates: tuple[str, ...]
    setups: Mapping[str, SetupConditions]
    runs: tuple[RunConditions, ...]
    differences: Mapping[str, tuple[SetupDifference, ...]]
    ridden: tuple[RiddenRun, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    altitude_m: float | None = None
    naming: Naming = Naming()
    planned_runs: tuple[int, ...] = ()
