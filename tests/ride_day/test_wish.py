"""The `[wish]` table: what the next change is to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from telemetry.errors import RideDayError
from telemetry.model.wish import EndWish, Wish
from telemetry.ride_day import read_ride_day

DAY = """\
[ride_day]
date = 2026-05-16
[bike.front]
travel_mm = 170
[setups.a]
"""


def wish_of(folder: Path, text: str) -> Wish | None:
    (folder / "ride_day.toml").write_text(f"{DAY}{text}", encoding="utf-8")
    return read_ride_day(folder).wish


def test_a_wish_is_a_row_or_a_list_of_rows(tmp_path: Path) -> None:
    found = wish_of(tmp_path, '[wish]\nless = "hit_depth_10_per_min:front"\nkeep = ["dynamic_sag:front", "packing"]\n')
    assert found == Wish(less=(("hit_depth_10_per_min", "front"),), keep=(("dynamic_sag", "front"), ("packing", None)))
    assert wish_of(tmp_path, "") is None


def test_how_an_end_is_to_sit_is_a_wish_of_its_own(tmp_path: Path) -> None:
    found = wish_of(tmp_path, "[wish.front]\nsag_percent = 18.5\n[wish.rear]\ndamping_ratio = 0.3\n")
    assert found == Wish(front=EndWish(sag_percent=18.5), rear=EndWish(damping_ratio=0.3))
    assert not found.asks
    assert found.at("rear").damping_ratio == 0.3


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("front = { sag_percent = 0.2 }", r"wish\.front\.sag_percent: found 0\.2; expected a number from 5 to 60 %"),
        ("front = { sag_percent = -20 }", r"wish\.front\.sag_percent"),
        ("rear = { damping_ratio = 30 }", r"wish\.rear\.damping_ratio: found 30; expected a number from 0\.05 to 1"),
        ("rear = { sag_mm = 30 }", r"wish\.rear\.sag_mm"),
        ("front = {}", "nothing wished for"),
        ('less = "hit_depth:front"', r"wish\.less: found unknown measure 'hit_depth'"),
        ('keep = ["dynamic_sag:front"]', "nothing wished for"),
        ('less = "dynamic_sag"\nkeep = ["dynamic_sag"]', r"wish\.keep\[1\]: found 'dynamic_sag', which is in less too"),
        (
            'less = "dynamic_sag"\nmore = "dynamic_sag:front"',
            r"wish\.more: .*, which is in less too",
        ),
        ('less = "dynamic_sag:front@braking"', r"wish\.less: found dynamic_sag:front@braking; .*the whole ride"),
        ('less = "chassis_acceleration_rms:front"', "a measure of travel"),
        ('less = "dynamic_sag"\nfewer = "packing"', r"wish\.fewer"),
    ],
)
def test_a_wish_that_cannot_be_ridden_on_paper_is_refused(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(RideDayError, match=told):
        wish_of(tmp_path, f"[wish]\n{text}\n")
