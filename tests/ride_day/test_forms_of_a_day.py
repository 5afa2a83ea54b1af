"""In whatever form a day is written, a change does just what was asked and keeps every other line."""

from __future__ import annotations

import copy
import datetime as dt
import gzip
import tomllib
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import telemetry
from telemetry.errors import CallError
from telemetry.ride_day import AddRun, Bounds, LeaveOut, NameFocus, propose
from telemetry.ride_day.edits import Edit
from telemetry.ride_day.lines import shown, with_own_ends
from telemetry.ride_day.parts import parts_of
from tests.pipeline.small_days import HEAD, make_day, trail, write_log

NOW = dt.datetime(2026, 5, 16, 12, 30, 5)
NEW_LOG = 'it\'s "3".csv'
FORMS = {
    "apart": """\
[[runs]]
FIRST

# decides
[comparison]
baseline = "a"

# after lunch
[[runs]]
SECOND
# end""",
    "right before another table": """\
[[runs]]
FIRST
[[runs]]
SECOND
# what decides
[comparison]
planned_runs = 3 # x
""",
    "with tables of their own": """\
[[runs]]
FIRST
[runs.sensors.fork]
points = [[100, 0.0],
 [3310, 160.0]]

[[runs]]
SECOND
""",
    "strings like tables": """\
[[runs]]
FIRST
note = \'\'\'
[[runs]]
log = "x" # no
[comparison]
\'\'\'
[[runs]]
SECOND
note = \'\'\'it's # "fine" [
# [x]\'\'\'
""",
    "quoted": """\
[["runs"]]
"log" = "run_1.csv"
'setup' = "a"
[[ runs ]] # two
SECOND
""",
    "indented": """\
  [[runs]]
    log = "run_1.csv"
    setup = "a"

\t[[runs]]
\tlog = "run_2.csv"
\tsetup = "b"
""",
    "names of each other": """\
[[runs]]
name = "run_2"
FIRST
[[runs]]
name = "run_1"
SECOND
""",
    "one log, two names": """\
[[runs]]
FIRST
[[runs]]
name = "again"
FIRST
""",
    "names with quotes": """\
[[runs]]
log = "run_1.csv.gz" # packed
setup = "a"
[[runs]]
name = 'a "b" \\ [c]'
SECOND
""",
    "in several lines": """\
runs = [
  { log = "run_1.csv", setup = "a" }, # one
  # between
  { log = "run_2.csv", setup = "b" } # two
]
=====
""",
    "in one line": """\
runs = [{ log = "run_1.csv", setup = "a" }, { log = "run_2.csv", setup = "b" }] # all
=====
""",
    "what decides, dotted": """\
comparison.baseline = "a"
=====
[[runs]]
FIRST
[[runs]]
SECOND
""",
    "what decides, in one line": """\
comparison = { baseline = "a" } # c
=====
[[runs]]
FIRST
[[runs]]
SECOND
""",
    "what decides, beneath": """\
[comparison.smallest_change]
dynamic_sag = "2 points"
[[runs]]
FIRST
[[runs]]
SECOND
""",
}
"""What stands above ``=====`` stands at the top of the file."""


def left_out(day: dict[str, Any]) -> None:
    day["runs"][0]["leave_out"] = "fell"


def bounded(day: dict[str, Any]) -> None:
    day["runs"][1] |= {"start_s": 1.5, "end_s": 4.0}


def focused(day: dict[str, Any]) -> None:
    day.setdefault("comparison", {}).update(focus=["packing:rear"], named_at=NOW)


def longer(day: dict[str, Any]) -> None:
    day["runs"].append({"log": NEW_LOG, "setup": "b"})


