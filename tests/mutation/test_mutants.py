"""What is changed in a module, and that what is listed as changing no answer is still made."""

from __future__ import annotations

import ast
import tomllib
from itertools import groupby
from operator import itemgetter
from pathlib import Path

import pytest

from tests.mutation.mutants import mutants_of
from tests.mutation.nearest import nearest_tests

ROOT = Path(__file__).parents[2]
LISTED = tomllib.loads(Path(__file__).with_name("equivalent.toml").read_text(encoding="utf-8")).get("equivalent", [])
BY_FILE = {file: list(entries) for file, entries in groupby(sorted(LISTED, key=itemgetter("file")), itemgetter("file"))}

SOURCE = '''"""A module with 7 things to change, this not among them."""
LEAST_MM = 5.0
FEWEST = 4


def slow(start: int, stop: int, speed: float = -1.0) -> bool:
    """Tell whether it is slow."""
    if stop - start < FEWEST:
        raise ValueError(f"only {stop - start} samples, at least {FEWEST + 1} needed")
    return not speed and max(1e-9, abs(speed)) <= LEAST_MM
'''


def test_numbers_signs_and_neighbours_are_changed_and_messages_are_not() -> None:
    assert [(mutant.line, mutant.change) for mutant in mutants_of(SOURCE)] == [
        (2, "5.0 -> 5.5"),
        (2, "5.0 -> 4.5"),
        (3, "4 -> 5"),
        (3, "4 -> 3"),
        (6, "1.0 -> 1.1"),
        (8, "stop - start < FEWEST -> stop - start <= FEWEST"),
        (8, "stop - start -> stop + start"),
        (8, "stop -> start"),
        (8, "start -> stop"),
        (10, "not speed and max(1e-09, abs(speed)) <= LEAST_MM -> not speed or max(1e-09, abs(speed)) <= LEAST_MM"),
        (10, "not speed -> speed"),
        (10, "max(1e-09, abs(speed)) <= LEAST_MM -> max(1e-09, abs(speed)) < LEAST_MM"),
        (10, "max -> min"),
        (10, "abs(speed) -> speed"),
    ]


def test_a_mutant_differs_from_the_module_in_one_place() -> None:
    before = SOURCE.splitlines()
    for mutant in mutants_of(SOURCE):
        after = mutant.text.splitlines()
        assert [number for number, lines in enumerate(zip(before, after, strict=True), 1) if len(set(lines)) > 1] == [
            mutant.line
        ]
        assert mutant.source == before[mutant.line - 1].strip()
        ast.parse(mutant.text)


def test_the_nearest_tests_come_first() -> None:
    tests = nearest_tests(ROOT, "telemetry/measures/push_groups.py")
    assert tests[0] == "tests/measures/test_push_groups.py"
    rest = nearest_tests(ROOT, "telemetry/conditioning/inertial/rest.py", near=True)
    assert rest[0] == "tests/conditioning/inertial/test_rest.py"
    assert "tests/conditioning/inertial/test_stands.py" in rest
    assert "tests/trust/test_coarse_steps.py" in nearest_tests(ROOT, "telemetry/conditioning/broken_contact.py")
    near = nearest_tests(ROOT, "telemetry/comparison/verdict.py", near=True)
    assert near[0] == "tests/comparison/test_verdict_rules.py"
    assert "tests/comparison/test_planned_runs.py" in near  # of a package that offers it in its own name
    assert "tests/comparison/test_error_rates.py" not in near


@pytest.mark.parametrize("file", BY_FILE)
def test_a_mutant_listed_as_equivalent_is_made_and_its_reason_told(file: str) -> None:
    made = {(mutant.source, mutant.change) for mutant in mutants_of((ROOT / file).read_text(encoding="utf-8"))}
    assert [entry for entry in BY_FILE[file] if (entry["line"], entry["change"]) not in made] == []
    assert [entry for entry in BY_FILE[file] if len(entry["reason"]) < 10] == []
