"""How signals were cleaned, in words: once what all runs share."""

from __future__ import annotations

from telemetry.model.finding import Step
from telemetry.telling.cleaning import bounds_in_words, ends_in_words


def steps(zero: str, *, noise: str = "sd 0.01 mm") -> tuple[Step, ...]:
    return (
        Step(stage="zero", words=zero, end="front"),
        Step(stage="noise", words=noise, end="front"),
        Step(stage="full travel", words="170.0 mm", end="front"),
    )


def bounds(start_s: float, end_s: float, start_from: str = "as stated", end_from: str = "as stated") -> Step:
    return Step(
        stage="bounds",
        words=f"start {start_s:.2f} s, {start_from}; end {end_s:.2f} s, {end_from}",
        parameters={"start_s": start_s, "start_from": start_from, "end_s": end_s, "end_from": end_from},
    )


def test_what_all_runs_share_is_said_once_and_the_rest_by_the_runs_alike() -> None:
    histories = {"run_1": steps("+1.2 mm"), "run_2": steps("+1.3 mm"), "run_3": steps("+1.2 mm")}
    told = "Front: full travel 170.0 mm; noise sd 0.01 mm; zero +1.2 mm in run_1 and run_3, +1.3 mm in run_2."
    assert ends_in_words(histories) == [told]


def test_what_some_runs_lack_names_those_that_have_it() -> None:
    (told,) = ends_in_words({"run_1": steps("+1.2 mm"), "run_2": steps("+1.2 mm")[:1]})
    assert told == "Front: full travel 170.0 mm in run_1; noise sd 0.01 mm in run_1; zero +1.2 mm."
    assert ends_in_words({"run_1": ()}) == []


def test_bounds_say_once_what_they_go_by_where_it_is_alike() -> None:
    alike = {"run_1": (bounds(2.0, 8.0),), "run_2": (bounds(2.5, 9.0),)}
    assert bounds_in_words(alike) == [
        "Start and end: run_1 2.00 to 8.00 s, run_2 2.50 to 9.00 s; as stated for every run."
    ]
    mixed = {**alike, "run_3": (bounds(0.0, 9.0, "the log's own"),)}
    assert bounds_in_words(mixed)[0].count("as stated") == 5
    assert bounds_in_words({}) == []
