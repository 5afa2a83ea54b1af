"""A day whose sensors have rows of their own measures what the same readings in one table do."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

import telemetry
from telemetry.errors import RideDayError
from telemetry.model.analysis import RunAnalysis
from telemetry.pipeline.reaching import read_and_reach
from telemetry.simulation.day_made import make_day
from telemetry.simulation.scenario import read_scenario
from tests.simulation.small_scenario import changed, scenario_file

Rows = list[list[str]]
LONG = 'long = { sensor = "sensor", value = "reading" }\n'
WORDS = {"[log]\n": f"[log]\n{LONG}", 'column = "A0"': 'column = "fork"', 'column = "A1"': 'column = "shock"'}
LOW = {"[sensors.fork]": "[conditioning]\ncutoff_hz = 40\n[sensors.fork]"}


@pytest.fixture(scope="module")
def wide(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wide")
    text = changed(("pushes = false\n", ""), ("ground_speed = true\n", ""))
    make_day(read_scenario(scenario_file(folder, text)), folder / "day")
    file = folder / "day" / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    second = text.index("[[runs]]", text.index("[[runs]]") + 1)
    file.write_text(text[:second] + text[text.index("[[static]]") :], encoding="utf-8")
    return folder / "day"


def rewritten(wide: Path, folder: Path, lines: Callable[[Rows], list[str]], changes: Mapping[str, str]) -> Path:
    """Return the day with its logs written otherwise: cells of clock, fork and shock to lines."""
    shutil.copytree(wide, folder)
    for path in folder.glob("*.csv"):
        rows = [line.split(",") for line in path.read_text(encoding="utf-8").splitlines()]
        if rows[0][0] == "t_ms":
            path.write_text("\n".join(lines(rows[1:])) + "\n", encoding="utf-8")
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    file.write_text(text, encoding="utf-8")
    return folder


def measured(folder: Path) -> RunAnalysis:
    (run,) = telemetry.analyse(telemetry.read_ride_day(folder)).runs
    assert run.measures, run.findings
    return run


def assert_alike(run: RunAnalysis, other: RunAnalysis, end: str = "") -> None:
    rows = [row for row in other.measures if row.end == end or not end]
    assert len(rows) > 15
    for row in rows:
        within = 0.005 if "speed" in row.measure else 0.001
        assert run.value(row.measure, row.end) == pytest.approx(row.value, rel=within, abs=1e-9), (row.measure, row.end)


@pytest.fixture(scope="module")
def single(wide: Path) -> RunAnalysis:
    return measured(wide)


def by_turns(rows: Rows) -> list[str]:
    pairs = (f"{at},fork,{fork}\n{at},temperature,21\n{at},shock,{shock}" for at, fork, shock in rows)
    return ["t_ms,sensor,reading", *pairs]


def json_by_turns(rows: Rows) -> list[str]:
    return [f'{{"t_ms":{at},"A0":{fork}}}\n{{"t_ms":{at},"A1":{shock}}}' for at, fork, shock in rows]


@pytest.mark.parametrize(("lines", "changes"), [(by_turns, WORDS), (json_by_turns, {})])
def test_sensors_by_turns_measure_what_one_table_does(
    tmp_path: Path, wide: Path, single: RunAnalysis, lines: Callable[[Rows], list[str]], changes: Mapping[str, str]
) -> None:
    run = measured(rewritten(wide, tmp_path / "day", lines, changes))
    assert_alike(run, single)
    assert [found.code for found in run.findings] == [found.code for found in single.findings]


@pytest.mark.parametrize("long", [True, False])
def test_an_end_logged_more_slowly_is_measured_at_its_own_rate(tmp_path: Path, wide: Path, *, long: bool) -> None:
    """The other end as ever at that low-pass; its speeds no worse than in a table of its own rows alone."""

    def slow(rows: Rows) -> list[str]:
        if long:
            pairs = (
                f"{at},fork,{fork}" + f"\n{at},shock,{shock}" * (n % 5 == 0) for n, (at, fork, shock) in enumerate(rows)
            )
            return ["t_ms,sensor,reading", *pairs]
        return ["t_ms,A0,A1", *(f"{at},{fork},{'' if n % 5 else shock}" for n, (at, fork, shock) in enumerate(rows))]

    run = measured(rewritten(wide, tmp_path / "day", slow, (WORDS if long else {}) | LOW))
    fast = measured(rewritten(wide, tmp_path / "fast", _table, LOW))
    assert_alike(run, fast, "front")
    alone = measured(rewritten(wide, tmp_path / "slow", lambda rows: _table(rows[::5]), LOW))
    for name in ("dynamic_sag", "travel_p95", "travel_max", "hit_depth_p95"):
        assert run.value(name, "rear") == pytest.approx(fast.value(name, "rear"), rel=0.001), name
    for name in ("compression_speed_p50", "compression_speed_p95", "rebound_speed_p50", "rebound_speed_p95"):
        most, least = fast.value(name, "rear"), alone.value(name, "rear")
        assert most is not None
        assert least is not None
        assert least < (run.value(name, "rear") or 0.0) < most, name
    assert [found.end for found in run.findings if found.code == "slow_rate"] == ["rear"]
    (step,) = [step for step in run.history if step.stage == "low-pass" and step.end == "rear"]
    assert step.parameters["cutoff_hz"] == pytest.approx(40, rel=1e-3)


def test_ground_speed_of_rows_of_its_own_leaves_the_ends_as_they_are(
    tmp_path: Path, wide: Path, single: RunAnalysis
) -> None:
    """Once a second, and from its third second on: over 5 % without it is too much."""

    def with_speed(rows: Rows, first: int) -> list[str]:
        pairs = (
            "\n".join([*[f"{row[0]},speed,5.5"] * (n % 500 == 0 and n >= first), *_of_two(row)])
            for n, row in enumerate(rows)
        )
        return ["t_ms,sensor,reading", *pairs]

    speed = '[sensors.speed]\nkind = "ground_speed"\ncolumn = "speed"\nunit = "m/s"\n[sensors.fork]'
    changes = WORDS | {"[sensors.fork]": speed}
    run = measured(rewritten(wide, tmp_path / "day", lambda rows: with_speed(rows, 0), changes))
    assert run.value("ground_speed", "both") == pytest.approx(5.5)
    for end in ("front", "rear"):
        assert_alike(run, single, end)
    assert {found.code for found in run.findings} == {found.code for found in single.findings}
    late = measured(rewritten(wide, tmp_path / "late", lambda rows: with_speed(rows, 2000), changes))
    assert_alike(late, single, "front")
    assert any("the ground-speed sensor reads nothing for" in found.message for found in late.findings)


def _of_two(row: list[str]) -> list[str]:
    at, fork, shock = row
    return [f"{at},fork,{fork}", f"{at},shock,{shock}"]


def test_columns_that_are_not_there_are_told_beside_a_file_that_is_wrong(tmp_path: Path, wide: Path) -> None:
    """A sensor's word is no column."""
    wrong = LONG.replace('"reading"', '"readings"') + "cutoff_hz = 3\n"
    folder = rewritten(wide, tmp_path / "day", by_turns, WORDS | {"[log]\n": f"[log]\n{wrong}"})
    with pytest.raises(RideDayError) as caught:
        read_and_reach(folder)
    keys = {problem.key for problem in caught.value.problems}
    assert keys == {"log.cutoff_hz", "log.long.value"}


