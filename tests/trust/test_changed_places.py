"""`ends_swapped` in a part of a run: each column goes on where the other was, from one row to the next."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from telemetry.trust.changed_places import find_changed_places
from tests.trust.one_run import again, assert_says, ridden, the_one, told, working, write_day

TIME_S = np.arange(5000) / 500
ONE = 1500 + 500 * np.sin(2 * np.pi * 1.3 * TIME_S)
OTHER = 2200 + 400 * np.sin(2 * np.pi * 1.9 * TIME_S + 1)


def swapped(first: int, last: int) -> tuple[np.ndarray, np.ndarray]:
    there = (np.arange(ONE.shape[0]) >= first) & (np.arange(ONE.shape[0]) < last)
    return np.rint(np.where(there, OTHER, ONE)), np.rint(np.where(there, ONE, OTHER))


def test_both_places_are_found() -> None:
    assert find_changed_places(*swapped(2000, 2600)).tolist() == [1999, 2599]


def test_columns_that_cross_do_not_change_places() -> None:
    crossing = 2 * np.rint(ONE)
    assert find_changed_places(crossing, np.rint(OTHER)).size == 0


@pytest.mark.parametrize("seed", range(4))
def test_nor_do_two_rough_ends(seed: int) -> None:
    one, other = np.random.default_rng(seed).normal(2000, 300, (2, 20_000))
    assert find_changed_places(np.rint(one), np.rint(other)).size == 0


def test_a_step_of_one_column_alone_is_none() -> None:
    stepped = np.rint(ONE)
    stepped[2000:] += 600
    assert find_changed_places(stepped, np.rint(OTHER)).size == 0


def test_a_run_is_told_where(tmp_path: Path) -> None:
    folder = write_day(tmp_path, working(40.0), working(40.0, middle_mm=95.0))
    path = folder / "run_1.csv"
    lines = path.read_text(encoding="ascii").splitlines()
    for place in range(8001, len(lines)):
        time, front, rear = lines[place].split(",")
        lines[place] = f"{time},{rear},{front}"
    path.write_text("\n".join(lines) + "\n", encoding="ascii")
    finding = the_one(again(folder), "ends_swapped")
    assert (finding.row, finding.no_verdict) == (8002, True)
    assert_says(finding, "run_1", "'A0'", "'A1'", "32.00 s", "no verdict", "ride again")


def test_a_clean_run_is_not(tmp_path: Path) -> None:
    assert not told(ridden(tmp_path, working(40.0), working(40.0, middle_mm=95.0)), "ends_swapped")
