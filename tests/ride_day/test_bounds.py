"""Whatever a TOML file holds, it is read or refused in a moment; ``python -m tests.fuzz.hostile_toml`` tries more."""

from __future__ import annotations

import json
import pickle
import time
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from telemetry import toml_bounds
from telemetry.cli import main
from telemetry.errors import MOST_LISTED, RideDayError, TelemetryError
from telemetry.model.day import RideDay
from telemetry.ride_day import read_ride_day
from telemetry.toml_bounds import LARGEST_BYTES, MOST_LEVELS, MOST_PARTS, TomlError, parse
from tests.fuzz.hostile_toml import DAYS, KINDS, LARGEST, answer_of, write

Problems = Callable[..., dict[str, object]]
SIZE, SECONDS = 25_000, 2.0
"""Bytes, and seconds of one thread: what took minutes at this size takes a tenth of them."""


@pytest.mark.parametrize(("kind", "name"), [(kind, name) for kind, (_, _, makers) in KINDS.items() for name in makers])
def test_an_answer_comes_soon(kind: str, name: str, tmp_path: Path) -> None:
    read, file, makers = KINDS[kind]
    path = write(makers[name](SIZE), tmp_path / "day", file)
    before = time.thread_time()
    said = answer_of(read, path)
    assert time.thread_time() - before < SECONDS
    assert "\n" not in said
    assert len(said) < 1500


@pytest.mark.parametrize("name", ["levels of a key", "tables in tables", "tables", "escapes", "digits", "comments"])
def test_as_large_as_may_be(name: str, tmp_path: Path) -> None:
    path = write(DAYS[name](LARGEST), tmp_path / "day", "ride_day.toml")
    before = time.thread_time()
    answer_of(read_ride_day, path)
    assert time.thread_time() - before < SECONDS


def test_no_more_is_read_than_may_be(tmp_path: Path) -> None:
    file = tmp_path / "ride_day.toml"
    file.write_bytes(b"#" * LARGEST_BYTES)
    assert len(toml_bounds.read_bytes(file)) == LARGEST_BYTES
    file.write_bytes(b"#" * (LARGEST_BYTES + 1))
    with pytest.raises(TelemetryError, match="1 MB at most"):
        read_ride_day(tmp_path)


def nested(levels: int) -> list[str]:
    """Return as many levels in each of the ways there are."""
    keys = ".".join("a" * levels)
    return [
        f"{keys} = 1",
        f"[{keys}]",
        f"[[{'.'.join('a' * (levels // 2))}]]\n{'.'.join('b' * (levels - levels // 2 - 1))} = 1",
        f"a = {'{b = ' * (levels - 1)}1{'}' * (levels - 1)}",
        f"a = {'[' * (levels - 1)}1{']' * (levels - 1)}",
        f"[{'.'.join('a' * (levels - 3))}]\nb = [{{c = 1}}]",
        f"'{'.'.join('a' * 40)}'.{'.'.join('a' * (levels - 1))} = 1",
    ]


def test_levels_are_counted_however_they_are_written() -> None:
    for text in nested(MOST_LEVELS):
        assert parse(text) == tomllib.loads(text)
    for text in nested(MOST_LEVELS + 2):
        with pytest.raises(TomlError, match="levels"):
            parse(text)


