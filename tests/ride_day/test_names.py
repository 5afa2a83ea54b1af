"""Names that people read: each can be seen, and no two look alike."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable

import pytest

from telemetry.errors import Problem
from telemetry.looks import as_seen, codes_of
from telemetry.model.day import RideDay
from telemetry.toml_problems import near_words

Read = Callable[..., RideDay]
Problems = Callable[..., dict[str, Problem]]
ALIKE = {
    "zero width": ("oil 8", "oil\u200b 8"),
    "joiner": ("oil 8", "oil 8\u2060"),
    "soft hyphen": ("oil 8", "o\u00adil 8"),
    "direction": ("oil 8", "\u202eoil 8"),
    "composed": (unicodedata.normalize("NFC", "Ölstand 8"), unicodedata.normalize("NFD", "Ölstand 8")),
    "composed, zero width within": ("Ölstand", "O\u200b\u0308lstand"),
    "no-break blank": ("oil 8", "oil\u00a08"),
    "thin blank": ("oil 8", "oil\u20098"),
    "braille blank": ("oil 8", "oil\u28008"),
    "two blanks": ("oil 8", "oil  8"),
    "blank at the end": ("oil 8", "oil 8 "),
    "filler": ("oil 8", "oil 8\u3164"),
    "variation": ("oil 8", "oil 8\ufe0f"),
    "tag": ("oil 8", "oil 8\U000e0041"),
}
CASES = pytest.mark.parametrize(("one", "other"), ALIKE.values(), ids=list(ALIKE))


def quoted(name: str) -> str:
    return '"' + "".join(f"\\U{ord(letter):08x}" for letter in name) + '"'


@CASES
def test_they_look_the_same(one: str, other: str) -> None:
    assert one != other
    assert as_seen(one) == as_seen(other) == as_seen(as_seen(one))


@pytest.mark.parametrize(
    ("one", "other"), [("oil 8", "oil_8"), ("oil 8", "Oil 8"), ("8", "⁸"), ("fin", "ﬁn"), ("a-b", "ab"), ("né", "ne")]
)
def test_they_look_different(one: str, other: str) -> None:
    assert as_seen(one) != as_seen(other)


@CASES
def test_setups(problems: Problems, one: str, other: str) -> None:
    (problem,) = problems(more=f"[setups.{quoted(one)}]\n[setups.{quoted(other)}]\n").values()
    assert "which looks like" in problem.found
    assert codes_of(other) in problem.found


@CASES
def test_runs(problems: Problems, one: str, other: str) -> None:
    first, second = (f'setup = "{setup}"' for setup in ("oil_20", "oil_8"))
    edits = [(f"{first}\nstarted", f"{first}\nname = {quoted(one)}\nstarted")]
    edits.append((f"{second}\nstarted", f"{second}\nname = {quoted(other)}\nstarted"))
    problem = problems(*edits)["runs[2].name"]
    assert "of runs[1].name" in problem.found
    assert problem.expected == "names that can be told apart by eye"


@CASES
def test_sensors_labels_and_own_keys(problems: Problems, one: str, other: str) -> None:
    wheel = 'kind = "distance"\ncolumn = 3\n'
    found = problems(
        ('label = "20 ml per leg"', f"label = {quoted(one)}"),
        ('label = "8 ml per leg"', f"label = {quoted(other)}"),
        more=f"[sensors.{quoted(one)}]\n{wheel}[sensors.{quoted(other)}]\n{wheel}"
        f"[setups.oil_8.other]\n{quoted(one)} = 1\n{quoted(other)} = 2\n",
    )
    assert sum("which looks like" in problem.found for problem in found.values()) == 3


@CASES
def test_places_of_two_runs(read: Read, problems: Problems, one: str, other: str) -> None:
    marks = '[[marks]]\nrun = "run_1"\nat_s = 3\nname = {}\n[[marks]]\nrun = "run_2"\nat_s = 3\nname = {}\n'
    read(more=marks.format(quoted(one), quoted(one)))
    assert "which looks like" in problems(more=marks.format(quoted(one), quoted(other)))["marks[2].name"].found


@CASES
def test_an_unknown_name_that_looks_known(problems: Problems, one: str, other: str) -> None:
    problem = problems(
        ('setup = "oil_8"\nstarted', f"setup = {quoted(other)}\nstarted"), more=f"[setups.{quoted(one)}]\n"
    )["runs[2].setup"]
    assert "looks the same but is written with" in problem.expected
    assert "looks the same" not in near_words("oil_9", ["oil_8"], "a setup")


def test_two_setups_of_one_label(problems: Problems) -> None:
    found = problems(('label = "8 ml per leg"', 'label = "20 ml per leg"'))
    assert found["setups.oil_8.label"].expected == "a label of its own for each setup"


def test_a_label_that_is_the_name_of_a_setup(read: Read, problems: Problems) -> None:
    """Commands take names, pages show labels: one word for two setups tells neither."""
    assert read(('label = "8 ml per leg"', 'label = "oil_8"')).setups["oil_8"].label == "oil_8"
    found = problems(('label = "8 ml per leg"', 'label = "oil_20"'))["setups.oil_8.label"]
    assert found.found == "the name 'oil_20', that of setups.oil_20 too"
    swapped = ('label = "20 ml per leg"', 'label = "oil_8"'), ('label = "8 ml per leg"', 'label = "oil_20"')
    assert {"setups.oil_20.label", "setups.oil_8.label"} <= set(problems(*swapped))


@pytest.mark.parametrize("name", ["\u200b", " ", "\u2800", "\u3164\u00a0"])
def test_a_name_that_shows_nothing(problems: Problems, name: str) -> None:
    key = f"[setups.{quoted(name)}]\n"
    assert any("shows nothing" in problem.found for problem in problems(more=key).values())
    edit = ('setup = "oil_8"\nstarted', f'setup = "oil_8"\nname = {quoted(name)}\nstarted')
    assert "shows nothing" in problems(edit)["runs[2].name"].found


def test_keys_that_show_nothing_do_not_hide_the_rest(problems: Problems) -> None:
    found = problems(("wheelbase_mm = 1252", "wheelbase_mm = 9"), more='[setups."\\u200b"]\n')
    assert "bike.wheelbase_mm" in found
    assert len(found) == 2
