"""Recordings made off the trail: what each gave."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from telemetry import measures, trust
from telemetry.model.analysis import StaticAnalysis
from telemetry.model.catalogue import SPECS
from telemetry.model.day import StaticEntry
from telemetry.model.finding import ENDS, End, Finding
from telemetry.model.measure import Measured

from .loggers import displacement_sensors, unread
from .rides import Rides
from .zeros import Zeros, setup_of

Key = tuple[str, str | None]
OF_POSITION = ("sag", "settle", "bounce")


def _value(name: str, end: End, value: float) -> Measured:
    return Measured(measure=name, end=end, unit=SPECS[name].unit, value=value)


def _sag_name(item: StaticEntry) -> str:
    return "free_sag" if item.load == "bike_alone" else "rider_sag"


class _Recordings:
    """Values of recordings, some drawn from several; each stands with the last recording it was drawn from."""

    def __init__(self, rides: Rides, places: Iterable[int]) -> None:
        self.day = rides.day
        self.made = {place: rides.recorded(place) for place in places}
        self.rides = {
            place: ride
            for place, ride in self.made.items()
            if ride is not None and all(finding.severity != "error" for finding in ride.findings)
        }
        self.values: dict[int, list[Measured]] = defaultdict(list)
        self.findings: dict[int, list[Finding]] = defaultdict(list)

    def _grouped(self, kind: str) -> dict[Key, list[int]]:
        groups: dict[Key, list[int]] = defaultdict(list)
        for place, item in enumerate(self.day.static):
            if item.kind == kind and place in self.rides:
                groups[setup_of(self.day, item).name, item.load].append(place)
        return groups

    def without_position(self) -> None:
        """Say of recordings that are made for an end's position, and read none, that nothing comes of them."""
        for place, item in enumerate(self.day.static):
            if item.kind in OF_POSITION and place in self.rides and not self.rides[place].ends:
                del self.rides[place]
                message = (
                    f"{item.log.name}: no displacement sensor, so nothing comes of a recording of kind {item.kind!r}; "
                    "where only inertial sensors are logged, record them at rest instead (kind 'still')"
                )
                self.findings[place].append(Finding(code="nothing_recorded", message=message))

    def zeros(self, zeros: Zeros) -> None:
        """Give the level each lifted recording found, as far as a zero comes of it."""
        for place, item in enumerate(self.day.static):
            for sensor in displacement_sensors(item.sensors) if item.kind == "lifted" else ():
                level = zeros.level_found_mm(item, sensor)
                if level is not None:
                    self.values[place].append(_value("zero_level", sensor.end, level))

    def not_at_rest(self) -> None:
        """Say of recordings whose reading rests on a stand that there is none."""
        for place, ride in self.rides.items():
            kind = self.day.static[place].kind
            for signal in ride.ends.values():
                rest = {"sag": signal.travel_mm, "settle": measures.last_second(ride, signal)}.get(kind)
                if rest is not None:
                    self.findings[place].extend(trust.not_at_rest(ride.name, signal, rest))

    def sags(self) -> None:
        for places in self._grouped("sag").values():
            if self.day.static[places[0]].load is None:
                self._say_no_load(places)
                continue
            directions = {self.day.static[place].settled_from for place in places}
            for end in ENDS:
                measured = {
                    place: measures.static_sag_pct(self.rides[place].ends[end])
                    for place in places
                    if end in self.rides[place].ends
                }
                self._sag(end, measured, both={"compressed", "extended"} <= directions)

    def _say_no_load(self, places: list[int]) -> None:
        for place in places:
            ends = self.rides[place].ends
            rests = ", ".join(f"{end} {measures.static_sag_pct(ends[end]):.1f} %" for end in ENDS if end in ends)
            message = (
                f"{self.day.static[place].log.name}: load isn't stated, so it can't be said whether these are rider or "
                f"free sag: {rests}; state load = 'standing', 'seated' or 'bike_alone'"
            )
            self.findings[place].append(Finding(code="no_load", message=message))

    def _sag(self, end: End, measured: dict[int, float], *, both: bool) -> None:
        if not measured:
            return
        if not both:
            for place, value in measured.items():
                self.values[place].append(_value(_sag_name(self.day.static[place]), end, value))
            return
        means = []
        for direction in ("compressed", "extended"):
            of_one = [value for place, value in measured.items() if self.day.static[place].settled_from == direction]
            if not of_one:
                return
            means.append(sum(of_one) / len(of_one))
        last = max(measured)
        self.values[last].append(_value(_sag_name(self.day.static[last]), end, sum(means) / 2))

    def settled(self) -> Iterator[tuple[End, int, dict[str, list[float]]]]:
        """Yield where each end of each setup and load came to rest from both sides, and its last recording's place."""
        for places in self._grouped("settle").values():
            for end in ENDS:
                rest: dict[str, list[float]] = {"compressed": [], "extended": []}
                for place in places:
                    ride, item = self.rides[place], self.day.static[place]
                    if end in ride.ends and item.settled_from is not None:
                        rest[item.settled_from].append(measures.resting_travel_mm(ride, ride.ends[end]))
                if rest["compressed"] and rest["extended"]:
                    yield end, max(places), rest

    def bands(self) -> Iterator[tuple[End, int, float]]:
        """Yield each end's friction band of each setup and load, with the place of the last recording it is of."""
        for end, last, rest in self.settled():
            yield end, last, measures.friction_band_mm(rest["compressed"], rest["extended"])

    def one_sided(self) -> None:
        """Say of recordings let go from one side that no friction band comes of them."""
        for places in self._grouped("settle").values():
            sides = [self.day.static[place].settled_from for place in places]
            if {"compressed", "extended"} <= set(sides):
                continue
            lacking = "compressed" if "extended" in sides else "extended"
            why = (
                f"nothing of this setup and load was recorded from {lacking}: record that too"
                if any(sides)
                else "from = 'compressed' or 'extended' isn't stated"
            )
            message = f"{self.day.static[places[-1]].log.name}: no friction band comes of it, {why}"
            self.findings[places[-1]].append(Finding(code="one_sided", message=message))

    def friction(self) -> None:
        for end, last, band in self.bands():
            if band < 0:
                self.findings[last].append(self._negative(last, end, band))
            else:
                self.values[last].append(_value("friction_band", end, band))

    def _negative(self, place: int, end: End, band: float) -> Finding:
        message = (
            f"{self.day.static[place].log.name}, {end}: the friction band is {band:.1f} mm; zero or more is "
            "expected: it rests deeper when let go from compressed; check which recording is which"
        )
        return Finding(code="friction_negative", message=message, end=end)

    def bounces(self) -> None:
        for place, item in enumerate(self.day.static):
            if item.kind != "bounce" or place not in self.rides:
                continue
            ride = self.rides[place]
            for end, signal in ride.ends.items():
                decay = measures.bounce_decay(ride, signal)
                if isinstance(decay, measures.Missing):
                    message = f"{item.log.name}, {end}: no natural frequency: {decay.reason}"
                    self.findings[place].append(Finding(code="no_decay", message=message, end=end))
                    continue
                self.values[place].append(_value("natural_frequency", end, decay.frequency_hz))
                self.values[place].append(_value("damping_ratio", end, decay.damping))