EDITS: tuple[tuple[Callable[[str, str], Edit], Callable[[dict[str, Any]], None]], ...] = (
    (lambda first, _: LeaveOut(run=first, reason="fell"), left_out),
    (lambda _, second: Bounds(run=second, start_s=1.5, end_s=4.0), bounded),
    (lambda *_: NameFocus(focus=("packing:rear",), named_at=NOW), focused),
    (lambda *_: AddRun(log=NEW_LOG, setup="b", started_at=NOW), longer),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = make_day(tmp_path_factory.mktemp("forms") / "day", ("a", "b"), seconds=2.0)
    (made / "run_1.csv.gz").write_bytes(gzip.compress((made / "run_1.csv").read_bytes()))
    write_log(made / NEW_LOG, *trail(2.0, 3))
    return made


def comments(text: str) -> list[str]:
    return [line.split("#", 1)[1] for line in text.splitlines() if "#" in line]


@pytest.mark.parametrize("ends", ["\n", "\r\n", "mixed"])
@pytest.mark.parametrize("form", FORMS)
def test_in_whatever_form_just_what_was_asked_changes(folder: Path, form: str, ends: str) -> None:
    setups = "".join(f"[setups.{name}.front]\nair_pressure_bar = {bar}\n" for name, bar in (("a", 6), ("b", 7)))
    top, _, below = FORMS[form].rpartition("=====\n")
    text = top + HEAD.format(title="A test day") + setups + below
    for word, log, name in (("FIRST", "run_1.csv", "a"), ("SECOND", "run_2.csv", "b")):
        text = text.replace(word, f'log = "{log}"\nsetup = "{name}"')
    raw = (text if ends == "\n" else text.replace("\n", "\r\n", 3 if ends == "mixed" else -1)).encode()
    (folder / "ride_day.toml").write_bytes(raw)
    day = telemetry.read_ride_day(folder)
    for edit, change in EDITS:
        found = propose(day, [edit(*(run.name for run in day.runs))])
        wanted = copy.deepcopy(tomllib.loads(text))
        change(wanted)
        assert tomllib.loads(found.text.decode("utf-8")) == wanted
        assert comments(found.text.decode("utf-8")) == comments(text)
        gone = Counter(raw.splitlines(keepends=True)) - Counter(found.text.splitlines(keepends=True))
        open_end = not raw.endswith(b"\n") and not found.text.endswith(raw.splitlines()[-1])
        assert gone.total() == sum(sign == "-" for sign, _ in found.lines) + open_end


def test_a_key_stands_before_what_is_told_of_the_next_table(folder: Path) -> None:
    text = f'{HEAD.format(title="A test day")}[setups.a]\n[[runs]]\nlog = "run_1.csv"\nsetup = "a"\n'
    after = "# what decides\n[comparison]\nplanned_runs = 3\n"
    (folder / "ride_day.toml").write_text(text + after, encoding="utf-8")
    found = propose(telemetry.read_ride_day(folder), [LeaveOut(run="run_1", reason="fell")])
    assert found.text.decode("utf-8") == f'{text}leave_out = "fell"\n{after}'


def test_a_comment_with_a_line_break_of_another_script_is_one_line(folder: Path) -> None:
    text = (
        f'{HEAD.format(title="A test day")}[setups.a]\n[[runs]]\nlog = "run_1.csv"\nsetup = "a"\n# of it\u2028 still\n'
    )
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    found = propose(telemetry.read_ride_day(folder), [AddRun(log=NEW_LOG, setup="a", started_at=NOW)])
    assert found.text.decode("utf-8").startswith(f"{text}\n[[runs]]\n")


def test_a_table_of_absurd_length_is_left_to_be_changed_by_hand(folder: Path) -> None:
    text = (
        f'{HEAD.format(title="A test day")}[setups.a]\n[[runs]]\nlog = "run_1.csv"' + "\n" * 200_000 + 'setup = "a"\n'
    )
    (folder / "ride_day.toml").write_text(text, encoding="utf-8")
    with pytest.raises(CallError, match="Change it by hand"):
        propose(telemetry.read_ride_day(folder), [LeaveOut(run="run_1", reason="fell")])


def test_parts_are_cut_at_headers_and_nowhere_else() -> None:
    text = (
        "a = [\n  [1],\n]\n# b\n[b] # [c]\n\"[d]\" = '''\n[e]\n'''\n# end of b\n"
        '\n  [[f."]"]]\nx = """\\"""\n[g]"""\n# end'
    )
    parts = parts_of(text)
    assert [text[part.start : part.end].strip()[:3] for part in parts] == ["a =", "[b]", "[[f"]
    assert [part.header for part in parts] == [{}, {"b": {}}, {"f": {"]": [{}]}}]
    assert "".join(text[part.start : part.end] for part in parts) == text
    assert [text[: part.filled].splitlines()[-1] for part in parts] == ["]", "'''", '[g]"""']


@pytest.mark.parametrize(
    ("before", "after", "kept"),
    [
        ("a\r\nb\nc", "a\nx\nb\nc\n", "a\r\nx\r\nb\nc"),
        ("a\r\nb\nc", "a\nb\nc\nd\n", "a\r\nb\nc\nd\n"),
        ("a\r\nb\nc", "a\nb\nD\n", "a\r\nb\nD"),
        ("a\nb\r\nc\n", "a\nB\nc\n", "a\nB\r\nc\n"),
        ("a\rb\r", "b\n", "b\r"),
        ("\r\na\n\n", "\na\n\nx\n", "\r\na\n\nx\n"),
        ("", "x\n", "x\n"),
    ],
)
def test_lines_keep_their_ends(before: str, after: str, kept: str) -> None:
    assert with_own_ends(before, after) == kept


def test_a_long_change_is_shown_as_far_as_it_can_be_looked_at() -> None:
    before = "".join(f"line {n}\n" for n in range(30_000))
    lines = shown(before, "".join(f"other {n}\n" for n in range(30_000)))
    assert lines[-1] == ("…", "and 59800 more")
    assert len(lines) == 201
    assert shown("a\n" * 9, "a\n" * 4 + "b\n" + "a\n" * 5) == (*[(" ", "a")] * 2, ("+", "b"), *[(" ", "a")] * 2)
    assert shown("x" * 500, "y")[0] == ("-", f"{'x' * 399}…")
