"""Whole ride days in a folder, invented from a seed, with what the plain code measures in them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from tests.plain.made_bikes import MadeEnd, length, made_front, made_rear
from tests.plain.made_logs import Layout, made_layout, write_log
from tests.plain.made_motion import made_ride, made_shares
from tests.plain.plain_measures import Values, plain_measures
from tests.plain.plain_signal import Array, PlainSpec, log_rate_hz, rest_noise_mm

RATES_HZ = (150.0, 200.0, 250.0, 333.0, 400.0, 500.0, 750.0, 1000.0, 2000.0)


@dataclass(frozen=True, kw_only=True)
class MadeTable:
    """A log as a reader gets it: clock, readings by end, ground speed; and its run's limits."""

    time_s: Array
    readings: dict[str, Array]
    ground_m_s: Array | None
    start_s: float | None = None
    end_s: float | None = None


@dataclass(frozen=True, kw_only=True)
class MadeDay:
    """A written ride day, and each run's measures by the plain code."""

    folder: Path
    expected: dict[str, Values]
    words: str


class Maker:
    """Draws one day and writes it; the state between its steps."""

    def __init__(self, folder: Path, seed: int) -> None:
        self.folder = folder
        self.rng = rng = np.random.default_rng(seed)
        self.dirt, self.imperial = bool(rng.random() < 0.15), bool(rng.random() < 0.2)
        self.ends: dict[str, MadeEnd] = {"front": made_front(rng, dirt=self.dirt, imperial=self.imperial)}
        if rng.random() < 0.88:
            self.ends["rear"] = made_rear(rng, dirt=self.dirt, imperial=self.imperial)
        self.ground = bool(rng.random() < 0.25)
        self.kmh = bool(rng.random() < 0.5)
        self.base_hz = float(rng.choice(RATES_HZ))
        keys = (*self.ends, *(("ground",) if self.ground else ()))
        self.layout: Layout = made_layout(rng, keys, self.base_hz)
        self.jitter = float(rng.choice([0.0, 0.0, 0.15])) if self.layout.resolution_s < 2e-5 else 0.0
        self.zeroed = bool(rng.random() < 0.6)
        self.wheelbase_line, self.wheelbase_mm = length("wheelbase", 1250.0, imperial=self.imperial)
        self.has_wheelbase, self.has_head = bool(rng.random() < 0.8), bool(rng.random() < 0.8)
        self.head_deg = round(float(rng.uniform(62.5, 67)), 1)

    def times(self, seconds: float) -> Array:
        """Return a log's true times: regular or jittered, at the day's rate or, with a clock, near it."""
        rate = self.base_hz
        if self.layout.time_unit and self.rng.random() < 0.3:
            rate *= float(self.rng.choice([0.98, 0.8]))
        index = np.arange(int(seconds * rate))
        wobble = self.rng.uniform(-1, 1, len(index)) * self.jitter if self.layout.time_unit else 0.0
        if self.layout.time_unit is None:
            rate = self.base_hz
        return (index + wobble) / rate

    def cut_gaps(self, time_s: Array) -> Array:
        """Return which rows the logger kept: sometimes it missed a stretch or two."""
        kept = np.ones(len(time_s), dtype=bool)
        if self.layout.time_unit is None or self.rng.random() > 0.3:
            return kept
        for start in self.rng.uniform(5, time_s[-1] - 6, size=int(self.rng.integers(1, 3))):
            kept &= ~((time_s > start) & (time_s < start + self.rng.uniform(0.12, 1.2)))
        return kept

    def with_spikes(self, readings: Array, made: MadeEnd, rate_hz: float) -> Array:
        """Return readings with a few samples far off, where a rate lets them be told from riding."""
        spiked = readings.copy()
        points = made.end.points
        per_mm = (points[-1][0] - points[0][0]) / (points[-1][1] - points[0][1])
        if rate_hz < 400 or self.rng.random() > 0.3:
            return spiked
        for start in self.rng.integers(20, len(readings) - 20, size=int(self.rng.integers(1, 8))):
            size = self.rng.uniform(0.45, 0.7) * made.sensor_full_mm * self.rng.choice([-1, 1])
            spiked[start : start + self.rng.integers(1, 4)] += size * per_mm
        return np.round(spiked, made.decimals)

    def columns(self, table: MadeTable) -> dict[str, tuple[Array, int, str]]:
        found = {name: (table.readings[name], made.decimals, made.unit) for name, made in self.ends.items()}
        if table.ground_m_s is not None:
            factor = 3.6 if self.kmh else 1.0
            found["ground"] = (table.ground_m_s * factor, 3, "km/h" if self.kmh else "m/s")
        return found

    def write(self, name: str, table: MadeTable) -> MadeTable:
        """Write a log and return it with the clock a reader gets."""
        read_s = write_log(self.folder / name, table.time_s, self.columns(table), self.layout)
        return replace(table, time_s=read_s)

    def lifted(self, number: int, shifts: dict[str, float]) -> MadeTable:
        """Write a lifted recording: both ends at zero for 5 s."""
        time_s = self.times(5.0)
        readings = {
            name: made.readings(np.zeros(len(time_s)), shifts[name], self.rng) for name, made in self.ends.items()
        }
        speed = np.zeros(len(time_s)) if self.ground else None
        return self.write(
            f"lifted_{number}{self.layout.suffix}", MadeTable(time_s=time_s, readings=readings, ground_m_s=speed)
        )

    def run(self, number: int, shifts: dict[str, float]) -> MadeTable:
        """Write a run and return its table."""
        ride = made_ride(self.rng, self.wheelbase_mm)
        shares = dict(zip(("front", "rear"), made_shares(self.rng, ride), strict=True))
        time_s = self.times(ride.seconds)
        time_s = time_s[self.cut_gaps(time_s)]
        readings = {}
        for name, made in self.ends.items():
            exact = made.readings(shares[name](time_s) * made.end.full_mm, shifts[name], self.rng)
            readings[name] = self.with_spikes(exact, made, self.base_hz)
        if self.layout.delimiter != " " and self.rng.random() < 0.15:
            readings["front"][self.rng.integers(50, len(time_s) - 50, size=9)] = np.nan
        speed = np.round((ride.speed_m_s + 0.3 * np.sin(time_s)) * 3.6, 3) / 3.6 if self.ground else None
        table = MadeTable(time_s=time_s, readings=readings, ground_m_s=speed)
        if self.rng.random() < 0.4:
            start = round(float(self.rng.uniform(3.5, 6)), 2)
            table = replace(table, start_s=start, end_s=round(start + float(self.rng.uniform(17, 20)), 2))
        return self.write(f"run_{number}{self.layout.suffix}", table)

    def shifts(self) -> dict[str, float]:
        """Draw by how much each sensor's zero has moved: nothing unless lifted recordings say so."""
        sizes = {name: 0.012 * made.sensor_full_mm for name, made in self.ends.items()}
        return {name: float(self.rng.uniform(-size, size)) if self.zeroed else 0.0 for name, size in sizes.items()}

    def spec(self, table: MadeTable, zero: MadeTable | None, rest: list[MadeTable], lowest_hz: float) -> PlainSpec:
        """Return what the plain code needs for a run: `zero` in force, noise from every recording at rest."""
        zeros = zero.readings if zero is not None else {}
        ends = {name: replace(made.end, lifted_readings=zeros.get(name)) for name, made in self.ends.items()}
        spec = PlainSpec(
            ends=ends,
            lowest_rate_hz=lowest_hz,
            stamp_s=self.layout.resolution_s,
            start_s=table.start_s,
            end_s=table.end_s,
            head_angle_deg=self.head_deg if self.has_head else None,
            wheelbase_mm=self.wheelbase_mm if self.has_wheelbase else None,
            ground_speed_m_s=table.ground_m_s,
        )
        noise = {name: rest_noise_mm([(t.time_s, t.readings[name]) for t in rest], name, spec) for name in ends}
        return replace(spec, ends={name: replace(end, seen_noise_mm=noise[name]) for name, end in ends.items()})


def made_day(folder: Path, seed: int) -> MadeDay:
    """Write the ride day of a seed into an empty folder and return what the plain code measures in it."""
    from tests.plain.made_toml import day_toml

    maker = Maker(folder, seed)
    tables: list[MadeTable] = []
    lifted: dict[int, MadeTable] = {}
    shifts = maker.shifts()
    for number in (1, 2):
        if maker.zeroed and (number == 1 or maker.rng.random() < 0.5):
            shifts = maker.shifts()
            lifted[number] = maker.lifted(number, shifts)
        tables.append(maker.run(number, shifts))
    for made in maker.ends.values():
        for name, text in made.files.items():
            (folder / name).write_text(text, encoding="utf-8")
    (folder / "ride_day.toml").write_text(day_toml(maker, tables, lifted), encoding="utf-8")
    lowest_hz = min(log_rate_hz(table.time_s) for table in tables)
    rest = list(lifted.values())
    expected, last = {}, None
    for number, table in enumerate(tables, start=1):
        last = lifted.get(number, last)
        expected[f"run_{number}"] = plain_measures(
            table.time_s, table.readings, maker.spec(table, last, rest, lowest_hz)
        )
    return MadeDay(folder=folder, expected=expected, words=f"{maker.layout}")
