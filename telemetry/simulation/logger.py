"""A cheap logger: a bike's continuous signals into the columns of a log.

It samples at its own late and drifting instants without any anti-alias filter (common practice, no source), keeps
whole counts, loses rows, and catches spikes. Two loggers, one at each end, are two of these, each with its own clock.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from telemetry.model.arrays import Floats

from .body import Felt, felt
from .clock_made import DECIMALS, Clock, own_times_s, stamps, true_times_s
from .faults import NO_FAULTS, Faults, rows_kept, spiked
from .inertial_made import MadeInertial, inertial_readings, low_passed
from .log_text import write_columns
from .sensors_made import MadeDisplacement, MadeSpeed, counts, played, speed_readings
from .signals import Signals

SPEED_DECIMALS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeLogger:
    """A logger with its clock, its sensors and its faults.

    Raises
    ------
    ValueError
        If it has no sensor, or two columns share a name.
    """

    clock: Clock
    displacement: tuple[MadeDisplacement, ...] = ()
    inertial: tuple[MadeInertial, ...] = ()
    speed: MadeSpeed | None = None
    faults: Faults = NO_FAULTS

    def __post_init__(self) -> None:
        names = list(self.decimals())
        count = 1 + len(self.displacement) + sum(len(unit.columns) for unit in self.inertial)
        count += self.speed is not None
        if count == 1:
            raise ValueError("MadeLogger: found no sensor; expected one or more")
        if len(names) != count:
            raise ValueError(f"MadeLogger: found {count} columns under {len(names)} names; expected one name each")

    def decimals(self) -> dict[str, int]:
        """Return each column with the decimals it is written with, in the order of the file."""
        found = {self.clock.column: DECIMALS[self.clock.unit]}
        found |= {sensor.column: 0 for sensor in self.displacement}
        for unit in self.inertial:
            found |= unit.decimals
        if self.speed is not None:
            found[self.speed.column] = SPEED_DECIMALS
        return found


def log_columns(logger: MadeLogger, signals: Signals, rng: np.random.Generator) -> dict[str, Floats]:
    """Return the columns of the log a logger writes of a bike's signals.

    Parameters
    ----------
    logger : MadeLogger
    signals : Signals
        At a rate well above the logger's: they are read between samples by straight lines.
    rng : numpy Generator
        Clock, faults and sensors draw from streams of their own, so that turning one fault on or off leaves
        every other reading as it was.

    Returns
    -------
    dict of column to float array, shape (rows,)
        The clock first; the same keys in the same order as ``logger.decimals()``.

    Raises
    ------
    ValueError
        If a sensor has no signal, or fewer than two rows are left.
    """
    clock_rng, loss_rng, speed_rng, *own_rngs = rng.spawn(3 + len(logger.displacement) + len(logger.inertial))
    streams = iter(own_rngs)
    own_s = own_times_s(logger.clock, float(signals.time_s[-1]), clock_rng)
    true_s = true_times_s(logger.clock, own_s)
    kept = rows_kept(logger.faults, true_s, loss_rng)
    if np.count_nonzero(kept) < 2 or true_s[0] < signals.time_s[0]:
        raise ValueError(
            f"{np.count_nonzero(kept)} rows left of a log from {logger.clock.switched_on_s:g} s on, where signals last "
            f"from {signals.time_s[0]:g} to {signals.time_s[-1]:g} s: it takes two or more"
        )
    columns = {logger.clock.column: stamps(logger.clock, own_s)}
    columns |= dict(_displacement(logger, signals, true_s, streams))
    for unit in logger.inertial:
        columns |= _inertial(unit, signals, true_s, logger.clock.rate_hz, next(streams))
    if logger.speed is not None:
        if signals.ground_speed_m_s is None:
            raise ValueError(f"column {logger.speed.column!r}: found no ground speed; expected one for its sensor")
        sampled = np.interp(true_s, signals.time_s, signals.ground_speed_m_s)
        columns[logger.speed.column] = speed_readings(logger.speed, sampled, speed_rng)
    return {column: columns[column][kept] for column in logger.decimals()}


def _displacement(
    logger: MadeLogger, signals: Signals, true_s: Floats, streams: Iterator[np.random.Generator]
) -> Iterator[tuple[str, Floats]]:
    for sensor in logger.displacement:
        noise_rng, spike_rng = next(streams).spawn(2)
        position = signals.fork_travel_mm if sensor.end == "front" else signals.shock_stroke_mm
        moved = np.interp(true_s, signals.time_s, played(position, sensor.hysteresis_mm))
        read = counts(sensor, moved, noise_rng)
        yield sensor.column, spiked(read, sensor.top_count, logger.faults, true_s, spike_rng)


def _inertial(
    unit: MadeInertial, signals: Signals, true_s: Floats, rate_hz: float, rng: np.random.Generator
) -> dict[str, Floats]:
    body = signals.body
    if body is None:
        raise ValueError(f"column {unit.columns['ax']!r}: found no motion of the frame; expected one for its sensor")
    own = low_passed(unit, felt(body, unit.place), signals.rate_hz)
    force, rotation = (
        np.column_stack([np.interp(true_s, signals.time_s, signal[:, axis]) for axis in range(3)])
        for signal in (own.force_m_s2, own.rotation_rad_s)
    )
    return inertial_readings(unit, Felt(force_m_s2=force, rotation_rad_s=rotation), rate_hz, rng)


def write_log(path: Path, logger: MadeLogger, signals: Signals, rng: np.random.Generator) -> dict[str, Floats]:
    """Write the log of a bike's signals and return its columns; the same bytes for the same seed.

    Parameters
    ----------
    path : Path
        ``.csv`` or ``.csv.gz``.
    logger : MadeLogger
    signals : Signals
    rng : numpy Generator

    Raises
    ------
    ValueError, CallError
        As `log_columns` and `write_columns`.
    """
    columns = log_columns(logger, signals, rng)
    write_columns(path, columns, logger.decimals())
    return columns
