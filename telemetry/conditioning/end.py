"""One end: from readings to cleaned travel, filtered travel and speed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from telemetry.mechanics.bottoming_line import bottoming_line_mm
from telemetry.mechanics.leverage import curve_of
from telemetry.model.arrays import Bools, Floats, Ints, joined, read_only
from telemetry.model.day import DisplacementSensor, EndSetup
from telemetry.model.finding import Finding, Step
from telemetry.model.finding_codes import Severity
from telemetry.model.ride import EndSignal
from telemetry.words import counted, percent

from .broken_contact import find_broken_contact, lasting_steps
from .calibration import Calibration, calibrate
from .clipping import SPEED_LIMIT_MM_S, FlatEnd, false_depths, find_clipped, find_clipped_at_own, own_ends
from .despiking import find_spikes
from .lowpass import lowpass
from .noise import noise_of_step, noise_told, sensor_step
from .speed import derivative
from .standing import still_mask

COARSE_SHARE = 0.005
RESIDUAL_SHARE = 0.01
SPIKE_SHARE = 0.001
MOST_BROKEN = 4
"""Steps of a broken contact that still leave a run to be compared: two losses, in and out."""
LEFT_SPIKE = 5
"""Samples within which a step is undone where it is what despiking left of a spike, between rows or in fast motion."""
SHAFT_KNOTS = 512
MOST_COUNTS = 1 << 17


@dataclass(frozen=True, slots=True, kw_only=True)
class Zero:
    """A lifted recording's level: the median calibrated reading, mm of what the sensor measures."""

    level_mm: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EndRecipe:
    """What is needed to clean one end: its sensor, its setup and its zero.

    `rows` are the file rows of the log's samples where the end's readings come from another file.
    """

    sensor: DisplacementSensor
    setup: EndSetup
    zero: Zero | None = None
    rows: Floats | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """The even clock an end is cleaned on. `row_of` gives the log's row of a sample."""

    name: str
    time_s: Floats
    rate_hz: float
    segments: tuple[tuple[int, int], ...]
    row_of: Callable[[int], int]
    cutoff_hz: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanedEnd:
    """One end's signals, and what was found and done on the way."""

    signal: EndSignal
    findings: tuple[Finding, ...]
    history: tuple[Step, ...]


