"""A day's runs studied: cleaned, their motion found, their findings gathered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from types import MappingProxyType

from telemetry import measures, trust
from telemetry.errors import LogError
from telemetry.logs import pressed_marks
from telemetry.model.catalogue import SPECS
from telemetry.model.curves import RunPicture
from telemetry.model.day import Mark, RideDay, RunEntry, Setup, SmallestChange
from telemetry.model.finding import ENDS, End, Finding, Place, Step, errors_by_end, spoilt
from telemetry.model.force import ForceMap, NoForceMap
from telemetry.model.log import Log
from telemetry.model.motion import Stretch
from telemetry.model.ride import Ride
from telemetry.model.sensor import DisplacementSensor
from telemetry.model.within import parted

from .forces import DayRider, smoothing_of
from .loggers import displacement_sensors
from .low_pass import RATE_SHARE
from .rides import Rides
from .run_rides import no_segment, ride_of

Progress = Callable[[str], None]


@dataclass(frozen=True, kw_only=True)
class RunStudy:
    """One run: what it was told, and its motion where it can be measured.

    Attributes
    ----------
    motion : RunMotion or None
        Of the ends without an error finding; None where none is left, or an error is of the whole run.
    lags : Lags or None
    pressed : tuple of Mark
        Where its markers were pressed.
    ridden : Ridden or None
        What tells its ride from another's; None where it can't be measured or is left out.
    levels : RunLevels or None
        How deep it lies along its trail; None where that isn't known or it is left out.
    first_stamp : datetime or None
        The absolute stamp of its log's first row.
    cutoff_hz : float
        Of the low-pass its travel went through.
    rider : DayRider or None
        As all runs of its day show him.
    named : mapping of name to stretch
        Where its named stretches of trail lie, or why that isn't known.
    """

    entry: RunEntry
    findings: tuple[Finding, ...]
    history: tuple[Step, ...]
    rate_hz: float = 0.0
    motion: measures.RunMotion | None = None
    lags: measures.Lags | None = None
    pressed: tuple[Mark, ...] = ()
    ridden: trust.Ridden | None = None
    levels: trust.RunLevels | None = None
    first_stamp: datetime | None = None
    cutoff_hz: float = 0.0
    rider: DayRider | None = None
    named: measures.Named = field(default_factory=lambda: MappingProxyType({}))

    @property
    def usable(self) -> bool:
        """Whether it can be measured and isn't left out by the day."""
        return self.motion is not None and self.entry.leave_out is None

    @property
    def why_not(self) -> str:
        """Why it can't be measured, in a sentence; empty where it can."""
        if self.motion is not None:
            return ""
        told = (finding.message for finding in self.findings if finding.severity == "error")
        return next(told, f"{self.entry.name}: nothing of its log can be measured")

    @property
    def moved(self) -> measures.RunMotion:
        """Its motion; ValueError where it can't be measured."""
        if self.motion is None:
            raise ValueError(f"{self.entry.name} can't be measured")
        return self.motion

    @cached_property
    def picture(self) -> RunPicture:
        """What is drawn of the whole of it."""
        return self.picture_of(None)

    def picture_of(self, stretches: tuple[Stretch, ...] | None) -> RunPicture:
        """Return what is drawn of it, of some of its stretches only where they are given."""
        phases = None if self.phases is None else self.phases.phases
        return measures.picture(self.moved, self.entry.setup, self.entry.order, phases=phases, stretches=stretches)

    @cached_property
    def phases(self) -> measures.FoundPhases | None:
        """Its phases; None where no sensor of it tells any."""
        return measures.find_phases(self.moved) if measures.tells_phases(self.moved.ride) else None

    @cached_property
    def force_maps(self) -> tuple[ForceMap | NoForceMap, ...]:
        """Spring and damper of the ends that tell them, or why they don't; none where it can't be measured."""
        if self.motion is None:
            return ()
        rider = None if self.rider is None else self.rider.body
        return measures.force_maps(self.motion, smoothing_of(self.rate_hz, self.cutoff_hz), rider)

    def stretches_of(self, place: str) -> tuple[Stretch, ...] | measures.Missing:
        """Return the stretches that a name stands for in it, or why there are none."""
        return measures.place_stretches(self.phases, place, self.named)

    def error_at(self, place: Place) -> str:
        """Return the code of the error that forbids measures there: of the whole run, else of an end."""
        errors = errors_by_end(self.findings)
        of_run = errors.get(None) or next(iter(errors.values()), "")
        return of_run if place == "both" or None in errors else errors.get(place, of_run)


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """All runs of a day, in the order ridden, and the rides they came from; its day's marks hold the presses too."""

    day: RideDay
    rides: Rides
    runs: tuple[RunStudy, ...]

    @property
    def unread(self) -> tuple[LogError, ...]:
        """Why logs can't be read, in the day's order; of those that were needed so far."""
        return self.rides.logs.unread((*self.day.runs, *self.day.static))


