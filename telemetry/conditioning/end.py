"""One end: from readings to cleaned travel, filtered travel and speed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from telemetry.mechanics.leverage import curve_of
from telemetry.model.arrays import Bools, Floats, Ints, joined, read_only
from telemetry.model.day import EndSetup
from telemetry.model.finding import Step
from telemetry.model.ride import CleanedEnd, EndSignal
from telemetry.model.sensor import DisplacementSensor

from .broken_contact import find_broken_contact, lasting_steps
from .calibration import Calibration, calibrate
from .despiking import find_spikes
from .glitches import is_slow, mended_rows
from .noise import noise_of_step, noise_step, sensor_step
from .resampling import EvenClock
from .smoothing import lowpass
from .speed import derivative, still_mask

STATED_SHARE, UNLIFTED_SHARE = 0.03, 0.02
"""How far off full travel may be that is only stated (a 170 mm fork: 5 mm; common practice, no source), and zero
without a lifted recording (own choice: a moved zero beyond it is an error)."""
SHAFT_KNOTS = 512
MOST_COUNTS = 131_072


@dataclass(frozen=True, slots=True, kw_only=True)
class Zero:
    """A lifted recording's level: the median calibrated reading, mm of what the sensor measures."""

    level_mm: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EndRecipe:
    """What is needed to clean one end: its sensor, its setup and its zero."""

    sensor: DisplacementSensor
    setup: EndSetup
    zero: Zero | None = None


def whole_counts(readings: Floats) -> Ints | None:
    """Return how many counts each reading lies above the lowest; None where not whole, or too many to spare work.

    Parameters
    ----------
    readings : float array, shape (n,)

    Returns
    -------
    int array, shape (n,), or None

    Examples
    --------
    >>> import numpy as np
    >>> whole_counts(np.array([903.0, 901.0, 902.0, 902.0]))
    array([2, 0, 1, 1])
    >>> whole_counts(np.array([1.5, 1.0, 1.0, 1.0, 1.5]))
    """
    lowest = readings.min()
    if readings.max() - lowest >= min(MOST_COUNTS, readings.shape[0] - 1):
        return None
    steps = readings - lowest
    counts = steps.astype(np.int64)
    return counts if np.array_equal(counts, steps) else None


