"""A rear damper that got 15 % lighter, felt by inertial sensors alone: one small day of the benchmark on such days.

How often it is found, and how often a change is seen where there is none: ``tests/benchmarks/inertial_days.py``.
"""

from __future__ import annotations

import pytest

from tests.benchmarks.inertial_days import ComparedDay, compared_day, drawn_day, row_lines

SEED = 1


@pytest.fixture(scope="module")
def day() -> ComparedDay:
    return compared_day(drawn_day(SEED, changed=True, ridden_s=20.0), SEED)


def test_it_is_found_at_its_end_and_nothing_at_the_other(day: ComparedDay) -> None:
    assert day.lighter == ("rear",)
    assert "fast_shaking_passed_on:rear" in day.found
    assert day.found == day.changed
    (passed_on,) = (row for row in day.rows if (row.measure, row.end) == ("fast_shaking_passed_on", "rear"))
    assert passed_on.percent is not None
    assert -15 < passed_on.percent.difference < -8
    assert "Rear, fast shaking passed on to the chassis: " in passed_on.sentence


def test_a_day_of_no_change_has_the_same_bike_trail_and_sensors() -> None:
    same, lighter = (drawn_day(SEED, changed=changed).change for changed in (False, True))
    assert {key: own for key, own in same.items() if key != "setups"} == {
        key: own for key, own in lighter.items() if key != "setups"
    }
    assert not drawn_day(SEED, changed=False).lighter
    assert "viscosity_share" not in str(same["setups"])


def test_the_benchmarks_table_tells_how_each_row_moved_and_what_was_called_changed(day: ComparedDay) -> None:
    (line,) = (line for line in row_lines([day], [day]) if line.startswith("fast_shaking_passed_on"))
    ends, by, within, changed, unchanged, false = (float(word) for word in line.split()[1:])
    assert (ends, changed, unchanged, false) == (1, 1, 0, 1)
    assert by < -8 < -2 * within
