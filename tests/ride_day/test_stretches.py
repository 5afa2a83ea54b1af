"""Named stretches of trail as they are written down, and named in focus before and after riding."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from telemetry.errors import Problem
from telemetry.model.day import RideDay, TrailStretch

Read = Callable[..., RideDay]
Problems = Callable[..., dict[str, Problem]]

BUMPS = '[[stretches]]\nname = "braking bumps"\n'
PLACED = f'{BUMPS}run = "run_1"\nstart_s = 43\nend_s = 49\n'
RUNS = "[[runs]]"


def test_a_stretch_is_placed_in_one_run_or_only_named(read: Read) -> None:
    day = read(more=f'{PLACED}[[stretches]]\nname = "root garden"\n')
    assert day.stretches == (
        TrailStretch(name="braking bumps", run="run_1", start_s=43.0, end_s=49.0),
        TrailStretch(name="root garden"),
    )
    assert day.stretch_names == ("braking bumps", "root garden")


def test_a_measure_within_a_stretch_is_named_either_way_and_before_it_is_placed(read: Read) -> None:
    more = (
        'focus = ["hit_depth_10_per_min:front@braking bumps", "dynamic_sag@braking bumps:rear"]\n'
        f'smallest_change = {{ "dynamic_sag@braking bumps" = "1 points" }}\n{BUMPS}'
    )
    settings = read(more=more).comparison
    assert settings.focus == (("hit_depth_10_per_min@braking bumps", "front"), ("dynamic_sag@braking bumps", "rear"))
    assert settings.smallest_change["dynamic_sag@braking bumps", None].amount == 1.0


def test_stretches_may_overlap(read: Read) -> None:
    second = PLACED.replace("braking bumps", "all of it").replace("43", "20")
    assert len(read(more=PLACED + second).stretches) == 2


@pytest.mark.parametrize(
    ("more", "key", "found", "expected"),
    [
        ('focus = ["dynamic_sag@braking bmups"]\n' + BUMPS, "comparison.focus[1]", "braking bmups", "braking bumps"),
        ('focus = ["dynamic_sag@barking"]\n', "comparison.focus[1]", "barking", "braking"),
        (BUMPS.replace("braking bumps", "Braking"), "stretches[1].name", "name of a phase", "of its own"),
        (BUMPS.replace("braking bumps", "a@b"), "stretches[1].name", "'a@b'", "without @ or :"),
        (BUMPS.replace("braking bumps", "a:front"), "stretches[1].name", "'a:front'", "without @ or :"),
        (f"{BUMPS}start_s = 43\n", "stretches[1].run", "nothing", "run, start_s and end_s"),
        (PLACED.replace("run_1", "rum_1"), "stretches[1].run", "rum_1", "run_1"),
        (PLACED.replace("49", "42"), "stretches[1].end_s", "42 s", "later than start_s, 43 s"),
        (PLACED + PLACED, "stretches[2]", "of run_1 once more", "each stretch once"),
        (BUMPS + BUMPS, "stretches[2]", "once more, after stretches[1]", "each stretch once"),
        (PLACED + BUMPS.replace("g b", "g\u00a0b"), "stretches[2].name", "looks like", "by eye"),
    ],
)
def test_what_makes_no_sense_is_told(problems: Problems, more: str, key: str, found: str, expected: str) -> None:
    told = problems(more=more)
    assert list(told) == [key]
    assert found in told[key].found
    assert expected in told[key].expected


@pytest.mark.parametrize(
    ("bound", "key", "expected"),
    [("start_s = 44", "start_s", "from 44 s on, where run_1 starts"), ("end_s = 48", "end_s", "48 s at most")],
)
def test_a_stretch_outside_of_its_run_is_told(problems: Problems, bound: str, key: str, expected: str) -> None:
    told = problems((RUNS, f"{RUNS}\n{bound}"), more=PLACED)
    assert expected in told[f"stretches[1].{key}"].expected
