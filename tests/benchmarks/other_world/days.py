"""Days of the other world: a folder as a tuner would hand it in, and what its change truly does.

A day has six runs of two setups, turned (A B B A A B or B A A B B A), each on a line of its own. The truth is both
setups over all six lines, without noise, by the product's own definitions of its measures.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from telemetry.model.measure import MeasureAt
from tests.benchmarks.held_rows import Truth, measured, over_runs

from .changes import CHANGES, WRONG, Changed
from .motion import FAMILIES, Body, Family
from .riding import Way, course_of, drawn_body, drawn_way, ride, unloaded
from .stated import stated
from .written import Logger, Strokes, write_day, write_truth

ORDERS = ("abbaab", "baabba")
LINES = len(ORDERS[0])
SETUPS = ("a", "b")


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A day's folder, what was changed, and the truth over all lines and over the baseline's own.

    `unloaded` is the share of riding in which the tyre that carries less often carries nothing, mean over runs.
    """

    folder: Path
    family: Family
    change: str
    changed: Changed
    truth: Truth
    truth_own: Truth
    unloaded: float


def _ridden(changed: Changed, body: Body, way: Way, family: Family) -> tuple[Strokes, float]:
    """Ride both setups over all lines; return their strokes and how long tyres were unloaded."""
    strokes_mm, off_ground = {}, []
    for line in range(LINES):
        course = course_of(changed.base, way, line, family)
        for setup in SETUPS:
            found = ride(changed.setup(setup), body, course, family)
            if not np.isfinite(found.stroke_m).all():
                raise ArithmeticError("a ride's steps were too long for its parts")
            strokes_mm[setup, line] = 1e3 * found.stroke_m
            off_ground.append(unloaded(found))
    return strokes_mm, float(np.mean(off_ground))


def _both(base: dict[MeasureAt, float], other: dict[MeasureAt, float]) -> Truth:
    return {at: (base[at], other[at]) for at in base if at in other}


def _truths(folder: Path, changed: Changed, strokes_mm: Strokes, order: str) -> tuple[Truth, Truth]:
    """Return the truth over all lines, and over those that the baseline rode."""
    all_lines, own_lines = [], []
    rode = {f"line_{number}" for number, setup in enumerate(order, 1) if setup == "a"}
    for setup in SETUPS:
        (folder / setup).mkdir()
        write_truth(folder / setup, changed.setup(setup), [strokes_mm[setup, line] for line in range(LINES)])
        values = measured(folder / setup)
        all_lines.append(over_runs(values, lambda _run: True))
        own_lines.append(over_runs(values, lambda run: run.entry.name in rode))
    return _both(*all_lines), _both(*own_lines)


def made_day(folder: Path, seed: int, family: Family, change: str) -> Day:
    """Make a day and find its truth.

    Parameters
    ----------
    folder : Path
        Which there is; the day lies in ``day`` beneath it.
    seed : int
    family : {"quarter", "half", "legs"}
    change : str
        A name in `CHANGES` or `WRONG`.
    """
    rng = np.random.default_rng((seed, FAMILIES.index(family), zlib.crc32(change.encode())))
    changed = {**CHANGES, **WRONG}[change](rng)
    body = drawn_body(changed.base, rng, family)
    way = drawn_way(changed.base, body, rng, family)
    says = stated(changed, rng)
    order = ORDERS[int(rng.integers(len(ORDERS)))]
    strokes_mm, off_ground = _ridden(changed, body, way, family)
    (folder / "day").mkdir()
    longest = max(changed.setup(setup).rear.stroke_mm for setup in SETUPS)
    logger = Logger(folder=folder / "day", fulls_mm=(changed.base.front.stroke_mm, longest), rng=rng)
    write_day(logger, changed, body, says, strokes_mm, order)
    truth, truth_own = _truths(folder, changed, strokes_mm, order)
    return Day(
        folder=folder / "day",
        family=family,
        change=change,
        changed=changed,
        truth=truth,
        truth_own=truth_own,
        unloaded=off_ground,
    )
