"""A whole ride day out of a scenario: logs, `ride_day.toml`, and the truth beside them."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from telemetry.dynamics.half_car import DivergedError
from telemetry.dynamics.suspension import SLOW_EXPONENT
from telemetry.errors import CallError, Problem, RideDayError
from telemetry.files import whole_folder, write_text
from telemetry.model.finding import ENDS

from .day_text import Passed, day_text, leverage_name
from .full_truth import write_full_truth
from .logger import MadeLogger, write_log
from .loggers_made import mounted_at_mm, recording_logger, run_loggers
from .runs_made import loaded, made_recording, made_run
from .scenario import ReadScenario, SimulatedSetup
from .scenario_parts import RATE_HZ
from .scenario_problems import MEND_FIRST
from .scenario_tables import RecordingTable, Scenario
from .signals import Signals
from .true_phases import TruePhases
from .truth import TrueRun

WORKERS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class _WrittenRun:
    """What stays of a run once its logs are written."""

    truth: TrueRun
    phases: TruePhases | None
    starts_s: float
    ends_s: float
    marks_s: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Maker:
    """A scenario, the folder its day is written into, who is told of each log, and whether whole motions are kept."""

    scenario: ReadScenario
    folder: Path
    progress: Callable[[str], None] | None
    full_truth: bool

    @property
    def ending(self) -> str:
        return ".csv.gz" if self.scenario.tables.logger.gzip else ".csv"

    def setup_of(self, run: int) -> SimulatedSetup:
        return self.scenario.setups[self.scenario.tables.day.order[run - 1]]

    def run_logs(self, run: int) -> tuple[str, ...]:
        if self.scenario.tables.logger.two_loggers:
            return f"run_{run}_front{self.ending}", f"run_{run}_rear{self.ending}"
        return (f"run_{run}{self.ending}",)

    def refused(self, what: str, setup: SimulatedSetup, error: Exception) -> CallError:
        """Return the error of a run or recording that can't be made of the scenario's figures."""
        where = f"{self.scenario.path.name}, {what} ({setup.name})"
        if isinstance(error, DivergedError):
            remedy = "look at springs, dampers and masses of that setup"
            return CallError(where, str(error), "parts that hold together", remedy)
        return CallError(where, str(error), "figures it can be made of", "look at that setup and the logger")

    def run(self, number: int, seed: np.random.SeedSequence) -> _WrittenRun:
        """Make a run's signals and write its log or logs, and its whole motion if asked."""
        if self.progress is not None:
            self.progress(f"run_{number}")
        motion_rng, log_rng = np.random.default_rng(seed).spawn(2)
        setup, loggers = self.setup_of(number), run_loggers(self.scenario.tables, number)
        rngs = [log_rng] if len(loggers) == 1 else log_rng.spawn(len(loggers))
        try:
            run = made_run(self.scenario, setup, motion_rng)
            self._require_gaps_within(number, float(run.signals.time_s[-1]))
            for name, logger, rng in zip(self.run_logs(number), loggers, rngs, strict=True):
                self._write(name, logger, run.signals, rng)
        except (DivergedError, ValueError) as error:
            raise self.refused(f"run {number}", setup, error) from None
        if self.full_truth:
            write_full_truth(self.folder / f"truth_run_{number}.parquet", run.whole)
        return _WrittenRun(
            truth=run.truth, phases=run.phases, starts_s=run.starts_s, ends_s=run.ends_s, marks_s=run.marks_s
        )

    def _require_gaps_within(self, run: int, ends_s: float) -> None:
        """Refuse gaps that begin after a run's log has ended, or leave nothing of it.

        Raises
        ------
        CallError
        """
        for number, gap in enumerate(self.scenario.tables.logger.gaps, 1):
            where = f"{self.scenario.path.name}, logger.gaps[{number}]"
            if gap.run == run and gap.at_s >= ends_s:
                found = f"at_s = {gap.at_s:g}, after the log of run {run} has ended"
                raise CallError(where, found, f"0 to {ends_s:.1f} s")
            if gap.run == run and gap.at_s <= 0 and gap.at_s + gap.length_s >= ends_s:
                found = f"a gap over all {ends_s:.1f} s of run {run}"
                raise CallError(where, found, "a gap that leaves rows before or after it")

    def entry(self, number: int, item: RecordingTable) -> dict[str, object]:
        """Return a recording's entry in the ride day."""
        return {
            "log": f"{item.kind}_{number}{self.ending}",
            "kind": item.kind,
            "setup": self.setup_of(item.before_run).name,
            "before_run": f"run_{item.before_run}",
            "load": item.load,
            "from": item.settled_from,
        }

    def recording(self, number: int, item: RecordingTable, seed: np.random.SeedSequence) -> None:
        """Write a recording's log."""
        name, setup = f"{item.kind}_{number}{self.ending}", self.setup_of(item.before_run)
        signal_rng, log_rng = np.random.default_rng(seed).spawn(2)
        try:
            under = loaded(setup, item.load, self.scenario.tables.rider.seat_ahead_mm / 1000)
            signals = made_recording(under, item.kind, item.settled_from, signal_rng)
            self._write(name, recording_logger(self.scenario.tables, item.before_run), signals, log_rng)
        except (DivergedError, ValueError) as error:
            raise self.refused(f"recordings[{number}] {item.kind}", setup, error) from None

    def write_tables(self, passed: list[Passed]) -> list[str]:
        """Write ride day and leverage curves; return the names of all logs."""
        logs = [self.run_logs(number) for number in range(1, len(passed) + 1)]
        static = [self.entry(number, item) for number, item in enumerate(self.scenario.tables.recordings, 1)]
        for setup in self.scenario.setups.values():
            _write_leverage(self.folder, setup)
        write_text(self.folder / "ride_day.toml", day_text(self.scenario, logs, passed, static))
        return [name for pair in logs for name in pair] + [str(entry["log"]) for entry in static]

    def _write(self, name: str, logger: MadeLogger, signals: Signals, rng: np.random.Generator) -> None:
        write_log(self.folder / name, logger, signals, rng)


