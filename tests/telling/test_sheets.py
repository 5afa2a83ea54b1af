"""What the public results say of themselves: a line at a prompt, text, a notebook's page, frames."""

from __future__ import annotations

from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest

import telemetry
from telemetry.model.catalogue import compared_rows
from telemetry.sheet import Shown, table

DAY = Path(__file__).parents[2] / "sample_runs" / "lower_leg_oil"
LONGEST_LINE = 200
LONGEST_SUMMARY = 9000


@pytest.fixture(scope="module")
def results() -> dict[str, Shown]:
    day = telemetry.read_ride_day(DAY)
    return {
        "day": day,
        "ride": telemetry.load_ride(day, "run_1"),
        "analysis": telemetry.analyse(day),
        "comparison": telemetry.compare(day),
        "plan": telemetry.plan(day),
    }


KINDS = ("day", "ride", "analysis", "comparison", "plan")


@pytest.mark.parametrize("kind", KINDS)
def test_a_result_is_one_line_at_a_prompt_and_a_short_sheet_as_text(results: dict[str, Shown], kind: str) -> None:
    found = results[kind]
    assert "\n" not in repr(found)
    assert len(repr(found)) <= LONGEST_LINE
    assert repr(found).startswith(f"<{type(found).__name__}: ")
    assert found.in_short in found.summary()
    assert len(found.summary()) <= LONGEST_SUMMARY


class _Pieces(HTMLParser):
    """Reads the text between tags."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.cells = 0
        self.feed(page)

    def handle_starttag(self, tag: str, _attrs: object) -> None:
        self.cells += tag in {"td", "th"}

    def handle_data(self, data: str) -> None:
        self.found.append(data)


@pytest.mark.parametrize("kind", KINDS)
def test_a_notebook_gets_what_the_text_says(results: dict[str, Shown], kind: str) -> None:
    read, text = _Pieces(results[kind]._repr_html_()), results[kind].summary()
    assert read.cells > 8
    assert all(piece.strip() in text for piece in read.found)


def test_text_from_files_is_neither_run_nor_obeyed() -> None:
    class Hostile(Shown):
        __slots__ = ()
        in_short = "<script>alert(1)</script>\x1b[2J"
        sheet = ("a\u202eb & c", table(["<b>x</b>"], [["<img src=x onerror=y>\x07"]], title="<i>t</i>"))

    shown = Hostile()
    page = shown._repr_html_()
    for tag in ("script", "img", "i", "b>x"):
        assert f"<{tag}" not in page
    for said in (repr(shown), shown.summary(), page):
        assert not {"\x1b", "\x07", "\u202e"} & set(said)


def test_a_comparison_says_values_interval_how_sure_and_conditioning(results: dict[str, Shown]) -> None:
    text = results["comparison"].summary()
    row = next(line for line in text.splitlines() if line.startswith("Dynamic sag, front "))
    assert row.split()[-2:] == ["%)", "unchanged"]
    assert "(92 %)" in row  # the interval that "unchanged" rests on at the first number of runs planned
    assert " between " in row
    assert "low-pass at 60 Hz" in text


def test_results_are_a_flat_frame(results: dict[str, Shown]) -> None:
    comparison = results["comparison"]
    assert isinstance(comparison, telemetry.Comparison)
    frame = comparison.results
    assert len(frame) == len(compared_rows(()))
    assert not any(isinstance(value, dict) for column in frame for value in frame[column])
    rows = comparison.to_dict()["results"]
    assert isinstance(rows, list)
    speed = next(place for place, row in enumerate(rows) if row["scale"] == "log")
    for key, value in rows[speed]["percent"].items():
        assert frame[f"percent_{key}"][speed] == value
    assert np.isnan(frame["percent_low"][0])  # sag has no such view


def test_a_ride_is_a_frame_on_its_clock(results: dict[str, Shown]) -> None:
    ride = results["ride"]
    assert isinstance(ride, telemetry.Ride)
    frame = ride.to_frame()
    assert frame.index.name == "time_s"
    assert np.array_equal(frame.index, ride.time_s)
    assert np.array_equal(frame["front_travel_mm"], ride.front.travel_mm)
    assert np.array_equal(frame["rear_speed_mm_s"], ride.rear.speed_mm_s)
    ridden = frame.index[frame["riding"]]
    assert (ridden[0] >= ride.start_s, ridden[-1] <= ride.end_s) == (True, True)
    assert frame.attrs["history"] == [step.words for step in ride.history]
    frame.iloc[0, 0] = -1.0  # a copy: the ride stays as it is
    assert ride.front.travel_mm[0] != -1.0


def test_the_package_lists_what_it_offers() -> None:
    assert dir(telemetry) == sorted(telemetry.__all__)
    assert all(hasattr(telemetry, name) for name in dir(telemetry))
