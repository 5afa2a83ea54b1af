"""The two or three hits of each end that tell most, and what differs between them, worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from telemetry.model.curves import DeepHit
from telemetry.model.finding import End
from telemetry.telling.hits import AT_ONCE_S, NEAR_S, rest_in_words, telling_hits, the_rest

TIME = np.linspace(-0.5, 1.0, 151)


def hit(
    end: End = "front",
    *,
    at_s: float = 10.0,
    depth: float = 80.0,
    speed: float = 2000.0,
    length: float = 60.0,
    bottomed: bool | None = False,
    other_at_s: float = 0.1,
    other: float = 70.0,
) -> DeepHit:
    own, elsewhere = np.full(151, 20.0), np.full(151, 10.0)
    own[50] = depth
    elsewhere[50 + round(100 * other_at_s)] = other
    return DeepHit(
        end=end,
        at_s=at_s,
        depth_pct=depth,
        depth_mm=1.6 * depth,
        entry_speed_mm_s=speed,
        length_mm=length,
        bottomed=bottomed,
        trace_s=TIME + at_s,
        trace_pct={"front": own, "rear": elsewhere} if end == "front" else {"rear": own, "front": elsewhere},
    )


def test_the_deepest_the_fastest_and_the_longest_stand_with_what_differs() -> None:
    deep, fast = hit(depth=90.0), hit(at_s=20.0, depth=82.0, speed=2600.0, length=58.0)
    long, plain = hit(at_s=30.0, depth=81.0, length=100.0), hit(at_s=40.0, depth=79.0, speed=1500.0)
    every = (deep, fast, long, plain)
    told = telling_hits(every)
    assert [one.title for one in told] == [
        "Deepest: 90.0 % (144 mm)",
        "Fastest going in: 82.0 % (131 mm)",
        "Longest: 81.0 % (130 mm)",
    ]
    assert told[0].words == (
        "At 10.00 s, 2.0 m/s at its fastest going in, 60 mm long; the rear came to 70 % 0.10 s later."
    )
    assert "8.0 points less deep than the deepest, 0.6 m/s faster, 2 mm shorter;" in told[1].words
    assert "9.0 points less deep than the deepest, 40 mm longer;" in told[2].words
    assert the_rest(every, told) == (plain,)
    assert rest_in_words((plain, fast)) == ("The front's other 2 hits: 79 to 82 % deep, 1.5 to 2.6 m/s going in.",)


def test_one_hit_that_is_all_of_it_stands_once_and_the_rear_comes_first() -> None:
    told = telling_hits((hit(), hit("rear", depth=75.0)))
    assert [(one.hit.end, one.title.split(":")[0]) for one in told] == [
        ("rear", "Deepest and fastest going in and longest"),
        ("front", "Deepest and fastest going in and longest"),
    ]


def test_a_hit_that_bottomed_tells_more_than_a_deeper_reading() -> None:
    told = telling_hits((hit(depth=96.0, bottomed=None), hit(at_s=20.0, depth=95.0, bottomed=True, speed=900.0)))
    assert told[0].hit.at_s == 20.0
    assert ", bottomed;" in told[0].words


@pytest.mark.parametrize(
    ("later_s", "said"),
    [
        (AT_ONCE_S, "came to 70 % at once with it"),
        (-AT_ONCE_S, "came to 70 % at once with it"),
        (AT_ONCE_S + 0.01, "came to 70 % 0.03 s later"),
        (-0.2, "came to 70 % 0.20 s earlier"),
        (NEAR_S - 0.01, "came to 70 % 0.39 s later"),
        (NEAR_S + 0.02, "came to 10 %"),
    ],
)
def test_the_other_end_is_told_as_far_as_it_belongs_to_the_same_obstacle(later_s: float, said: str) -> None:
    assert said in telling_hits((hit(other_at_s=later_s),))[0].words