@pytest.mark.parametrize(
    "piece", ["k{} = 1.5\n", "[t{}]\n", "[[t{}]]\n", "a{}.b.c = 1\n"], ids=["keys", "tables", "lists", "dotted"]
)
def test_keys_and_values_are_counted(piece: str) -> None:
    parse("".join(piece.format(number) for number in range(MOST_PARTS // 4)))
    with pytest.raises(TomlError, match=rf"more than {MOST_PARTS} keys and values \(at line"):
        parse("".join(piece.format(number) for number in range(MOST_PARTS + 1)))


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (f"a = '{'x' * 20_000}'", "a text of 20002 letters"),
        (f"a = {'1' * 2000}", "a word of 2000 letters"),
        (f"[b]\n{'k' * 300} = 1", "a key of 300 letters, b.kkk"),
        (f"'{'k' * 300}' = 1", "a key of 300 letters"),
    ],
)
def test_texts_words_and_keys_have_a_length(text: str, found: str) -> None:
    with pytest.raises(TomlError, match=found):
        parse(text)


PIECES = (
    "a", "b.c", "'", '"', "'''", '"""', "\\", '\\"', "#", "\n", "\r\n", "[", "]", "{", "}", "=", ",", ".", " ", "é",
    "1.5", "2026-05-16", "a = 1\n", "[t]\n", "'a.b.c'", '"]"', '"""x"""""',
)  # fmt: skip
MARKS = st.lists(st.sampled_from(PIECES), max_size=12).map("".join)


@settings(max_examples=200)
@given(before=MARKS, value=MARKS)
def test_what_tomls_reader_takes_is_taken(before: str, value: str) -> None:
    for text in (before, f"{before}\nx = {value}\n", f'x = """{value}"""\n{before}', f"x = '{value}'\n{before}"):
        try:
            expected = tomllib.loads(text)
        except ValueError:
            with pytest.raises(TomlError, match="found"):
                parse(text)
        else:
            assert parse(text) == expected


@settings(max_examples=150)
@given(value=MARKS)
def test_what_is_within_texts_and_comments_has_no_levels(value: str) -> None:
    """Marks that would be refused outside texts are looked over within them, wherever a text ends."""
    deep = "[" * (MOST_LEVELS + 5) + ".a" * (MOST_LEVELS + 5)
    for text in (f'x = """{value}{deep}"""\n', f"x = '''{value}{deep}'''\n", f"# {value}{deep}\n"):
        try:
            tomllib.loads(text)
        except (ValueError, RecursionError):
            continue
        assert parse(text) == tomllib.loads(text)


def wrong_keys(count: int) -> str:
    return "".join(f"wrong_{number} = 1\n" for number in range(count))


def test_the_first_hundred_are_listed_in_file_order(read: Callable[..., RideDay]) -> None:
    with pytest.raises(
        RideDayError, match=r"ride_day\.wrong_0: .* 1149 more: `telemetry check` lists the first 100"
    ) as caught:
        read(("[bike]", f"{wrong_keys(1000)}[bike]"), more=f"[measures]\n{wrong_keys(150)}")
    error = caught.value
    assert [problem.key for problem in error.problems] == [f"ride_day.wrong_{number}" for number in range(MOST_LISTED)]
    assert error.left_out == 1050
    again = pickle.loads(pickle.dumps(error))  # noqa: S301
    assert (again.line, again.problems, again.left_out) == (error.line, error.problems, error.left_out)


def test_check_says_how_many_more(
    read: Callable[..., RideDay], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(RideDayError, match="wrong_0"):
        read(more=f"[measures]\n{wrong_keys(150)}")
    for options in ([], ["--json"]):
        with pytest.raises(SystemExit, match="2"):
            main(["check", str(folder), *options])
        told = capsys.readouterr()
        assert "lists the first 100" in told.err
        if options:
            answer = json.loads(told.out)
            assert (len(answer["errors"]), answer["errors_left_out"]) == (100, 50)
        else:
            assert told.out.splitlines()[-1] == "and 50 more: mend these first"
            assert len(told.out.splitlines()) == 101


def test_a_hundred_are_all_listed(read: Callable[..., RideDay]) -> None:
    with pytest.raises(RideDayError, match="99 more: `telemetry check` lists them") as caught:
        read(more=f"[measures]\n{wrong_keys(100)}")
    assert caught.value.left_out == 0


def chain(count: int) -> str:
    return "[setups.c0]\n" + "".join(f'[setups.c{n}]\nbased_on = "c{n - 1}"\n' for n in range(1, count))


def test_a_chain_has_an_end(read: Callable[..., RideDay], problems: Problems) -> None:
    assert list(read(more=chain(50)).setups)[-1] == "c49"
    found = problems(more=chain(52))
    assert list(found) == ["setups.c50.based_on", "setups.c51.based_on"]


@pytest.mark.parametrize(
    ("more", "key"),
    [
        ("".join(f"[setups.s{n}]\n" for n in range(499)), "setups"),
        ("".join(f'[sensors.s{n}]\nkind = "distance"\ncolumn = 3\n' for n in range(49)), "sensors"),
        ("[setups.b]\nbased_on = 'oil_8'\nother.x = 1\n[setups.oil_8.other]\n" + wrong_keys(100), "setups.b.other"),
        ("[setups.b.rear]\nlinkage.bodies.x = [" + "'a'," * 31 + "]\n", "setups.b.rear.linkage.bodies.x"),
    ],
)
def test_what_is_too_many_is_one_error(problems: Problems, more: str, key: str) -> None:
    found = problems(more=more)[key]
    assert "at most" in str(found)


def test_setups_share_a_linkage_that_is_solved_once(read: Callable[..., RideDay], problems: Problems) -> None:
    linkage = (
        "[setups.link.rear.linkage]\nfixed = { m = [0, 0], f = [205, 322] }\naxle = 'axle'\nshock = ['f', 'b']\n"
        "moving = { axle = [-400, 0], b = [-98, 327] }\nbodies = { arm = ['m', 'axle', 'b'] }\n"
    )
    alike = "".join(f"[setups.l{n}]\nbased_on = 'link'\n" for n in range(40))
    day = read(("travel_mm = 165\n", ""), more=linkage + alike)
    assert day.setups["l39"].rear.leverage is day.setups["link"].rear.leverage
    strokes = "".join(f"[setups.l{n}]\nbased_on = 'link'\nrear.stroke_mm = {40 + n}\n" for n in range(20))
    found = problems(("travel_mm = 165\n", ""), more=linkage + strokes)
    assert "20 at most" in str(found["setups.link.rear.linkage"])
