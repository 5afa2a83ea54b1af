"""Each log is read once and each recording cleaned once, whatever is asked; a report values and compares once."""

from __future__ import annotations

import shutil
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry import comparison, measures
from telemetry.model.day import RideDay
from telemetry.pipeline import loggers, report_parts, rides, study
from telemetry.pipeline.watching import check_log
from tests.pipeline.small_days import RATE_HZ, make_day, write_log

RUNS = ("a", "b", "b", "a")
OFF_TRAIL = {
    "lifted": 'kind = "lifted"\n',
    "still": 'kind = "still"\n',
    "sat": 'kind = "sag"\nload = "seated"\n',
    "down": 'kind = "settle"\nfrom = "compressed"\nload = "seated"\n',
    "up": 'kind = "settle"\nfrom = "extended"\nload = "seated"\n',
    "bounced": 'kind = "bounce"\n',
}
AT_REST = {"lifted.csv", "still.csv"}
BUTTON = '[sensors.button]\nkind = "marker"\ncolumn = "M"\nequals = 1\n'


class Counted:
    """How often each log was read, each ride cleaned, each run valued and drawn, and how often setups were compared."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.read: Counter[str] = Counter()
        self.cleaned: Counter[str] = Counter()
        self.valued: Counter[str] = Counter()
        self.drawn: Counter[str] = Counter()
        self.compared = 0
        self._count(monkeypatch, loggers, "read_logs", lambda path: self.read.update([path.name]))
        self._count(monkeypatch, rides, "clean_ride", lambda _, recipe: self.cleaned.update([recipe.name]))
        self._count(monkeypatch, measures, "family_values", lambda run, *_: self.valued.update([run.ride.name]))
        self._count(monkeypatch, measures, "picture", lambda run, *_: self.drawn.update([run.ride.name]))
        self._count(monkeypatch, comparison, "verdicts", self._compared)

    def _compared(self, _rows: object) -> None:
        self.compared += 1

    @staticmethod
    def _count(monkeypatch: pytest.MonkeyPatch, module: object, name: str, count: Callable[..., None]) -> None:
        real = getattr(module, name)

        def counted(*arguments: object, **keys: object) -> object:
            count(*arguments)
            return real(*arguments, **keys)

        monkeypatch.setattr(module, name, counted)


@pytest.fixture
def day(tmp_path: Path) -> RideDay:
    static = "".join(f'[[static]]\nlog = "{name}.csv"\nsetup = "a"\n{keys}' for name, keys in OFF_TRAIL.items())
    folder = make_day(tmp_path / "day", RUNS, seconds=12, extra=BUTTON + static)
    for number in range(1, len(RUNS) + 1):
        log = folder / f"run_{number}.csv"
        head, *rows = log.read_text(encoding="ascii").splitlines()
        log.write_text("\n".join([f"{head},M", *(f"{row},0" for row in rows)]) + "\n", encoding="ascii")
    flicker = np.arange(3 * RATE_HZ) % 2 / 20
    for name in OFF_TRAIL:
        write_log(folder / f"{name}.csv", 0.05 + flicker, 0.02 + flicker)
    return telemetry.read_ride_day(folder)


@pytest.fixture
def counted(day: RideDay, monkeypatch: pytest.MonkeyPatch) -> Counted:
    return Counted(monkeypatch)


EVERY = {f"run_{number}" for number in range(1, len(RUNS) + 1)}
RECORDED = {f"{name}.csv" for name in OFF_TRAIL}


@pytest.mark.parametrize("ask", [telemetry.analyse, telemetry.plan, report_parts])
def test_a_day_reads_each_log_and_cleans_each_recording_once(
    day: RideDay, counted: Counted, ask: Callable[[RideDay], object]
) -> None:
    ask(day)
    assert counted.read == Counter({f"{run}.csv" for run in EVERY} | RECORDED)
    assert counted.cleaned == Counter(EVERY | RECORDED)


def test_a_comparison_leaves_unread_what_it_does_not_need(day: RideDay, counted: Counted) -> None:
    telemetry.compare(day)
    needed = AT_REST | {"down.csv", "up.csv"}
    assert counted.read == Counter({f"{run}.csv" for run in EVERY} | needed)
    assert counted.cleaned == Counter(EVERY | needed)
    assert counted.valued == Counter(EVERY)
    assert counted.compared == 1
    assert not counted.drawn


def test_one_run_takes_the_rates_of_all_and_the_noise_at_rest(day: RideDay, counted: Counted) -> None:
    telemetry.load_ride(day, "run_2")
    assert counted.read == Counter({f"{run}.csv" for run in EVERY} | AT_REST)
    assert counted.cleaned == Counter({"run_2"} | AT_REST)


def test_a_report_values_draws_and_compares_once(day: RideDay, counted: Counted) -> None:
    report_parts(day)
    assert counted.valued == counted.drawn == Counter(EVERY)
    assert counted.compared == 1


def test_a_new_log_is_read_beside_what_was_read_before(day: RideDay, counted: Counted) -> None:
    done = study(day)
    shutil.copy(day.folder / "run_1.csv", day.folder / "new.csv")
    counted.read.clear()
    assert check_log(done, day.folder / "new.csv").log == "new.csv"
    assert counted.read == Counter({"new.csv"})


def test_runs_that_are_parts_of_one_log_read_it_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = make_day(tmp_path / "day", "ab", seconds=24)
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace('"run_2.csv"', '"run_1.csv"\nname = "second"\nstart_s = 12')
    file.write_text(text.replace('setup = "a"', 'setup = "a"\nend_s = 12'), encoding="utf-8")
    counted = Counted(monkeypatch)
    telemetry.analyse(telemetry.read_ride_day(folder))
    assert counted.read == Counter({"run_1.csv"})


def test_a_log_that_cannot_be_read_lets_the_others_be_read_once(day: RideDay, counted: Counted) -> None:
    (day.folder / "run_2.csv").write_text("nothing\n", encoding="ascii")
    (failed,) = telemetry.analyse(day).unread
    assert "run_2.csv" in str(failed)
    assert counted.read == Counter({f"{run}.csv" for run in EVERY} | RECORDED)