def friction_bands(rides: Rides) -> dict[str, dict[tuple[End, str | None], float]]:
    """Return each setup's friction bands by end and load, mm, as its settle recordings gave them.

    Parameters
    ----------
    rides : Rides

    Raises
    ------
    LogError
    """
    bands: dict[str, dict[tuple[End, str | None], float]] = defaultdict(dict)
    for (setup, end, load), rest in settled_mm(rides).items():
        band = measures.friction_band_mm(rest["compressed"], rest["extended"])
        if band >= 0:
            bands[setup][end, load] = band
    return dict(bands)


def settled_mm(rides: Rides) -> dict[tuple[str, End, str | None], dict[str, list[float]]]:
    """Return where each end came to rest, mm, by setup, end and load, let go from compressed and from extended.

    Parameters
    ----------
    rides : Rides

    Raises
    ------
    LogError
    """
    day = rides.day
    settled = (place for place, item in enumerate(day.static) if item.kind == "settle")
    return {
        (setup_of(day, day.static[last]).name, end, day.static[last].load): rest
        for end, last, rest in _Recordings(rides, settled).settled()
    }


def analyse_recordings(rides: Rides) -> tuple[StaticAnalysis, ...]:
    """Return what each recording off the trail gave, in file order.

    Parameters
    ----------
    rides : Rides

    Raises
    ------
    LogError
    """
    sheet = _Recordings(rides, range(len(rides.day.static)))
    sheet.without_position()
    sheet.not_at_rest()
    sheet.zeros(rides.zeros)
    sheet.sags()
    sheet.friction()
    sheet.one_sided()
    sheet.bounces()
    found = []
    for place, item in enumerate(rides.day.static):
        ride, setup, why_not = sheet.made[place], setup_of(rides.day, item).name, rides.logs.why_not(item)
        if why_not is not None:
            told = (unread(item, why_not),)
            found.append(StaticAnalysis(entry=item, setup=setup, findings=told, measures=(), history=()))
            continue
        (log,) = rides.logs.of(item)
        own = (*(ride.findings if ride is not None else log.findings), *rides.zeros.wrong[place])
        found.append(
            StaticAnalysis(
                entry=item,
                setup=setup,
                findings=(*own, *sheet.findings[place]),
                measures=tuple(sheet.values[place]),
                history=ride.history if ride is not None else log.history,
            )
        )
    return tuple(found)
