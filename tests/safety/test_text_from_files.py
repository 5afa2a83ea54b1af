"""Text from files: it can't steer a terminal, run in a spreadsheet, or stand as a tag in a page."""

from __future__ import annotations

import json
import os
import pty
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from dashboards.report import render_report
from telemetry.cli.progress import ProgressLine
from telemetry.cli.sheets import plan_sheet
from telemetry.cli.tables import say, say_json, show
from telemetry.errors import RideDayError, clean_json, clean_text
from telemetry.pipeline import plan, report_parts
from telemetry.ride_day import read_ride_day
from telemetry.sheet import table
from telemetry.simulation.log_text import log_text
from telemetry.simulation.scenario import read_scenario
from telemetry.simulation.toml_text import toml_text as toml_tables
from tests.forked import COMMAND, LONGEST_S, done
from tests.pipeline.small_days import make_day

STEERING = "\x1b]0;owned\x07\x1b[2J\x9b31m\x08\r\u202eabc\u2066\u061c\x7f"
UNSAFE = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
TAG = "</script><img src=x onerror=alert(1)><b>"
SCENARIO = Path(__file__).parents[2] / "sample_runs" / "lower_leg_oil" / "scenario.toml"


def toml_text(text: str) -> str:
    return json.dumps(text, ensure_ascii=True).replace("\x7f", "\\u007f")


@pytest.fixture
def hostile(tmp_path: Path) -> Path:
    """Return a day that says STEERING wherever text may stand."""
    folder = make_day(tmp_path / "day", ("a", "a", "b", "b"), seconds=12.0)
    file = folder / "ride_day.toml"
    text = file.read_text(encoding="utf-8")
    for old in ("A test day", "Test mule", "setup a", "setup b"):
        text = re.sub(f"[\"']{old}[\"']", lambda _, old=old: toml_text(f"{STEERING}{TAG}{old}"), text)
    text = text.replace('log = "run_1.csv"', f'log = "run_1.csv"\nname = {toml_text("one" + STEERING + TAG)}')
    text = text.replace("[bike]", f"rider = {toml_text(STEERING + TAG)}\ntrail = {toml_text(STEERING + TAG)}\n[bike]")
    file.write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize("command", ["check", "analyse", "compare", "plan"])
@pytest.mark.parametrize("form", [(), ("--json",)])
def test_no_command_prints_what_steers_a_terminal(command: str, form: tuple[str, ...], hostile: Path) -> None:
    ended = done(command, hostile, *form)
    assert ended.returncode == 0, ended.stderr
    assert not UNSAFE.search(ended.stdout + ended.stderr)
    if form:
        assert json.loads(ended.stdout)


def on_a_terminal(arguments: list[str]) -> str:
    """Return what a process writes to a terminal of its own."""
    ours, theirs = pty.openpty()
    process = subprocess.Popen(arguments, stdout=theirs, stderr=theirs, stdin=theirs)
    os.close(theirs)
    told = b""
    try:
        while piece := os.read(ours, 65536):
            told += piece
    except OSError:  # Linux says so when the other side is closed
        pass
    os.close(ours)
    process.wait(timeout=LONGEST_S)
    return told.decode("utf-8")


def test_a_drawn_table_holds_no_steering_of_a_files_own(hostile: Path) -> None:
    told = on_a_terminal([sys.executable, "-c", COMMAND, "analyse", str(hostile)])
    own = re.sub(r"\x1b\[[0-9;]*[mK]", "", told.replace("\r", ""))  # the table's own weight, the progress's own wipe
    assert not UNSAFE.search(own)
    assert "owned" in own
    assert not re.search(r"\x1b\]|\x1b\[2J", told)


DRAWING = """
import sys
from telemetry.cli.tables import show
from telemetry.sheet import table
text = sys.argv[1]
show(table(["Column " + text, "b"], [["Cell " + text, text]], title="Title " + text))
"""


def test_title_columns_and_cells_of_a_drawn_table_are_clean() -> None:
    told = on_a_terminal([sys.executable, "-c", DRAWING, STEERING])
    assert all(word in told for word in ("Title", "Column", "Cell"))
    assert not re.search(r"\x1b\]|\x1b\[2J|\x07|\x9b|\u202e", told)


PROGRESSING = """
import sys, time
from telemetry.cli import progress
progress.QUIET_S = -1.0
with progress.ProgressLine(1) as shown:
    shown(sys.argv[1])
"""


