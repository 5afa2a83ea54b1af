"""A link says what was chosen, and says it the same way back."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import parse_qs

import pytest
from hypothesis import given
from hypothesis import strategies as st

import telemetry
from dashboards.pages.choice import Choice, in_short
from telemetry.errors import CallError
from tests.pipeline.small_days import make_day

NAMES = st.lists(st.text(min_size=1, max_size=8).filter(lambda text: text.isprintable()), min_size=1, unique=True)


def read(link: str) -> Choice:
    found = parse_qs(link.removeprefix("?"), keep_blank_values=True)
    return Choice.of({name: [value.encode() for value in values] for name, values in found.items()})


@given(setups=NAMES, runs=NAMES, sections=st.sets(st.integers(1, 2000), min_size=1), day=st.text(min_size=1))
def test_a_link_read_back_is_the_same_choice(setups: list[str], runs: list[str], sections: set[int], day: str) -> None:
    day = day.encode("utf-8", "replace").decode()
    choice = Choice(
        day=day,
        page="where",
        setups=tuple(setups),
        runs=tuple(runs),
        sections=tuple(sorted(sections)),
        event="run_1:front:3.250",
        span=(1.5, 20.25),
    )
    assert read(choice.link()) == choice


@pytest.mark.parametrize("words", ["", "0", "3-1", "x", "1-", "-4", "1..3", "9999", "1,,2"])
def test_sections_that_make_no_sense_are_refused(words: str) -> None:
    if not words:
        assert Choice.of({"section": [b""]}).sections is None
        return
    with pytest.raises(CallError, match="the sections"):
        Choice.of({"section": [words.encode()]})


@pytest.mark.parametrize(("start", "end"), [("nan", "3"), ("5", "3"), ("x", "1"), ("1", "inf"), ("", "")])
def test_a_part_that_makes_no_sense_is_the_whole_trail(start: str, end: str) -> None:
    assert Choice.of({"from": [start.encode()], "to": [end.encode()]}).span is None


def test_naming_everything_is_no_choice(tmp_path: Path) -> None:
    day = telemetry.read_ride_day(make_day(tmp_path / "day", ("a", "b"), seconds=5.0))
    every = Choice(setups=("b", "a"), runs=("run_2", "run_1"), sections=(1, 2, 3)).within(day, 3)
    assert (every.setups, every.runs, every.sections) == (None, None, None)
    one = Choice(setups=("b",), runs=("run_2",), sections=(2,)).within(day, 3)
    assert (one.setups, one.runs, one.sections) == (("b",), ("run_2",), (2,))


@pytest.mark.parametrize("wrong", [{"setups": ("c",)}, {"runs": ("run_9",)}, {"sections": (4,)}])
def test_what_the_day_has_not_is_refused(tmp_path: Path, wrong: dict[str, tuple[object, ...]]) -> None:
    day = telemetry.read_ride_day(make_day(tmp_path / "day", ("a", "b"), seconds=5.0))
    with pytest.raises(CallError, match="expected one of"):
        Choice(**wrong).within(day, 3)  # type: ignore[arg-type]


def test_numbers_in_short() -> None:
    assert in_short([1, 2, 3, 5, 7, 8]) == "1-3,5,7-8"