def test_an_end_whose_sensor_is_lost_for_long_is_the_only_one_left_out(
    tmp_path: Path, wide: Path, single: RunAnalysis
) -> None:
    def lost(rows: Rows) -> list[str]:
        middle = range(len(rows) // 3, 2 * len(rows) // 3 if len(rows) > 5000 else 0)
        pairs = (
            f"{at},fork,{fork}" + f"\n{at},shock,{shock}" * (n not in middle)
            for n, (at, fork, shock) in enumerate(rows)
        )
        return ["t_ms,sensor,reading", *pairs]

    run = measured(rewritten(wide, tmp_path / "day", lost, WORDS))
    assert_alike(run, single, "front")
    (error,) = [found for found in run.findings if found.severity == "error"]
    assert (error.code, error.end) == ("gap", "rear")
    assert run.value("dynamic_sag", "rear") is None
    assert not {"hardly_moves", "stuck"} & {found.code for found in run.findings}


def _table(rows: Rows) -> list[str]:
    return ["t_ms,A0,A1", *(",".join(row) for row in rows)]


def in_two_files(wide: Path, folder: Path, rear: Callable[[Rows], Rows], log: str) -> Path:
    """Return the day with a file for each end of its run, on one board's clock, counted since it was switched on."""
    shutil.copytree(wide, folder)
    rows = [line.split(",") for line in (folder / "run_1.csv").read_text(encoding="utf-8").splitlines()[1:]]
    for name, column, own in (
        ("f.csv", "A0", [row[:2] for row in rows]),
        ("r.csv", "A1", rear([[row[0], row[2]] for row in rows])),
    ):
        cells = [[str(int(at) + 123_456), value] for at, value in own]
        (folder / name).write_text("\n".join([f"t_ms,{column}", *map(",".join, cells)]) + "\n", encoding="utf-8")
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace("[log]\n", f"[log]\n{log}")
    run = 'name = "run_1"\nlog = { front = "f.csv", rear = "r.csv" }'
    file.write_text(text.replace('log = "run_1.csv"', run), encoding="utf-8")
    return folder


class TestAFileForEachSensorOfOneBoard:
    @pytest.mark.parametrize(
        "rear",
        [
            lambda rows: rows,
            lambda rows: rows[37:],
            lambda rows: [*([str(at), rows[0][1]] for at in range(-20, 0, 2)), *rows],
        ],
    )
    def test_is_joined_by_its_stamps(
        self, tmp_path: Path, wide: Path, single: RunAnalysis, rear: Callable[[Rows], Rows]
    ) -> None:
        run = measured(in_two_files(wide, tmp_path / "day", rear, "same_clock = true\n"))
        assert_alike(run, single)
        (told,) = [found for found in run.findings if found.code == "loggers_joined"]
        assert "drift +0 ppm, by their stamps, of one clock as stated; nothing to do" in told.message

    def test_without_the_statement_or_against_it_by_what_both_saw(self, tmp_path: Path, wide: Path) -> None:
        for place, log in enumerate(("", "same_clock = false\n")):
            run = measured(in_two_files(wide, tmp_path / str(place), lambda rows: rows[37:], log))
            assert any("by the three pushes" in found.message for found in run.findings)

    @pytest.mark.parametrize(
        ("rear", "told"),
        [
            (lambda rows: [[str(int(at) + 90_000), value] for at, value in rows], "at the front and from 213.456 to"),
            (
                lambda rows: [[str(int(at) + 300), value] for at, value in rows],
                "0.3.. s off each other by the three pushes",
            ),
        ],
    )
    def test_a_statement_that_the_logs_contradict_is_one_error(
        self, tmp_path: Path, wide: Path, rear: Callable[[Rows], Rows], told: str
    ) -> None:
        folder = in_two_files(wide, tmp_path / "day", rear, "same_clock = true\n")
        (run,) = telemetry.analyse(telemetry.read_ride_day(folder)).runs
        (error,) = [found for found in run.findings if found.severity == "error"]
        assert error.code == "same_clock_contradicted"
        assert re.search(told, error.message), error.message
        assert not run.measures

    def test_of_one_log_it_says_nothing(self, wide: Path, tmp_path: Path) -> None:
        shutil.copytree(wide, tmp_path / "day")
        file = tmp_path / "day" / "ride_day.toml"
        text = file.read_text(encoding="utf-8").replace('log = "run_1.csv"', 'log = "run_1.csv"\nsame_clock = true')
        file.write_text(text, encoding="utf-8")
        with pytest.raises(RideDayError, match=r"runs\[1\].same_clock: found same_clock beside one log"):
            telemetry.read_ride_day(file)