class EndCleaner:
    """Cleans one end; each step writes itself into the history.

    Parameters
    ----------
    recipe : EndRecipe
    grid : Grid

    Raises
    ------
    ValueError
        If the end's full travel isn't known, or a stroke sensor has no leverage.
    """

    def __init__(self, recipe: EndRecipe, grid: Grid) -> None:
        if recipe.setup.full_travel_mm is None:
            raise ValueError(f"full travel of the {recipe.setup.end} isn't known")
        self._recipe = recipe
        self._grid = grid
        self._end = recipe.setup.end
        self._full_mm = recipe.setup.full_travel_mm
        self._calibration: Calibration = calibrate(recipe.sensor)
        table = recipe.setup.leverage
        self._curve = curve_of(table) if table is not None else None
        self._by_stroke = recipe.sensor.measures == "stroke" and self._end == "rear"
        if self._by_stroke and self._curve is None:
            raise ValueError("a stroke sensor needs a leverage curve")
        self._fast: list[Ints] = []
        self._findings: list[Finding] = []
        self._history: list[Step] = []

    def clean(self, readings: Floats, logged: Floats | None = None) -> CleanedEnd:
        """Return the end's signals.

        Parameters
        ----------
        readings : float array, shape (n,)
            On the even clock.
        logged : float array, shape (m,), optional
            As they stand in the log, where `readings` lie between them: only these show the converter's step.
        """
        self._judge_calibration()
        spikes, cleaned, mended = self._mended(readings)
        self._tell_cleaned(spikes, cleaned.shape[0])
        self._judge_contact(cleaned)
        step = sensor_step(mended if logged is None else logged)
        self._judge_range(mended)
        self._judge_clipping(mended, step)
        step_mm = step * abs(self._wheel_mm_per_reading)
        travel, speed, still = self._filtered(cleaned)
        self._judge_step(step_mm)
        noise = noise_of_step(step_mm, self._grid.rate_hz, self._grid.cutoff_hz)
        self._history.append(noise_told(self._end, noise))
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
        )
        return CleanedEnd(signal=signal, findings=tuple(self._findings), history=tuple(self._history))

    @property
    def _wheel_mm_per_reading(self) -> float:
        return self._calibration.slope_mm * self._full_mm / self._measured_mm

    @property
    def _measured_mm(self) -> float:
        """Full travel as the sensor measures it: the shock's stroke, or travel itself."""
        if not self._by_stroke or self._curve is None:
            return self._full_mm
        stated = self._recipe.setup.stroke_mm
        return stated or float(self._curve.stroke_mm(np.array([self._full_mm]))[0])

    def _tell(self, stage: str, words: str, **parameters: object) -> None:
        self._history.append(Step(stage=stage, end=self._end, words=words, parameters=parameters))

    def _find(
        self, code: str, message: str, severity: Severity, sample: int | None = None, *, no_verdict: bool = False
    ) -> None:
        grid = self._grid
        self._findings.append(
            Finding(
                severity=severity,
                code=code,
                message=f"{grid.name}, {self._end}: {message}",
                end=self._end,
                row=None if sample is None else grid.row_of(sample),
                second=None if sample is None else float(grid.time_s[sample]),
                no_verdict=no_verdict,
            )
        )

    def _wheel(self, readings: Floats) -> Floats:
        """Return wheel travel of readings; a converter's few whole counts are each turned into travel once."""
        lowest, highest = float(readings.min()), float(readings.max())
        if highest - lowest > MOST_COUNTS or readings.shape[0] <= highest - lowest + 1 or lowest != round(lowest):
            return self._wheel_each(readings)
        steps = readings - lowest
        places = steps.astype(np.int32)
        if not np.array_equal(places, steps):
            return self._wheel_each(readings)
        return self._wheel_each(np.arange(lowest, highest + 1.0))[places]

    def _wheel_each(self, readings: Floats) -> Floats:
        millimetres = self._calibration.mm(readings)
        if self._recipe.zero is not None:
            millimetres -= self._recipe.zero.level_mm
        if self._by_stroke and self._curve is not None:
            return self._curve.travel_mm(millimetres)
        return millimetres

    def _mended(self, readings: Floats) -> tuple[list[int], Floats, Floats]:
        """Return samples in spikes, and wheel travel and readings without them."""
        wheel, mended = self._wheel(readings), readings
        spikes: list[int] = []
        for start, stop in self._grid.segments:
            found = find_spikes(readings[start:stop], wheel[start:stop], self._grid.rate_hz)
            self._fast.append(found.fast)
            if found.samples.size:
                where = found.samples + start
                mended = readings.copy() if mended is readings else mended
                mended[where] = found.values
                wheel[where] = self._wheel(found.values)
                spikes.extend(where.tolist())
        return spikes, wheel, mended

    def _tell_cleaned(self, spikes: list[int], samples: int) -> None:
        if spikes:
            share = len(spikes) / samples
            self._find(
                "spikes",
                f"{len(spikes)} samples in spikes ({percent(share)} % of all, limit 0.1 %), the first at "
                f"{self._grid.time_s[spikes[0]]:.2f} s, replaced by the median of their neighbours; "
                "check plug, cable and ground",
                "warning" if share > SPIKE_SHARE else "note",
                spikes[0],
            )
        sensor, zero = self._recipe.sensor, self._recipe.zero
        self._tell("spikes", f"{len(spikes)} samples replaced", samples=len(spikes))
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
        grid = self._grid
        rate, cutoff = grid.rate_hz, grid.cutoff_hz
        travel = joined([lowpass(cleaned[start:stop], rate, cutoff) for start, stop in grid.segments])
        speed = joined([derivative(travel[start:stop], rate) for start, stop in grid.segments])
        still = joined([still_mask(speed[start:stop], rate, cutoff) for start, stop in grid.segments])
        words = f"Butterworth, order 4, both ways, −3 dB at {grid.cutoff_hz:g} Hz; speed by five points"
        self._tell("low-pass", words, cutoff_hz=grid.cutoff_hz)
        return travel, speed, still

    def _shaft_ratio(self) -> tuple[Floats, Floats] | None:
        if self._end == "front":
            return read_only(np.array([0.0, self._full_mm])), read_only(np.ones(2))
        if self._curve is None:
            return None
        travel = np.linspace(0.0, self._full_mm, SHAFT_KNOTS)
        return read_only(travel), read_only(self._curve.ratio(self._curve.stroke_mm(travel)))

    def _judge_calibration(self) -> None:
        limit = RESIDUAL_SHARE * self._measured_mm
        if self._calibration.residual_mm > limit:
            self._find(
                "poor_calibration",
                f"a calibration point lies {self._calibration.residual_mm:.2f} mm off the line "
                f"(limit {limit:.2f} mm, 1 % of travel); measure the points again or use a curve",
                "warning",
            )

    def _judge_contact(self, cleaned: Floats) -> None:
        """Say where travel steps faster than a wheel can move, and no spike explains it."""
        grid = self._grid
        found = [
            start + find_broken_contact(cleaned[start:stop], grid.rate_hz, fast)
            for (start, stop), fast in zip(grid.segments, self._fast, strict=True)
        ]
        steps = np.concatenate(found)
        if steps.size == 0:
            return
        lone = np.count_nonzero(lasting_steps(cleaned, steps, LEFT_SPIKE))
        message = (
            f"{counted(steps.size, 'step')} faster than 10 m/s at the wheel stay after spikes are out, the first at "
            f"{grid.time_s[steps[0]]:.2f} s; no wheel moves like that: readings between such steps are false (over "
            f"{MOST_BROKEN} that aren't undone within {LEFT_SPIKE} samples: no verdict); check plug, cable and ground, "
            "then ride again"
        )
        if lone > MOST_BROKEN:
            self._find("contact_lost_often", message, "warning", int(steps[0]))
        else:
            self._find("loose_contact", message, "warning", int(steps[0]))

    def _judge_step(self, step_mm: float) -> None:
        limit = COARSE_SHARE * self._full_mm
        if step_mm > limit:
            self._find(
                "coarse_steps",
                f"the sensor's step is {step_mm:.2f} mm at the wheel (limit {limit:.2f} mm, 0.5 % of "
                "travel); use more of the converter's range",
                "warning",
            )

    def _judge_range(self, readings: Floats) -> None:
        """Say where readings lie outside the range that is stated for them."""
        stated = self._recipe.sensor.counts_range
        if stated is None:
            return
        low, high = min(stated), max(stated)
        lowest, highest = float(readings.min()), float(readings.max())
        if lowest >= low and highest <= high:
            return
        outside = np.flatnonzero((readings < low) | (readings > high))
        furthest = highest if highest - high > low - lowest else lowest
        self._find(
            "outside_range",
            f"{percent(outside.size / readings.shape[0])} % of readings lie outside counts_range ({low:g} to "
            f"{high:g}; furthest {furthest:g}, first at {self._grid.time_s[outside[0]]:.2f} s): no converter reads "
            "beyond its range, so running out of it can't be told; correct counts_range, or look at the column",
            "warning",
            int(outside[0]),
        )

    def _judge_clipping(self, readings: Floats, step: float) -> None:
        least = SPEED_LIMIT_MM_S / self._grid.rate_hz / max(abs(self._wheel_mm_per_reading), 1e-300)
        stated = self._recipe.sensor.counts_range or ()
        flats: list[FlatEnd] = []
        for start, stop in self._grid.segments:
            found = find_clipped(readings[start:stop], least, step, stated)
            flats.extend(replace(flat, start=start + flat.start, stop=start + flat.stop) for flat in found)
        extremes = np.array([np.min(readings), np.max(readings)])
        own = own_ends(extremes, self._wheel_each(extremes), self._full_mm)
        unstated = tuple(end for end in own if end not in stated)
        flats.extend(find_clipped_at_own(readings, self._grid.segments, least, step, unstated))
        if not flats:
            return
        flats.sort(key=lambda flat: flat.start)
        first = flats[0].start
        depths = self._wheel_each(np.array([flat.reading for flat in flats]))
        false = false_depths(depths, self._full_mm)
        self._find(
            "clipped",
            f"sensor ran out of range: {len(flats)} times 3 or more equal readings at "
            f"{flats[0].reading:g} while moving faster than 200 mm/s, first at "
            f"{self._grid.time_s[first]:.2f} s; {self._cut(float(np.max(depths)), float(extremes.mean()))}"
            f"{' (no verdict at this end)' if false else ''}; check the sensor's mounting and range",
            "warning",
            first,
            no_verdict=false,
        )

    def _cut(self, deepest_mm: float, middle: float) -> str:
        """Return what is lost where readings end at `deepest_mm` of wheel travel; `middle`: between extremes."""
        line = bottoming_line_mm(self._full_mm, self._recipe.setup.bumper_touch_mm)
        if deepest_mm >= line:
            return "inside bottom-outs: their count is a lower bound"
        if deepest_mm > float(self._wheel_each(np.array([middle]))[0]):
            return f"depth is cut at {deepest_mm:.1f} mm, so bottom-outs (from {line:.1f} mm) can't be seen"
        return f"travel of less than {deepest_mm:.1f} mm can't be seen"
