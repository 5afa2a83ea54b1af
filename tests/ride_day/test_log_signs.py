"""The signs a log is written with: none may be part of a number, none may stand for two things."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest

from telemetry.errors import Problem
from telemetry.model.day import RideDay

Read = Callable[..., RideDay]
Problems = Callable[..., dict[str, Problem]]
TIME = 'time = { column = "t_ms", unit = "ms" }'
PARTS_OF_NUMBERS = ["0", "7", "+", "-", "−", '"', "e", "E", "x", "\n", "\r", "\x00", "\x85", "\u2028"]


def stated(**keys: str) -> str:
    return "\n".join(f"{key} = {json.dumps(value)}" for key, value in keys.items())


@pytest.mark.parametrize("key", ["delimiter", "thousands", "comment"])
@pytest.mark.parametrize("sign", PARTS_OF_NUMBERS)
def test_no_part_of_a_number(problems: Problems, key: str, sign: str) -> None:
    problem = problems((TIME, f"{TIME}\n{stated(**{key: sign})}"))[f"log.{key}"]
    assert "number" in problem.expected or "digit" in problem.expected


@pytest.mark.parametrize(
    ("keys", "key"),
    [
        ({"delimiter": "§"}, "log.delimiter"),  # the parser takes ASCII
        ({"delimiter": "é"}, "log.delimiter"),
        ({"delimiter": "a"}, "log.delimiter"),
        ({"delimiter": "."}, "log.delimiter"),
        ({"delimiter": "'"}, "log.delimiter"),
        ({"delimiter": ""}, "log.delimiter"),
        ({"thousands": "x"}, "log.thousands"),
        ({"thousands": "\t"}, "log.thousands"),
        ({"thousands": "''"}, "log.thousands"),
        ({"thousands": "\u200b"}, "log.thousands"),
        ({"comment": "12"}, "log.comment"),
        ({"comment": ".5"}, "log.comment"),
        ({"comment": ",x"}, "log.comment"),
        ({"comment": " #"}, "log.comment"),
        ({"comment": "nan"}, "log.comment"),
        ({"comment": "FF"}, "log.comment"),
        ({"comment": "Da"}, "log.comment"),
        ({"comment": "nu"}, "log.comment"),
        ({"comment": "NONE"}, "log.comment"),
        ({"comment": "i"}, "log.comment"),
        ({"comment": "#\n1"}, "log.comment"),
        ({"comment": "٣"}, "log.comment"),  # a digit, if no European one
        ({"comment": ";", "delimiter": ";"}, "log.comment"),
        ({"comment": ";;", "delimiter": ";"}, "log.comment"),
        ({"delimiter": "#"}, "log.delimiter"),
        ({"thousands": ";", "delimiter": ";"}, "log.thousands"),
        ({"thousands": " ", "delimiter": "blanks"}, "log.thousands"),
        ({"thousands": "\u00a0", "delimiter": " "}, "log.thousands"),
        ({"thousands": ",", "delimiter": ","}, "log.thousands"),
    ],
)
def test_signs_that_cannot_be(problems: Problems, keys: dict[str, str], key: str) -> None:
    assert list(problems((TIME, f"{TIME}\n{stated(**keys)}"))) == [key]


@pytest.mark.parametrize(
    "keys",
    [
        {"delimiter": ";", "decimal": ",", "thousands": "."},
        {"delimiter": ",", "decimal": ".", "thousands": "'", "comment": "//"},
        {"delimiter": "\t", "thousands": "\u202f", "comment": "REM"},
        {"comment": "Date"},
        {"comment": "Text"},
        {"comment": "nulls"},
        {"delimiter": ".", "decimal": ","},
        {"delimiter": "blanks", "thousands": "’", "comment": ";"},
        {"delimiter": "#", "comment": "%"},
        {"delimiter": "\x1f"},
        {"delimiter": " ", "comment": "!"},
        {"comment": "event"},
    ],
)
def test_signs_that_logs_are_written_with(read: Read, keys: dict[str, str]) -> None:
    day = read((TIME, f"{TIME}\n{stated(**keys)}"))
    assert {key: getattr(day.log, key) for key in keys} == keys


def test_what_is_stated_for_all_logs_counts_for_each_loggers(problems: Problems) -> None:
    edit = (TIME, f"{TIME}\n{stated(decimal=',', comment='//')}")
    more = f"[log.front]\n{stated(delimiter=',')}\n[log.rear]\n{stated(thousands=',', delimiter='/')}\n"
    found = problems(edit, more=more)
    assert list(found) == ["log.comment", "log.front.delimiter", "log.rear.thousands"]
