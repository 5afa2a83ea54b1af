"""A run as it is drawn to be marked: all of its log, by travel, else by what was felt, with what it has already."""

from __future__ import annotations

from pathlib import Path

import pytest

import telemetry
from telemetry.pipeline import markable, run_trace, study
from tests.pipeline.inertial_days import make_inertial_day
from tests.pipeline.small_days import RATE_HZ, make_day

PLACES = (
    '[[stretches]]\nname = "bumps"\nrun = "run_1"\nstart_s = 2\nend_s = 8.5\n'
    '[[stretches]]\nname = "beyond"\nrun = "run_1"\nstart_s = 2\nend_s = 85\n'
    '[[marks]]\nrun = "run_1"\nat_s = 1.5\nname = "gate"\n'
)


def test_all_of_a_log_is_drawn_whatever_is_ridden_of_it(tmp_path: Path) -> None:
    folder = make_day(tmp_path, ("a",), seconds=10.0, extra=PLACES)
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8").replace("[[runs]]", "[[runs]]\nstart_s = 1\nend_s = 90")
    file.write_text(text, encoding="utf-8")
    done = study(telemetry.read_ride_day(folder))
    assert markable(done) == ("run_1",)
    trace = run_trace(done, "run_1")
    last_s = 10 - 1 / RATE_HZ
    assert (trace.first_s, trace.last_s, trace.start_s) == (0.0, pytest.approx(last_s), 1.0)
    assert (set(trace.traces), trace.unit) == ({"front", "rear"}, "%")
    assert [(one.name, one.start, one.end) for one in trace.named] == [("bumps", 2.0, 8.5)]
    assert trace.told[0] == "bumps: 2.0 to 8.5 s, as marked"
    assert "where it rode 'beyond' isn't known" in trace.told[1]
    assert [(mark.name, mark.at_s) for mark in trace.marks] == [("gate", 1.5)]


def test_a_run_without_travel_is_drawn_as_it_was_felt(tmp_path: Path) -> None:
    day = telemetry.read_ride_day(make_inertial_day(tmp_path, ("a",), sensors=("fork",), seconds=6.0))
    trace = run_trace(study(day), "run_1")
    assert (set(trace.traces), trace.unit) == ({"front"}, "g")
    _, felt_g = trace.traces["front"].over(trace.first_s, trace.last_s, 1000)
    assert -20 < felt_g.min() < -0.5 < 0.5 < felt_g.max() < 20