class EndCleaner:
    """Cleans one end; each step writes itself into the history.

    Parameters
    ----------
    recipe : EndRecipe
    clock : EvenClock
    cutoff_hz : float

    Raises
    ------
    ValueError
        If the end's full travel isn't known, or a stroke sensor has no leverage.
    """

    def __init__(self, recipe: EndRecipe, clock: EvenClock, cutoff_hz: float) -> None:
        if recipe.setup.full_travel_mm is None:
            raise ValueError(f"full travel of the {recipe.setup.end} isn't known")
        self._recipe = recipe
        self._clock, self._cutoff_hz = clock, cutoff_hz
        self._end = recipe.setup.end
        self._full_mm = recipe.setup.full_travel_mm
        self._calibration: Calibration = calibrate(recipe.sensor)
        table = recipe.setup.leverage
        self._curve = curve_of(table) if table is not None else None
        self._by_stroke = recipe.sensor.measures == "stroke" and self._end == "rear"
        if self._by_stroke and self._curve is None:
            raise ValueError("a stroke sensor needs a leverage curve")
        self._history: list[Step] = []

    def clean(self, logged: Floats) -> CleanedEnd:
        """Return the end's signals.

        Parameters
        ----------
        logged : float array, shape (m,)
            Readings as they stand in the log.
        """
        rows, in_rows, glitches = self._rows_mended(logged)
        cleaned, mended, spikes, lost = self._mended(self._clock.values(rows))
        spikes = np.union1d(in_rows, spikes) if in_rows.size else spikes
        self._tell_cleaned(spikes.size, glitches.size)
        true_rows = logged if rows is logged else logged[rows == logged]
        step = sensor_step(mended if self._clock.keeps_readings and rows is logged else true_rows)
        mm_a_reading = self._calibration.slope_mm * self._full_mm / self._measured_mm
        travel, speed, still = self._filtered(cleaned)
        noise = noise_of_step(step * abs(mm_a_reading), self._clock.rate_hz, self._cutoff_hz)
        self._history.append(noise_step(self._end, noise))
        signal = EndSignal(
            end=self._end,
            cleaned_mm=read_only(cleaned),
            travel_mm=read_only(travel),
            speed_mm_s=read_only(speed),
            still=read_only(still),
            full_travel_mm=self._full_mm,
            bumper_touch_mm=self._recipe.setup.bumper_touch_mm,
            noise=noise,
            shaft_ratio=self._shaft_ratio(),
            unsure_mm=self._unsure_mm,
        )
        return CleanedEnd(
            row_of=self._clock.row_of,
            time_s=self._clock.time_s,
            rate_hz=self._clock.rate_hz,
            segments=self._clock.segments,
            sensor=self._recipe.sensor,
            signal=signal,
            history=tuple(self._history),
            readings=mended,
            spikes=spikes,
            glitches=glitches,
            lost=lost,
            lasting=lost[lasting_steps(cleaned, lost)],
            reading_step=step,
            off_line_mm=self._calibration.residual_mm,
            measured_mm=self._measured_mm,
            wheel_mm=self._wheel_each,
            mm_a_reading=mm_a_reading,
        )

    @property
    def _unsure_mm(self) -> float:
        stated = STATED_SHARE if self._recipe.setup.is_stated else 0.0
        unlifted = UNLIFTED_SHARE if self._recipe.zero is None else 0.0
        return (stated + unlifted) * self._full_mm

    @property
    def _measured_mm(self) -> float:
        """Full travel as the sensor measures it: the shock's stroke, or travel itself."""
        if not self._by_stroke or self._curve is None:
            return self._full_mm
        stated = self._recipe.setup.stroke_mm
        return stated or float(self._curve.stroke_mm(np.array([self._full_mm]))[0])

    def _tell(self, stage: str, words: str, **parameters: object) -> None:
        self._history.append(Step(stage=stage, end=self._end, words=words, parameters=parameters))

    def _wheel(self, readings: Floats) -> Floats:
        """Return wheel travel of readings; a converter's few whole counts are each turned into travel once."""
        counts = whole_counts(readings)
        if counts is None:
            return self._wheel_each(readings)
        return self._wheel_each(readings.min() + np.arange(counts.max() + 1))[counts]

    def _wheel_each(self, readings: Floats) -> Floats:
        millimetres = self._calibration.mm(readings)
        if self._recipe.zero is not None:
            millimetres -= self._recipe.zero.level_mm
        if self._by_stroke and self._curve is not None:
            return self._curve.travel_mm(millimetres)
        return millimetres

    def _rows_mended(self, logged: Floats) -> tuple[Floats, Ints, Ints]:
        """Return a slow log's rows without spikes and glitches, and the samples of the even clock that these were at.

        They are looked for in the rows themselves: between rows one is spread over two samples.
        """
        none, mended, rate_hz = np.empty(0, dtype=np.int64), logged, self._clock.rate_hz
        spikes, glitches = [none], [none]
        for start, stop in self._clock.sources if is_slow(rate_hz, self._full_mm) else ():
            part, in_spikes, in_glitches = mended_rows(logged[start:stop], self._wheel, rate_hz, self._full_mm)
            if in_spikes.size + in_glitches.size:
                mended = logged.copy() if mended is logged else mended
                mended[start:stop] = part
                spikes.append(in_spikes + start)
                glitches.append(in_glitches + start)
        at = self._clock.samples_at
        return mended, at(np.concatenate(spikes)), at(np.concatenate(glitches))

    def _mended(self, readings: Floats) -> tuple[Floats, Floats, Ints, Ints]:
        """Return wheel travel and readings without spikes, the samples in spikes, and those after impossible steps."""
        wheel, mended = self._wheel(readings), readings
        spikes, lost = [], []
        for start, stop in self._clock.segments:
            found = find_spikes(readings[start:stop], wheel[start:stop], self._clock.rate_hz)
            if found.samples.size:
                where = found.samples + start
                mended = readings.copy() if mended is readings else mended
                mended[where] = found.values
                wheel[where] = self._wheel(found.values)
                spikes.append(where)
            lost.append(start + find_broken_contact(wheel[start:stop], self._clock.rate_hz, found.fast))
        return wheel, mended, np.concatenate([np.empty(0, dtype=np.int64), *spikes]), np.concatenate(lost)

    def _tell_cleaned(self, spikes: int, glitches: int) -> None:
        sensor, zero = self._recipe.sensor, self._recipe.zero
        self._tell("spikes", f"{spikes} samples replaced", samples=spikes)
        if is_slow(self._clock.rate_hz, self._full_mm):
            self._tell("glitches", f"{glitches} readings replaced by the line around them", readings=glitches)
        self._tell("calibration", f"{sensor.name}: {self._calibration.words}", sensor=sensor.name)
        if zero is None:
            self._tell("zero", "as calibrated; no lifted recording", source=None, level_mm=None)
        else:
            words = f"{zero.level_mm:+.2f} mm taken out ({zero.source})"
            self._tell("zero", words, source=zero.source, level_mm=zero.level_mm)
        if self._by_stroke and self._recipe.setup.leverage is not None:
            source = self._recipe.setup.leverage.source
            self._tell("leverage", f"stroke to wheel travel by {source}", source=source)
        setup = self._recipe.setup
        self._tell(
            "full travel",
            f"{self._full_mm:.1f} mm ({setup.full_travel_from})",
            full_travel_mm=self._full_mm,
            full_travel_from=setup.full_travel_from,
        )

    def _filtered(self, cleaned: Floats) -> tuple[Floats, Floats, Bools]:
        clock, rate, cutoff = self._clock, self._clock.rate_hz, self._cutoff_hz
        travel = joined([lowpass(cleaned[start:stop], rate, cutoff) for start, stop in clock.segments])
        speed = joined([derivative(travel[start:stop], rate) for start, stop in clock.segments])
        still = joined([still_mask(speed[start:stop], rate, cutoff) for start, stop in clock.segments])
        words = f"Butterworth, order 4, both ways, −3 dB at {cutoff:g} Hz; speed by five points"
        self._tell("low-pass", words, cutoff_hz=cutoff)
        return travel, speed, still

    def _shaft_ratio(self) -> tuple[Floats, Floats] | None:
        if self._end == "front":
            return read_only(np.array([0.0, self._full_mm])), read_only(np.ones(2))
        if self._curve is None:
            return None
        travel = np.linspace(0.0, self._full_mm, SHAFT_KNOTS)
        return read_only(travel), read_only(self._curve.ratio(self._curve.stroke_mm(travel)))
