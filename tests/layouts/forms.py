"""Layouts of the table: lines that aren't bare cells, and several files a run."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence

from tests.layouts.layout import Layout, Line
from tests.layouts.ride import clock, fork, fork_mm, shock, shock_mm, stamps

FORK_ALONE = (("t_ms", clock()), ("fork", fork()))
IN_UNITS = (("t", clock(1.0, 3)), ("fork", fork_mm()), ("shock", shock_mm()))
SHOCK_ALONE = (("t_ms", clock()), ("shock", shock()))
MONITOR = (("", stamps(lambda at: f"{at:%H:%M:%S}.{at.microsecond // 1000:03d}")), ("fork", fork()), ("shock", shock()))


def _json(names: Sequence[str], cells: Sequence[str]) -> str:
    return json.dumps(dict(zip(names, map(int, cells), strict=True)))


def _pairs(glue: str, sign: str) -> Line:
    return lambda names, cells: glue.join(f"{name}{sign}{cell}" for name, cell in zip(names, cells, strict=True))


def one_reading_a_row(name: str, front: str, rear: str) -> Callable[[list[str]], list[str]]:
    """Return what turns lines into such with one reading each."""

    def turned(lines: list[str]) -> list[str]:
        rows = (line.split(",") for line in lines[1:])
        each = (row for at, one, other in rows for row in (f"{at},{front},{one}", f"{at},{rear},{other}"))
        return [f"t_ms,{name},value", *each]

    return turned


FORMS = (
    Layout(name="an object of JSON a line", line=_json, ending=".jsonl"),
    Layout(name="names and values by colons", line=_pairs(", ", ":"), ending=".txt"),
    Layout(name="names and values by equals signs", line=_pairs(" ", "="), ending=".txt"),
    Layout(
        name="names and values, a unit behind each",
        columns=IN_UNITS,
        line=lambda names, cells: " ".join(
            f"{name}={cell}{unit}" for name, cell, unit in zip(names, cells, ("s", "mm", "mm"), strict=True)
        ),
        ending=".log",
    ),
    Layout(
        name="a serial monitor's stamps before bare cells",
        columns=MONITOR,
        line=lambda _, cells: f"{cells[0]} -> {','.join(cells[1:])}",
        ending=".txt",
        said="Columns are named by number, the stamp is the first. Which end is which is asked.",
    ),
    Layout(
        name="a serial monitor's stamps before names and values",
        columns=MONITOR,
        line=lambda _, cells: f"{cells[0]} -> fork:{cells[1]},shock:{cells[2]}",
        ending=".txt",
    ),
    Layout(
        name="stamps in brackets before bare cells",
        columns=MONITOR,
        line=lambda _, cells: f"[{cells[0]}] {','.join(cells[1:])}",
        ending=".log",
        said="Columns are named by number, the stamp is the first. Which end is which is asked.",
    ),
    Layout(
        name="a program's log with names and values",
        columns=MONITOR,
        line=lambda _, cells: f"2026-05-16 {cells[0].replace('.', ',')} INFO fork={cells[1]} shock={cells[2]}",
        ending=".log",
    ),
    Layout(
        name="an array of JSON a line",
        line=lambda _, cells: f"[{', '.join(cells)}]",
        altered=lambda lines: ['["t_ms", "fork", "shock"]', *lines],
        ending=".log",
    ),
    Layout(
        name="numbers in parentheses",
        line=lambda _, cells: f"({', '.join(cells)})",
        ending=".txt",
        said="Columns are named by number. Which end is which is asked.",
    ),
    Layout(
        name="objects within an object of JSON",
        line=lambda _, cells: f'{{"t_ms": {cells[0]}, "pots": {{"fork": {cells[1]}, "shock": {cells[2]}}}}}',
        ending=".log",
        said="A value within another is named with a point: `pots.fork`.",
    ),
    Layout(
        name="one reading a row, by the sensor's name",
        altered=one_reading_a_row("sensor", "fork", "shock"),
        said="Each sensor is read at its own clock, and its `column` is its word in the log. The draft states `long`.",
    ),
    Layout(
        name="one reading a row, by a number",
        altered=one_reading_a_row("id", "1", "2"),
        said="The same, `column = 1`. Which end is which is asked.",
    ),
    Layout(
        name="two loggers, one an end",
        logs={
            "run_1_front": (("t_ms", clock(starts=300)), ("pot", fork())),
            "run_1_rear": (("t_ms", clock(starts=9100)), ("pot", shock())),
        },
        said="The ends are brought together by movement, as their clocks say nothing of each other.",
    ),
    Layout(
        name="a file for each sensor, on one board's clock",
        logs={"run_1_fork": FORK_ALONE, "run_1_shock": SHOCK_ALONE},
        log=("same_clock = true",),
        said="The two are joined by their stamps then; else, as two loggers', by movement.",
    ),
)