def _write_leverage(folder: Path, setup: SimulatedSetup) -> None:
    rows = "\n".join(f"{stroke:g},{travel:g}" for stroke, travel in setup.rear.leverage or [])
    write_text(folder / leverage_name(setup.name), f"stroke_mm,travel_mm\n{rows}\n")


def _truth(scenario: ReadScenario, runs: list[_WrittenRun]) -> str:
    tables, day = scenario.tables, scenario.tables.day
    rows = [
        {
            "run": f"run_{number}",
            "setup": setup,
            "start_s": run.starts_s,
            "end_s": run.ends_s,
            "sensor_offset_mm": {end: mounted_at_mm(tables, number, end) for end in tables.logger.displacement()},
            **run.truth.to_dict(),
            **({} if run.phases is None else run.phases.to_dict()),
        }
        for number, (setup, run) in enumerate(zip(day.order, runs, strict=True), 1)
    ]
    whole = {
        "title": day.title,
        "simulated": True,
        "rate_hz": RATE_HZ,
        "seed": day.seed,
        "gas_exponent": {"at_rest": SLOW_EXPONENT, "moving": scenario.tables.bike.ride_exponent},
        "runs": rows,
    }
    return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"


def _checked(maker: _Maker, check: Callable[[Path], object]) -> None:
    """Have the ride day read before minutes are spent on its logs: they are empty, and the bounds aren't known yet."""
    marks_s = tuple(float(number) for number in range(len(maker.scenario.tables.trail.marks)))
    passed = Passed(starts_s=0.0, ends_s=1.0, marks_s=marks_s)
    for name in maker.write_tables([passed] * len(maker.scenario.tables.day.order)):
        (maker.folder / name).touch()
    try:
        check(maker.folder)
    except RideDayError as error:
        problems = {_in_scenario(maker.scenario.tables, problem): None for problem in error.problems}
        raise RideDayError(maker.scenario.path.name, tuple(problems), MEND_FIRST, error.left_out) from None


def _in_scenario(tables: Scenario, problem: Problem) -> Problem:
    """Return a ride day's problem by the scenario's own path, where the key was handed on by a `written`."""
    for name, setup in tables.setups.items():
        for end in ENDS:
            begin = f"setups.{name}.{end}."
            rest = problem.key.removeprefix(begin)
            key = re.split(r"[.\[]", rest)[0]
            if rest != problem.key and key in getattr(setup, end).get("written", {}):
                return replace(problem, key=f"{begin}written.{rest}")
            if rest != problem.key and key in getattr(tables.bike, end).get("written", {}):
                return replace(problem, key=f"bike.{end}.written.{rest}")
    return problem


def _write_day(maker: _Maker) -> None:
    scenario, tables = maker.scenario, maker.scenario.tables
    numbers = range(1, len(tables.day.order) + 1)
    seeds = np.random.SeedSequence(tables.day.seed).spawn(len(numbers) + len(tables.recordings))
    with ThreadPoolExecutor(WORKERS) as workers:
        runs = list(workers.map(maker.run, numbers, seeds[: len(numbers)]))
    for number, (item, seed) in enumerate(zip(tables.recordings, seeds[len(numbers) :], strict=True), 1):
        maker.recording(number, item, seed)
    write_text(maker.folder / "truth.json", _truth(scenario, runs))
    pace = run_loggers(tables, 1)[0].clock.pace  # bounds go by the log's own clock, truth.json by the true one
    maker.write_tables(
        [
            Passed(
                starts_s=pace * run.starts_s,
                ends_s=pace * run.ends_s,
                marks_s=tuple(pace * mark_s for mark_s in run.marks_s),
            )
            for run in runs
        ]
    )


def make_day(
    scenario: ReadScenario,
    folder: Path,
    progress: Callable[[str], None] | None = None,
    check: Callable[[Path], object] | None = None,
    *,
    full_truth: bool = False,
) -> None:
    """Simulate a scenario's day and write it into a folder, whole or not at all.

    Parameters
    ----------
    scenario : ReadScenario
    folder : Path
        A new one, or an empty one.
    progress : callable, optional
        Told each run's name before it is made.
    check : callable, optional
        Reads the ride day before anything is simulated, its logs still empty; what it raises stops all.
    full_truth : bool
        Also write each run's whole motion, ``truth_run_N.parquet``.

    Raises
    ------
    CallError
        If the folder can't be used, or a run's motion grows without bound: which run, and when.
    RideDayError
        As `check` does, by the scenario's name.
    """
    if (folder / "ride_day.toml").exists():
        raise CallError(str(folder), "a ride_day.toml already", "a folder without one", "name another folder")
    with whole_folder(folder) as beside:
        maker = _Maker(scenario=scenario, folder=beside, progress=progress, full_truth=full_truth)
        if check is not None:
            _checked(maker, check)
        _write_day(maker)