@dataclass(frozen=True, slots=True, kw_only=True)
class Selection:
    """What a caller asks to be compared; None leaves it to the day."""

    baseline: str | None = None
    candidates: tuple[str, ...] | None = None
    runs: tuple[str, ...] | None = None
    sections: tuple[int, ...] | None = None  # numbers from 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Behind:
    """What an answer was made of, and what of it was asked for: whoever draws it goes on from here."""

    done: Study
    selection: Selection = Selection()


def facts_for(day: RideDay, setup_name: str) -> measures.BikeFacts:
    """Return what the measures need to know; knee speeds are the baseline's where they differ."""
    setup = day.setups[setup_name]
    mass_kg, rider_kg = _number(setup, "mass_kg"), day.rider_mass_kg
    return measures.BikeFacts(
        head_angle_deg=_number(setup, "head_angle_deg"),
        wheelbase_mm=_number(setup, "wheelbase_mm"),
        bike_share=None if mass_kg is None or rider_kg is None else mass_kg / (mass_kg + rider_kg),
        knees={end: _knees(day, setup_name, end) for end in ENDS},
        hard_bottom_out_mm_s=day.hard_bottom_out_mm_s,
    )


def _number(setup: Setup, key: str) -> float | None:
    stated = setup.bike.get(key)
    return float(stated.value) if stated and isinstance(stated.value, float) else None


def _geometry_of(day: RideDay, setup_name: str) -> measures.Geometry:
    facts = facts_for(day, setup_name)
    return measures.Geometry(head_angle_deg=facts.head_angle_deg, wheelbase_mm=facts.wheelbase_mm)


def _knees(day: RideDay, setup_name: str, end: End) -> measures.Knees:
    own = day.setups[setup_name].at(end)
    base = day.setups[baseline_of(day) or setup_name].at(end)

    def knee(key: str) -> float | None:
        stated = base.number(key)
        return own.number(key) if stated is None else stated

    return measures.Knees(compression_mm_s=knee("knee_compression_mm_s"), rebound_mm_s=knee("knee_rebound_mm_s"))


def baseline_of(day: RideDay) -> str | None:
    """Return the day's baseline: as named, else the first setup ridden."""
    return day.comparison.baseline or (day.runs[0].setup if day.runs else None)


def smallest_change_of(day: RideDay, measure: str, end: str) -> SmallestChange:
    """Return the smallest change that matters: the tuner's, else the measure's own; within a phase as over the run."""
    stated = day.comparison.smallest_change
    named = (
        stated.get((name, place)) for name in dict.fromkeys((measure, parted(measure)[0])) for place in (end, None)
    )
    change = next((one for one in named if one is not None), SPECS[measure].smallest_change)
    if change is None:
        raise KeyError(measure)
    return change


def _zero_facts(rides: Rides, entry: RunEntry, sensor: DisplacementSensor) -> trust.ZeroFacts:
    end, zero = sensor.end, rides.zeros.in_force(entry, sensor)
    setup = rides.day.setups[entry.setup].at(end)
    full = setup.full_travel_mm or 0.0
    change = smallest_change_of(rides.day, "dynamic_sag", end).amount * full / 100
    later = rides.zeros.next_after(entry, sensor)
    source, moved = (None, 0.0) if zero is None else (zero.source, zero.level_mm)
    next_source, next_moved = (None, moved) if later is None else (later.source, later.level_mm)
    return trust.ZeroFacts(
        end=end,
        measures=sensor.measures,
        source=source,
        moved_mm=moved,
        smallest_change_mm=change,
        next_source=next_source,
        next_moved_mm=next_moved,
        travel_per_mm=full / setup.stroke_mm if sensor.measures == "stroke" and setup.stroke_mm else 1.0,
    )


def _zero_known(rides: Rides, entry: RunEntry) -> list[Finding]:
    """Return what a run is told whose zero isn't known at an end."""
    found: list[Finding] = []
    for sensor in displacement_sensors(entry.sensors):
        wrong = rides.zeros.lost(entry, sensor)
        zero = rides.zeros.in_force(entry, sensor)
        if wrong is not None:
            found.append(trust.zero_lost(entry.name, sensor.end, wrong.log.name, None if zero is None else zero.source))
        else:
            found.extend(trust.zero_unchecked(rides.day, entry, (sensor.end,)))
    return found


def _channels(rides: Rides, entry: RunEntry, ride: Ride, motion: measures.RunMotion) -> list[Finding]:
    found: list[Finding] = []
    for sensor in displacement_sensors(entry.sensors):
        if sensor.end not in ride.ends:
            continue
        facts = _zero_facts(rides, entry, sensor)
        found.extend(trust.zero_moved(entry.name, facts))
        found.extend(trust.zero_moves_after(entry.name, facts))
        end, time = ride.ends[sensor.end], motion.time
        flat = trust.flat_stretches(ride, end, time)
        shifted = trust.zero_shift(ride, end, time, flat, facts)
        found.extend(shifted or trust.zero_in_flight(ride, end, time, facts))
        found.extend(trust.slipped(ride, end, time, flat, facts))
    return found