def test_progress_shows_a_clean_name() -> None:
    told = on_a_terminal([sys.executable, "-c", PROGRESSING, STEERING.replace("\x00", "")])
    assert "owned" in told
    assert not UNSAFE.search(told.replace("\r\x1b[2K", ""))


def test_a_plan_and_tables_are_clean(hostile: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan_sheet(plan(read_ride_day(hostile)))
    show(table([STEERING, "b"], [[STEERING, STEERING]], title=STEERING))
    say(STEERING)
    say_json({STEERING: STEERING})
    told = capsys.readouterr().out
    assert "owned" in told
    assert not UNSAFE.search(told)


def test_json_keeps_what_it_says() -> None:
    text = json.dumps({STEERING: [STEERING, "\udcff", "é → 🚵"]}, ensure_ascii=False, indent=1)
    assert json.loads(clean_json(text)) == json.loads(text)
    assert "é → 🚵" in clean_json(text)
    assert not UNSAFE.search(clean_json(text))


def test_half_letters_do_not_stop_a_message() -> None:
    clean_text("run_\udcff.csv").encode("utf-8")


def test_a_file_name_that_is_no_text_is_one_line(tmp_path: Path) -> None:
    ended = done("check", f"{tmp_path}/\udcff\x1b[2J")  # the byte ff, as Python hands on what is no text
    assert ended.returncode == 2
    (line,) = ended.stderr.splitlines()
    assert not UNSAFE.search(line)


def test_a_report_escapes_every_text(hostile: Path) -> None:
    day = read_ride_day(hostile)
    page = render_report(*report_parts(day), names=True)
    assert "onerror=alert(1)" in page
    assert "<img src=x" not in page
    assert "</script><" not in page.replace("</script></body>", "").replace("</script><script", "")


def test_a_report_shows_no_text_that_turns_the_words_around_it(hostile: Path) -> None:
    """Set apart by the Unicode Standard, annex 9 (from memory): such a letter in a label reads 35.1 as 1.53."""
    page = render_report(*report_parts(read_ride_day(hostile)), names=True)
    assert not re.search("[\x1b\x9b\u061c\u202a-\u202e\u2066-\u2069]", page)


def test_no_template_and_no_hover_trusts_a_text() -> None:
    """The one `|safe` is the drawing library's own script, whose data it escapes: the test above looks at it."""
    root = Path(__file__).parents[2] / "dashboards"
    found = [
        (path.name, line.strip())
        for path in root.rglob("*")
        if path.suffix in (".html", ".py", ".js")
        for line in path.read_text(encoding="utf-8").splitlines()
        if re.search(r"\|\s*safe\b|\{safe\}|autoescape\s*=?\s*[fF]alse|innerHTML|insertAdjacentHTML", line)
    ]
    assert found == [("page.html", "{% if drawn %}{{ plot_script|safe }}{% endif %}")]


@pytest.mark.parametrize("name", ["=cmd()", "+1", "-1", "@sum", "\tx", "x\r", "a,b", 'a"b', "\x1b[2J", " "])
def test_no_column_is_a_formula(name: str, tmp_path: Path) -> None:
    import numpy as np

    with pytest.raises(ValueError, match="expected a name without comma"):
        log_text({name: np.zeros(3)}, {name: 0})
    text = SCENARIO.read_text(encoding="utf-8")
    column = re.search(r'^column = "[^"]*"', text, re.MULTILINE)
    assert column is not None
    path = tmp_path / "scenario.toml"
    path.write_text(text.replace(column.group(), f"column = {json.dumps(name)}", 1), encoding="utf-8")
    with pytest.raises(RideDayError, match="logger: found a column named"):
        read_scenario(path)


def test_no_setup_is_a_formula_in_a_file_name(tmp_path: Path) -> None:
    text = SCENARIO.read_text(encoding="utf-8")
    setup = re.search(r"^\[setups\.(\w+)", text, re.MULTILINE)
    assert setup is not None
    path = tmp_path / "scenario.toml"
    path.write_text(text.replace(f"setups.{setup.group(1)}", 'setups."=cmd"'), encoding="utf-8")
    with pytest.raises(RideDayError, match="a setup '=cmd'"):
        read_scenario(path)


def test_progress_is_silent_off_a_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    with ProgressLine(1) as shown:
        shown(STEERING)
    assert capsys.readouterr() == ("", "")


def test_a_simulated_ride_day_writes_codes_for_what_steers() -> None:
    tables = {"ride_day": {"title": STEERING, f"key {STEERING}": [STEERING, {"in line": True}]}}
    text = toml_tables(tables)
    assert not UNSAFE.search(text)
    assert tomllib.loads(text) == tables
