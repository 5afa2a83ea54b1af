"""Places, events, flights and average hits of rides whose truth is known."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.pipeline import Selection, along, close_up_of, look, study
from tests.pipeline.small_days import RATE_HZ, make_day, write_log

SECONDS = 40
EVERY_S = 2.0
DEEPEST_MM = 120.0


def bumps(stretch: float) -> tuple[np.ndarray, np.ndarray]:
    """Return a ride over one bump every two seconds, the last half of it ridden slower by `stretch`."""
    passed = np.concatenate(
        [
            np.linspace(0, SECONDS / 2, SECONDS // 2 * RATE_HZ, endpoint=False),
            np.linspace(SECONDS / 2, SECONDS, round(stretch * SECONDS / 2 * RATE_HZ), endpoint=False),
        ]
    )
    phase = (passed % EVERY_S) / 0.5
    hit = np.where(phase < 1, np.sin(np.pi * np.clip(phase, 0, 1)) ** 2, 0.0)
    wobble = 1.5 * np.sin(2 * np.pi * 1.3 * passed)
    front = 40 + wobble + (DEEPEST_MM - 40) * hit
    return front, (45 + wobble + 60 * np.roll(hit, 25)) / 2.5


@pytest.fixture
def day(tmp_path: Path) -> Path:
    folder = make_day(tmp_path / "day", ("a", "b"), seconds=5.0)
    for number in (1, 2):
        write_log(folder / f"run_{number}.csv", *bumps(1.0))
    return folder


def test_the_same_bump_has_the_same_place_in_every_run(day: Path) -> None:
    done = study(telemetry.read_ride_day(day))
    seen = look(done, Selection())
    assert seen is not None
    found = along(done, seen)
    assert found.unit == "s"
    assert found.measured_by == "run_1"
    one, other = (found.traces[run, "front"] for run in ("run_1", "run_2"))
    np.testing.assert_allclose(one.place, other.place, atol=1e-3)
    places, values = one.over(float(found.borders[0]), float(found.borders[-1]), 2400)
    assert np.all(np.diff(places) >= 0)
    assert values.max() == pytest.approx(100 * DEEPEST_MM / 160, abs=1.5)


def test_events_are_the_deepest_hits_at_their_places(day: Path) -> None:
    done = study(telemetry.read_ride_day(day))
    seen = look(done, Selection())
    assert seen is not None
    found = along(done, seen)
    front = [event for event in found.events if (event.run, event.end) == ("run_1", "front")]
    assert len(front) == 5
    for event in front:
        assert event.kind == "deep hit"
        assert (event.at_s % EVERY_S) == pytest.approx(0.25, abs=0.03)
        assert event.depth_mm == pytest.approx(DEEPEST_MM, abs=2)
        assert found.borders[event.section - 1] <= event.place <= found.borders[event.section]
        near = close_up_of(done, event)
        assert near.at_s == event.at_s
        assert near.trace_s[0] >= event.at_s - 0.51
        assert near.trace_s[-1] <= event.at_s + 1.01
        assert set(near.trace_pct) == {"front", "rear"}


def test_average_hits_have_the_shape_of_the_one_hit_there_is(day: Path) -> None:
    done = study(telemetry.read_ride_day(day))
    seen = look(done, Selection())
    assert seen is not None
    (item,) = [found for found in along(done, seen).aligned if (found.setup, found.end) == ("a", "front")]
    assert 15 <= item.hits <= 20
    deepest = item.mean_pct[np.argmin(np.abs(item.time_s))]
    assert deepest == item.mean_pct.max() == pytest.approx(100 * DEEPEST_MM / 160, abs=1.5)
    quarter = item.mean_pct[np.argmin(np.abs(item.time_s - 0.125))]
    assert quarter == pytest.approx(100 * (40 + (DEEPEST_MM - 40) / 2) / 160, abs=2.0)
    assert np.all(item.low_pct <= item.mean_pct + 1e-9)
    assert np.all(item.mean_pct <= item.high_pct + 1e-9)


def test_too_few_deep_hits_give_no_average(day: Path) -> None:
    for number in (1, 2):
        front, stroke = bumps(1.0)
        few = 9 * round(EVERY_S * RATE_HZ)
        write_log(day / f"run_{number}.csv", np.where(np.arange(len(front)) < few, front, front.clip(max=60)), stroke)
    done = study(telemetry.read_ride_day(day))
    seen = look(done, Selection())
    assert seen is not None
    found = {(item.setup, item.end): item.hits for item in along(done, seen).aligned}
    assert ("a", "front") not in found
    assert found["a", "rear"] >= 15


def test_a_hit_that_bottoms_is_one_event(day: Path) -> None:
    front, stroke = bumps(1.0)
    deep = np.arange(len(front)) // round(EVERY_S * RATE_HZ) == 4
    write_log(day / "run_1.csv", np.where(deep & (front > 100), 159.8, front), stroke)
    done = study(telemetry.read_ride_day(day))
    seen = look(done, Selection())
    assert seen is not None
    front_events = [e for e in along(done, seen).events if (e.run, e.end) == ("run_1", "front")]
    (bottomed,) = [event for event in front_events if event.kind == "bottom-out"]
    assert bottomed.at_s == pytest.approx(4 * EVERY_S + 0.25, abs=0.1)
    assert len(front_events) == 6


def test_flights_lie_on_the_course(day: Path) -> None:
    """Both legs come out for 0.4 s, ten seconds into the ride."""
    front, stroke = bumps(1.0)
    flown = slice(round(11.0 * RATE_HZ), round(11.4 * RATE_HZ))
    front[flown], stroke[flown] = 0.5, 0.2
    write_log(day / "run_1.csv", front, stroke)
    done = study(telemetry.read_ride_day(day))
    seen = look(done, Selection())
    assert seen is not None
    found = along(done, seen)
    assert found.no_flight == ()
    (flight,) = [item for item in found.flights if item.run == "run_1"]
    assert flight.start == pytest.approx(11.0, abs=0.1)
    assert flight.end - flight.start == pytest.approx(0.4, abs=0.1)


def test_a_gap_in_the_log_breaks_the_line(day: Path) -> None:
    lines = (day / "run_1.csv").read_text(encoding="ascii").splitlines()
    (day / "run_1.csv").write_text("\n".join(lines[:2501] + lines[3001:]) + "\n", encoding="ascii")
    done = study(telemetry.read_ride_day(day))
    seen = look(done, Selection())
    assert seen is not None
    found = along(done, seen)
    places, values = found.traces["run_1", "front"].over(9.5, 10.5, 2400)
    assert np.isnan(values).sum() == 1
    assert np.all(np.diff(places) >= 0)
    assert not np.isnan(found.traces["run_2", "front"].over(9.5, 10.5, 2400)[1]).any()


def test_one_end_and_left_out_runs(day: Path) -> None:
    file = day / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    text = text[: text.index("[sensors.shock]")] + text[text.index("[setups.") :]
    file.write_text(text.replace('setup = "b"', 'setup = "b"\nleave_out = "fell"'), encoding="utf-8")
    done = study(telemetry.read_ride_day(day))
    seen = look(done, Selection())
    assert seen is not None
    found = along(done, seen)
    assert set(found.traces) == {("run_1", "front")}
    assert found.no_flight == ("run_1",)


def test_a_slower_half_is_stretched_to_fit(day: Path) -> None:
    """Between marks the second half of one run takes half as long again, and its bumps lie over the others'."""
    write_log(day / "run_2.csv", *bumps(1.5))
    file = day / "ride_day.toml"
    marks = [("run_1", 1.0, "start"), ("run_1", 20.0, "middle"), ("run_1", 39.0, "end")]
    marks += [("run_2", 1.0, "start"), ("run_2", 20.0, "middle"), ("run_2", 20 + 1.5 * 19, "end")]
    text = "".join(f'[[marks]]\nrun = "{run}"\nat_s = {at}\nname = "{name}"\n' for run, at, name in marks)
    file.write_text(file.read_text(encoding="utf-8") + text, encoding="utf-8")
    done = study(telemetry.read_ride_day(day))
    seen = look(done, Selection())
    assert seen is not None
    found = along(done, seen)
    assert len(found.borders) == 3
    peaks = {}
    for run in ("run_1", "run_2"):
        trace = found.traces[run, "front"]
        peaks[run] = [
            float(trace.place[a + np.argmax(trace.lows[0][a:b])])
            for a, b in (
                np.searchsorted(trace.place, [middle - 0.6, middle + 0.6]).tolist()
                for middle in (27.25, 31.25, 33.25)  # a bump's seconds less the mark's
            )
        ]
    np.testing.assert_allclose(peaks["run_2"], peaks["run_1"], atol=0.25)  # standing still takes no place


def test_what_is_chosen_of_a_day_is_what_the_library_counts(day: Path) -> None:
    read = telemetry.read_ride_day(day)
    done = study(read)
    seen = look(done, Selection(sections=(1, 2)))
    assert seen is not None
    assert seen.explored
    assert seen.comparison is not None
    assert {row.verdict for row in seen.comparison.verdicts.results} == {None}
    expected = telemetry.compare(read, sections=(1, 2)).to_dict()["results"]
    found = seen.comparison.to_dict()["results"]
    for name in ("difference", "low", "high", "baseline_value", "candidate_value"):
        assert [row[name] for row in found] == [row[name] for row in expected]  # type: ignore[union-attr]


def test_pictures_over_some_sections_count_only_those(day: Path) -> None:
    done = study(telemetry.read_ride_day(day))
    whole, part = look(done, Selection()), look(done, Selection(sections=(1, 2)))
    assert whole is not None
    assert part is not None
    assert part.pictures[0].riding_s == pytest.approx(2 / whole.sections.count * whole.pictures[0].riding_s, rel=0.01)
    last = whole.sections.sharing.stretches["run_1"][1][1] / RATE_HZ
    assert all(hit.at_s <= last + 1 for hit in part.pictures[0].deep_hits)