def _changed_places(entry: RunEntry, logs: tuple[Log, ...]) -> tuple[Finding, ...]:
    """Return what a run is told whose ends' columns change places in its one log."""
    columns = [sensor.column for sensor in displacement_sensors(entry.sensors)]
    if len(columns) != len(ENDS) or len(logs) > 1 or columns[0] == columns[1]:
        return ()
    return trust.changed_places(entry.name, logs[0], (columns[0], columns[1]))


def _ridden(entry: RunEntry, logs: tuple[Log, ...], ride: Ride) -> trust.Ridden:
    return trust.Ridden(
        run=entry.name,
        logs=" and ".join(log.path.name for log in logs),
        mark=trust.readings_mark(logs),
        start_s=ride.start_s,
        end_s=ride.end_s,
    )


def _order_of_ends(
    entry: RunEntry, ride: Ride, lags: measures.Lags | None, *, look_for_parts: bool
) -> tuple[Finding, ...]:
    """Return what the lags between the ends tell: the wrong way round, in all of a run or in part; one upside down."""
    if lags is None:
        return ()
    in_part = trust.ends_swapped_in_part(entry.name, lags.judged_at, lags.reversed_at, ride.time_s)
    return (
        *trust.ends_swapped(entry.name, lags.judged_windows, lags.reversed_windows),
        *(in_part if look_for_parts else ()),
        *trust.ends_opposed(entry.name, lags.judged_windows, lags.opposed_windows),
    )


def _unplaced(entry: RunEntry, motion: measures.RunMotion) -> tuple[Finding, ...]:
    moved = (own for own in motion.moved.values() if not isinstance(own, measures.Missing))
    return tuple(found for own in moved for found in trust.unplaced(entry.name, own))


def _of_sound_ends(
    cleaned: Ride, motion: measures.RunMotion, findings: tuple[Finding, ...], geometry: measures.Geometry
) -> measures.RunMotion:
    """Return a run's motion; where an end has an error and the other none, of the other by itself.

    Start, end, riding time and flights are judged anew then: a dead or loose end would have its say in them.
    """
    lost = {end: code for end, code in errors_by_end(findings).items() if end is not None}
    if not lost or spoilt(findings, cleaned.measured_ends):
        return motion
    return measures.find_motion(cleaned, MappingProxyType(lost), geometry)


def study_run(rides: Rides, entry: RunEntry) -> RunStudy:
    """Clean one run, find its motion, and say whether its log can be trusted; LogError where it can't be read."""
    logs = rides.logs.of(entry)
    ride, found_of_log, history = ride_of(rides, entry)
    rides.logs.done_with(entry)
    if ride is None:
        lost = () if spoilt(found_of_log, entry.measured_ends) else (no_segment(entry),)
        return RunStudy(entry=entry, findings=(*found_of_log, *lost), history=history, first_stamp=logs[0].first_stamp)
    if not ride.measured_ends:  # every sensor was left out: that nothing moves is no news then
        return RunStudy(entry=entry, findings=ride.findings, history=ride.history, first_stamp=logs[0].first_stamp)
    pressed, unpressed, steps = pressed_marks(entry, logs[0].presses)
    ridden, first_stamp = _ridden(entry, logs, ride), logs[0].first_stamp
    changed = _changed_places(entry, logs)
    del logs  # they are large
    geometry = _geometry_of(rides.day, entry.setup)
    cleaned, motion = ride, measures.find_motion(ride, geometry=geometry)
    ride = motion.ride
    changed = tuple(found for found in changed if found.second is None or found.second < ride.end_s)
    lags = measures.find_run_lags(motion, facts_for(rides.day, entry.setup))
    channels = trust.channel_findings(ride, motion.time, motion.ends)
    dead = {finding.end for finding in channels if finding.code == "supply_lost"}
    found = [
        *trust.push_findings(ride, motion.pushes),
        *channels,
        *(finding for signal in ride.ends.values() for finding in trust.line_noise(ride, signal)),
        *(found for end, signal in ride.ends.items() if end not in dead for found in trust.dead_band(ride, signal)),
        *trust.felt_findings(ride, motion.time),
        *trust.wheel_calmer(ride, motion.time),
        *_unplaced(entry, motion),
        *_channels(rides, entry, ride, motion),
        *_zero_known(rides, entry),
        *unpressed,
        *changed,
        *_order_of_ends(entry, ride, lags, look_for_parts=not changed),
    ]
    every = (*ride.findings, *found)
    motion = _of_sound_ends(cleaned, motion, every, geometry)
    ends = tuple(rides.day.setups[entry.setup].at(end) for end in motion.ends)
    findings = (*ride.findings, *trust.run_findings(entry, motion.ride, motion.time, ends), *found)
    failed = spoilt(findings, ride.measured_ends)
    told = not failed and entry.leave_out is None
    return RunStudy(
        entry=entry,
        findings=findings,
        history=(*motion.ride.history, *steps),
        rate_hz=ride.rate_hz,
        motion=None if failed else motion,
        lags=None if motion.lost else lags,
        pressed=pressed,
        ridden=ridden if told else None,
        levels=trust.run_levels(motion.ride, motion.time) if told else None,
        first_stamp=first_stamp,
        cutoff_hz=min(rides.low_pass.cutoff_hz, RATE_SHARE * ride.rate_hz),
    )
