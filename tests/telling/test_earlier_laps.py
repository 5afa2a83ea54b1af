"""A lap beside earlier ones: only its rider's own of the same trail and bike, and only what matters is told."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from telemetry.telling.earlier_laps import (
    FEWEST_FOR_A_RANGE,
    MOST_LAPS,
    NO_VERDICT,
    Lap,
    beside_earlier,
    earlier_laps,
    lap_table,
)

LAP = Lap(
    date=dt.date(2026, 5, 16),
    order=2,
    run="run_2",
    setup="8 ml",
    bike="Mule",
    trail="Quarry",
    rider="R1",
    riding_s=61.0,
    full_mm={"front": 170.0, "rear": 165.0},
    values={("dynamic_sag", "front"): 33.0, ("dynamic_sag", "rear"): 28.0, ("bottom_outs", "front"): 1.0},
)


def before(day: int, **changes: object) -> Lap:
    return replace(LAP, date=dt.date(2026, 4, day), run=f"run_{day}", **changes)  # type: ignore[arg-type]


def ridden_at(*front_sags: float) -> list[Lap]:
    return [before(day + 1, values={**LAP.values, ("dynamic_sag", "front"): sag}) for day, sag in enumerate(front_sags)]


@pytest.mark.parametrize(
    ("changes", "taken"),
    [
        ({}, True),
        ({"trail": "QUARRY"}, True),
        ({"rider": ""}, True),
        ({"bike": ""}, True),
        ({"trail": ""}, False),
        ({"trail": "Gravel pit"}, False),
        ({"bike": "Other"}, False),
        ({"rider": "R2"}, False),
        ({"full_mm": {"front": 171.0, "rear": 165.0}}, True),
        ({"full_mm": {"front": 171.1, "rear": 165.0}}, False),
        ({"full_mm": {"front": 170.0}}, True),
        ({"date": dt.date(2026, 5, 16), "order": 1}, True),
        ({"date": dt.date(2026, 5, 16), "order": 3}, False),
        ({"date": dt.date(2026, 5, 17), "order": 1}, False),
    ],
)
def test_whose_laps_count(changes: dict[str, object], *, taken: bool) -> None:
    other = replace(before(1), **changes)  # type: ignore[arg-type]
    assert earlier_laps(LAP, [other, LAP]) == ((other,) if taken else ())


def test_what_stands_out_by_what_matters_is_told_and_no_verdict_made() -> None:
    told = beside_earlier(LAP, ridden_at(29.0, 30.0, 31.0))
    assert told == (
        "Front dynamic sag 33.0 %: more than on any of 3 earlier laps (29.0 to 31.0).",
        "All else is as on 3 earlier laps, or off by less than matters.",
        NO_VERDICT,
    )
    (quiet,) = beside_earlier(LAP, ridden_at(29.0, 30.0, 31.01))
    assert quiet == "Everything compared is as on 3 earlier laps, or off by less than matters."
    assert "less than on any" in beside_earlier(LAP, ridden_at(35.0, 36.0, 37.0))[0]


def test_a_count_beyond_all_earlier_ones_is_told() -> None:
    none = [before(day, values={("bottom_outs", "front"): 0.0}) for day in (1, 2, 3)]
    assert "Front bottom-outs 1: more than on any of 3 earlier laps (0 to 0)." in beside_earlier(LAP, none)


def test_few_laps_tell_no_range_and_none_nothing() -> None:
    assert beside_earlier(LAP, ()) == ()
    few = ridden_at(*range(20, 19 + FEWEST_FOR_A_RANGE))
    assert beside_earlier(LAP, few) == ("2 earlier laps of this trail on this bike: too few to say what is usual.",)


def test_the_table_holds_this_lap_first_and_the_latest_of_the_others() -> None:
    earlier = earlier_laps(LAP, [before(day) for day in range(1, MOST_LAPS + 3)])
    found = lap_table(LAP, earlier)
    assert [row[0] for row in found.rows[:2]] == ["this lap, 8 ml", "10 April 2026, run_10, 8 ml"]
    assert len(found.rows) == MOST_LAPS + 1
    assert found.rows[0][1:4] == ("61 s", "28.0", "33.0")
    assert found.rows[0][-2:] == ("–", "1")
