"""Logs written another way, which are read right or asked about; what each has to come to."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from tests.benchmarks.made_faults import FORK_PER_MM, Fault, MadeLog, Making, apart, ridden_alone

READ_RIGHT = ""
"""In place of a finding's code: nothing but notes is told, and the measures are the plain log's."""
TIME = 'time = { column = "t_ms", unit = "ms" }\n'
LONG = 'long = { sensor = "name", value = "count" }\n'
Lines = list[str]


def _rewritten(spoil: Callable[[Lines], Lines], *, said: str = TIME) -> Making:
    """Write the log's lines another way; `said` stands in place of what the day says of its clock."""
    return lambda log, _: replace(log, spoil=spoil).said(TIME, said)


def _rows(lines: Lines) -> list[list[str]]:
    return [line.split(",") for line in lines[1:]]


def _without_lifted(log: MadeLog) -> MadeLog:
    """Return a log without its lifted recording, which is written as logs were before."""
    return replace(log, day=re.sub(r"\[\[static\]\]\n(?:.+\n)+", "", log.day))


def _long(lines: Lines) -> Lines:
    return ["t_ms,name,count", *(row for at, a, b in _rows(lines) for row in (f"{at},A0,{a}", f"{at},A1,{b}"))]


def _unlike(log: MadeLog, _: np.random.Generator) -> MadeLog:
    """Let the shock be read half as often as the fork, in a file of its own."""
    return replace(apart(0.0, 0.0)(_without_lifted(log), _), rear_every=2).said("[log]\n", "[log]\nsame_clock = true\n")


def _unlike_long(log: MadeLog, _: np.random.Generator) -> MadeLog:
    """Let the shock be read half as often as the fork, and a battery by turns, in one log of one reading a row."""

    def spoil(lines: Lines) -> Lines:
        found = ["t_ms,name,count"]
        for place, (at, fork, shock) in enumerate(_rows(lines)):
            found.append(f"{at},A0,{fork}")
            if place % 2 == 0:
                found.append(f"{at},A1,{shock}")
            if place % 50 == 0:
                found.append(f"{at},battery,{3900 - place // 500}")
        return found

    return _rewritten(spoil, said=TIME + LONG)(_without_lifted(log), _)


def _of_one_board(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    return apart(0.0, 0.0)(ridden_alone(log), rng).said("[log]\n", "[log]\nsame_clock = true\n")


def _json(lines: Lines) -> Lines:
    return [json.dumps({"t_ms": float(at), "A0": int(a), "A1": int(b)}) for at, a, b in _rows(lines)]


def _pairs(lines: Lines) -> Lines:
    return [f"t_ms={at} A0={a} A1={b} " for at, a, b in _rows(lines)]


def _monitored(lines: Lines) -> Lines:
    def clock(at: str) -> str:
        minutes, ms = divmod(round(float(at)), 60_000)
        return f"09:{12 + minutes:02d}:{ms // 1000:02d}.{ms % 1000:03d}"

    return [f"{clock(at)} -> A0:{a},A1:{b}" for at, a, b in _rows(lines)]


def _whole_seconds(lines: Lines) -> Lines:
    return ["seconds,A0,A1", *(f"{float(at) // 1000:.0f},{a},{b}" for at, a, b in _rows(lines))]


def _split(lines: Lines) -> Lines:
    rows = (f"{float(at) // 1000:.0f},{float(at) % 1000 * 1000:.0f},{a},{b}" for at, a, b in _rows(lines))
    return ["sec,usec,A0,A1", *rows]


def _flagged(lines: Lines) -> Lines:
    rows = _rows(lines)
    half = len(rows) // 2
    return ["on,lap,t_ms,A0,A1", *(f"1,{1 + (place > half)},{','.join(row)}" for place, row in enumerate(rows))]


def _hundreds(lines: Lines) -> Lines:
    return ["time,A0,A1", *(f"{100 * place},{a},{b}" for place, (_, a, b) in enumerate(_rows(lines)))]


def _gaps_outside(log: MadeLog, _: np.random.Generator) -> MadeLog:
    """Lose most of what was logged before and after the stated bounds, but for the first row: seconds count from it."""
    first, last = (1000 * bound for bound in log.ridden_s)
    inside = (log.time_ms >= first - 1000) & (log.time_ms <= last + 1000)  # no stroke of the ride begins before
    inside[:20] = inside[-20:] = True
    return log.rows(inside)


def _scaled(log: MadeLog, rng: np.random.Generator) -> MadeLog:
    """Add an inertial sensor of 1024 counts a g, stated as 4096: shaken where the fork moves, at rest elsewhere."""
    moves = np.abs(np.gradient(log.fork)) * log.rate_hz / FORK_PER_MM / 1000
    axes = [at + 0.4 * np.minimum(moves, 2) * rng.normal(0, 1, moves.shape) for at in (0, 0, 1)]
    counts = [np.rint(1024 * axis) for axis in axes]

    def spoil(lines: Lines) -> Lines:
        cells = (",".join(f"{value:.0f}" for value in row) for row in zip(*counts, strict=True))
        return [f"{lines[0]},ax,ay,az", *(f"{line},{own}" for line, own in zip(lines[1:], cells, strict=True))]

    table = (
        '[sensors.crown]\nkind = "inertial"\nend = "front"\non = "chassis"\n'
        'columns = { ax = "ax", ay = "ay", az = "az" }\nacceleration_unit = "counts"\ncounts_per_g = 4096\n\n'
    )
    return replace(log, spoil=spoil).said("[setups.", f"{table}[setups.")


def _read_right(words: str, make: Making, plain: Making | None = None) -> Fault:
    return Fault(code=READ_RIGHT, words=words, make=make, least="note", plain=plain)


LAYOUTS = (
    _read_right(
        "one reading a row, by the sensor's name",
        lambda log, rng: _rewritten(_long, said=TIME + LONG)(_without_lifted(log), rng),
        lambda log, _: _without_lifted(log),
    ),
    _read_right("one reading a row, a shock half as often as the fork, a battery beside", _unlike_long, _unlike),
    Fault(
        code="log_unreadable",
        words="one reading a row that isn't stated, three runs beside it",
        make=_rewritten(_long),
        least="error",
        says="[log] long = ",
        among=True,
    ),
    _read_right("a file for each sensor of one board, no pushes", _of_one_board, lambda log, _: ridden_alone(log)),
    _read_right("JSON lines with blanks", _rewritten(_json)),
    _read_right("names and values by equals signs", _rewritten(_pairs)),
    _read_right("a serial monitor's stamps before names and values", _rewritten(_monitored, said="")),
    _read_right("stamps of whole seconds", _rewritten(_whole_seconds, said="")),
    _read_right("seconds and microseconds in two columns", _rewritten(_split, said="")),
    _read_right("a flag and a lap before the clock, nothing stated", _rewritten(_flagged, said="")),
    _read_right("gaps before start_s and after end_s", _gaps_outside),
    Fault(
        code="log_unreadable",
        words="a clock that steps by 100, no unit, three runs beside it",
        make=_rewritten(_hundreds, said=""),
        least="error",
        says="tate the unit",
        among=True,
    ),
    Fault(code="wrong_scale", words="an inertial sensor's counts a g stated four times too high", make=_scaled),
)
