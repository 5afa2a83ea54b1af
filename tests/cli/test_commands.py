"""The commands as a person and a program use them: real processes, real files."""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pytest

from tests.cli.run_here import Done, commanded
from tests.forked import LONGEST_S
from tests.pipeline.small_days import make_day

RUN = [sys.executable, "-c", "from telemetry.cli import main; main()"]


@pytest.fixture(autouse=True)
def _as_people_run_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("TELEMETRY_TRACEBACK", raising=False)


def assert_refused(done: Done, *words: str) -> None:
    assert done.returncode == 2, done.stderr
    lines = done.stderr.splitlines()
    assert len(lines) == 1
    assert "Traceback" not in done.stderr
    for word in words:
        assert word in lines[0]


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_day(tmp_path_factory.mktemp("day"), ("a", "b", "b", "a"), deeper_mm={"b": 9.0})


@pytest.mark.parametrize(
    "command", [(), ("new",), ("check",), ("analyse",), ("compare",), ("plan",), ("bench",), ("report",), ("export",)]
)
def test_help_shows_an_example(command: Sequence[str]) -> None:
    done = commanded(*command, "--help")
    assert done.returncode == 0
    assert "Example: telemetry" in done.stdout


def test_module_is_the_command() -> None:
    said = subprocess.run([sys.executable, "-m", "telemetry", "--version"], capture_output=True, text=True, check=True)
    assert said.stdout == commanded("--version").stdout


def test_version() -> None:
    assert commanded("--version").stdout.startswith("telemetry ")


@pytest.mark.parametrize("given", ["folder", "file"])
def test_a_ride_day_is_the_folder_or_the_file(day: Path, given: str) -> None:
    done = commanded("analyse", day if given == "folder" else day / "ride_day.toml", "--json")
    assert done.returncode == 0
    assert done.stderr == ""
    answer = json.loads(done.stdout)
    assert [run["run"] for run in answer["runs"]] == ["run_1", "run_2", "run_3", "run_4"]
    assert {"ride_day", "conditioning", "runs", "static"} == set(answer)


def test_json_is_standard_output_alone(day: Path) -> None:
    for command in ("check", "analyse", "compare", "plan", "bench"):
        done = commanded(command, day, "--json")
        assert json.loads(done.stdout)["ride_day"] == "A test day"
        assert done.stderr == ""


def test_check_tells_good_with_care_or_ride_again(day: Path) -> None:
    runs = json.loads(commanded("check", day, "--json").stdout)["runs"]
    assert {run["usable"] for run in runs} <= {"good", "with care", "ride again"}
    shown = commanded("check", day).stdout
    assert "run_1 (a): " in shown
    named = re.findall(r"run_\d", shown.splitlines()[-1])
    assert sorted(named) == ["run_1", "run_2", "run_3", "run_4"]


def test_compare_fits_a_screen(day: Path) -> None:
    lines = commanded("compare", day).stdout.splitlines()
    assert lines[0].startswith("Setup b against setup a: ")
    head = next(place for place, line in enumerate(lines) if line.startswith("measure "))
    rows = lines[head : lines.index("", head)]
    assert rows[0].split() == ["measure", "before", "after", "difference", "between", "verdict"]
    assert max(map(len, rows)) <= 100
    assert len(lines) <= 50
    assert [row for row in rows if row.endswith(":")] == ["Rear:", "Front:", "Front against rear, whole bike:"]
    sag = next(row for row in rows[rows.index("Front:") :] if row.startswith("Dynamic sag, %"))
    assert re.search(r"\+\d\.\d points +\+\d\.\d to \+\d+\.\d \([\d.]+ %\) +changed$", sag)
    assert sum(line.startswith("How the signal was cleaned: ") for line in lines) == 1
    assert not any(line.startswith("  Start and end") for line in lines)
    assert "--full" in lines[-1]


def test_compare_in_full_says_the_finding_first_and_how_it_was_cleaned_last(day: Path) -> None:
    lines = commanded("compare", day, "--full").stdout.splitlines()
    assert lines[0].startswith("Setup b against setup a: ")  # put on once: no cause is named
    last = ["How the signal was cleaned", "  Front", "  Rear", "  Start and end"]
    assert [line.split(":")[0] for line in lines[-4:]] == last
    assert any(line.startswith("Trail sections: 8 equal shares of riding time. Put on: ") for line in lines)
    assert any("between" in line and "Changed" in line for line in lines)


def test_check_prints_what_asks_for_nothing_only_with_notes(day: Path) -> None:
    def noted(*options: str) -> tuple[set[str], str]:
        said = commanded("check", day, *options).stdout
        return set(re.findall(r"note (\w+):", said)), said

    short, said = noted()
    every, told = noted("--notes")
    assert every >= short
    assert "nothing to do" not in re.sub(r"(?m)^\d+ notes? on which.*$", "", said)
    assert "--notes" not in told


def test_compare_takes_a_baseline_and_candidates(day: Path) -> None:
    answer = json.loads(commanded("compare", day, "--baseline", "b", "--candidate", "a", "--json").stdout)
    assert (answer["baseline"], answer["candidates"]) == ("b", ["a"])
    assert_refused(commanded("compare", day, "--candidate", "nothing"), "nothing", "one of a, b")


def test_plan_says_what_to_ride_first_and_how_to_prepare_last(day: Path) -> None:
    text = commanded("plan", day, "--runs", "4").stdout
    lines = text.splitlines()
    assert lines[0] == "A test day: A setup a, B setup b"
    assert "With what can be afforded ride 4 of each in rounds: A B B A B A A B; 5 change-overs" in text
    for words in (
        "A B B A A B",
        "Both wheels lifted for 5 s",
        "sighting run",
        "5 min",
        "Three pushes",
        "Open both alike",
    ):
        assert words in text
    assert "don't open it" in text
    assert "4 runs of this day" in text


def test_plan_takes_a_day_without_runs(tmp_path: Path) -> None:
    setups = '[setups.a]\n[setups.b]\nbased_on = "a"\n[plan]\nspread = { dynamic_sag = 0.6 }\n'
    folder = make_day(tmp_path / "none", (), extra=setups)
    text = commanded("plan", folder).stdout
    assert "0.60 points" in text
    assert "stated" in text
    assert "Not planned (no spread" in text
    assert json.loads(commanded("plan", folder, "--json").stdout)["order"][0] == "a"


def test_piped_tables_are_plain(day: Path) -> None:
    text = commanded("analyse", day).stdout
    assert "\x1b" not in text
    assert "│" not in text
    assert "Dynamic sag " in text


def test_report_writes_one_file_and_says_so(day: Path, tmp_path: Path) -> None:
    out = tmp_path / "page.html"
    done = commanded("report", day, "--out", out)
    assert done.returncode == 0
    assert str(out) in done.stdout
    assert out.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert [file.name for file in tmp_path.iterdir()] == ["page.html"]


def test_the_customers_page_speaks_the_language_asked_for_else_the_shops(day: Path, tmp_path: Path) -> None:
    spoken = tmp_path / "day"
    shutil.copytree(day, spoken)
    with (spoken / "ride_day.toml").open("a", encoding="utf-8") as file:
        file.write('\n[shop]\nlanguage = "de"\n')
    out = tmp_path / "customer.html"

    def language_of(*words: object) -> str:
        assert commanded("report", *words, "--out", out).returncode == 0
        return out.read_text(encoding="utf-8").partition('<html lang="')[2][:2]

    assert language_of(spoken, "--for", "customer") == "de"
    assert language_of(spoken, "--for", "customer", "--language", "en") == "en"
    assert language_of(day, "--for", "customer") == "en"
    assert language_of(spoken) == "en"


def test_a_language_that_is_not_there_is_refused_in_one_line(day: Path, tmp_path: Path) -> None:
    out = tmp_path / "customer.html"
    asked = commanded("report", day, "--for", "customer", "--language", "../de", "--out", out)
    assert_refused(asked, "--language", "one of en, de")
    assert_refused(commanded("report", day, "--language", "de", "--out", out), "--language", "in English alone")
    assert not out.exists()
    wrong = tmp_path / "day"
    shutil.copytree(day, wrong)
    with (wrong / "ride_day.toml").open("a", encoding="utf-8") as file:
        file.write('\n[shop]\nlanguage = "dx"\n')
    assert_refused(commanded("check", wrong), "shop.language", "a language there is")


def test_a_report_for_the_customer_leaves_the_evidence_out(day: Path, tmp_path: Path) -> None:
    out = tmp_path / "page.html"
    assert commanded("report", day, "--for", "customer", "--out", out).returncode == 0
    page = out.read_text(encoding="utf-8")
    assert "What was done" in page
    assert "How is the travel used?" not in page
    assert len(page) < 100_000


class TestWrongCalls:
    """Each gets exit 2 and exactly one line that says what to mend; nothing is written."""

    def test_an_out_folder_that_is_not_there(self, day: Path, tmp_path: Path) -> None:
        assert_refused(commanded("report", day, "--out", tmp_path / "no" / "r.html"), "no folder", "Make it first")

    def test_out_is_a_folder(self, day: Path, tmp_path: Path) -> None:
        assert_refused(commanded("report", day, "--out", tmp_path), "a folder")

    def test_no_such_ride_day(self, tmp_path: Path) -> None:
        assert_refused(commanded("analyse", tmp_path / "gone"), "gone")

    def test_a_folder_without_a_ride_day(self, tmp_path: Path) -> None:
        assert_refused(commanded("check", tmp_path), "ride_day.toml", "telemetry new")

    def test_an_unknown_command(self) -> None:
        assert_refused(commanded("frobnicate"), "frobnicate")

    def test_an_unknown_option(self, day: Path) -> None:
        assert_refused(commanded("analyse", day, "--fast"), "--fast")

    def test_a_typo_in_a_key_is_named_with_the_nearest(self, tmp_path: Path) -> None:
        folder = make_day(tmp_path / "typo", ("a",), seconds=2)
        file = folder / "ride_day.toml"
        file.write_text(file.read_text().replace("wheelbase_mm", "wheelbse_mm"))
        done = commanded("check", folder)
        assert_refused(done, "bike.wheelbse_mm", "wheelbase_mm")
        assert "bike.wheelbse_mm" in done.stdout
        answer = json.loads(commanded("check", folder, "--json").stdout)
        assert answer["errors"][0]["key"] == "bike.wheelbse_mm"

    def test_a_missing_column_is_named_with_the_nearest(self, tmp_path: Path) -> None:
        folder = make_day(tmp_path / "column", ("a",), seconds=2)
        file = folder / "ride_day.toml"
        file.write_text(file.read_text().replace('column = "A0"', 'column = "A_0"'))
        assert_refused(commanded("analyse", folder), "run_1.csv", "'A_0'", "'A0'")

    def test_every_run_unusable_is_wrong_input_but_not_for_check(self, tmp_path: Path) -> None:
        folder = make_day(tmp_path / "short", ("a",), seconds=3)
        assert_refused(commanded("analyse", folder), "no usable run")
        assert commanded("check", folder).returncode == 0

    def test_a_log_that_cant_be_read_keeps_check_from_telling_of_no_other(self, tmp_path: Path) -> None:
        folder = make_day(tmp_path / "broken", ("a", "b", "a"), seconds=20)
        (folder / "run_2.csv").write_bytes(b"")
        done = commanded("check", folder)
        assert_refused(done, "run_2.csv: found an empty file")
        assert "run_3 (a): " in done.stdout
        assert (
            "run_2 (b): can't be read\n  ✗ error log_unreadable: run_2: its log can't be read: run_2.csv: found an"
            in (done.stdout)
        )
        assert done.stdout.splitlines()[-1].endswith("; can't be read: run_2")
        done = commanded("check", folder, "--json")
        assert done.returncode == 2
        assert [run["usable"] for run in json.loads(done.stdout)["runs"]][1] == "ride again"

    def test_one_setup_cannot_be_compared(self, tmp_path: Path) -> None:
        assert_refused(commanded("compare", make_day(tmp_path / "one", ("a", "a"))), "one setup")

    def test_a_plan_needs_two_setups_and_two_runs_of_each(self, day: Path, tmp_path: Path) -> None:
        assert_refused(commanded("plan", make_day(tmp_path / "one", ("a", "a"))), "one setup", "two setups")
        assert_refused(commanded("plan", day, "--runs", "1"), "runs = 1", "2 to 30")
        assert_refused(commanded("plan", day, "--runs", "few"), "few")

    def test_a_day_without_runs_and_recordings(self, tmp_path: Path) -> None:
        folder = make_day(tmp_path / "none", ())
        assert_refused(commanded("analyse", folder), "no runs", "recordings off the trail")
        assert commanded("check", folder).returncode == 0


class TestNew:
    """`new` drafts a day and never overwrites one."""

    def test_it_lists_columns_and_writes_a_draft(self, tmp_path: Path) -> None:
        folder = make_day(tmp_path / "logs", ("a", "b"), seconds=20)
        (folder / "ride_day.toml").unlink()
        done = commanded("new", folder)
        assert done.returncode == 0
        assert "A0" in done.stdout
        assert (folder / "ride_day.toml").exists()
        assert_refused(commanded("check", folder))

    def test_it_never_overwrites(self, day: Path) -> None:
        before = (day / "ride_day.toml").read_bytes()
        assert_refused(commanded("new", day), "already")
        assert (day / "ride_day.toml").read_bytes() == before

    def test_no_readable_log_writes_nothing(self, tmp_path: Path) -> None:
        (tmp_path / "run.csv").write_bytes(b"\x00\x01\x02" * 500)
        assert_refused(commanded("new", tmp_path), "no log")
        assert [file.name for file in tmp_path.iterdir()] == ["run.csv"]


def test_a_name_that_is_no_text_is_told_of(tmp_path: Path) -> None:
    folder = make_day(tmp_path / "logs", ("a",), seconds=20)
    (folder / "ride_day.toml").unlink()
    shutil.copy(os.fsencode(folder / "run_1.csv"), os.fsencode(folder) + b"/run_\xff.csv")
    done = commanded("new", folder)
    assert done.returncode == 0
    assert "not taken: run_\ufffd.csv: found a name that isn't text" in done.stdout


def test_a_real_process_refuses_on_one_line_with_exit_2(tmp_path: Path) -> None:
    done = subprocess.run([*RUN, "analyse", str(tmp_path / "gone")], capture_output=True, text=True, check=False)
    assert_refused(Done(done.returncode, done.stdout, done.stderr), "gone")


@pytest.mark.parametrize(("shell", "code"), [("{} | head -1", 0), ("{} >&-", 0), ("{} 2>&-", 0), ("{} >&- 2>&-", 0)])
def test_an_output_that_nobody_reads_is_no_fault(day: Path, shell: str, code: int) -> None:
    command = shlex.join([*RUN, "check", str(day)])
    script = f"set -o pipefail; {shell.format(command)}"
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (code, "")


def test_ctrl_c_leaves_no_half_file(day: Path, tmp_path: Path) -> None:
    out = tmp_path / "page.html"
    begun = [sys.executable, "-c", "from telemetry.cli import main; print('begun', flush=True); main()"]
    process = subprocess.Popen(
        [*begun, "report", str(day), "--out", str(out)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "begun\n"
    time.sleep(0.5)
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=LONGEST_S)
    assert errors.strip() in ("", "telemetry: stopped; nothing half-written is left")
    left = [file.name for file in tmp_path.iterdir()]
    assert left in ([], ["page.html"])
    if left:
        assert out.read_text(encoding="utf-8").rstrip().endswith("</html>")


def test_commands_answer_for_help_without_heavy_libraries() -> None:
    code = (
        "import sys\nfrom telemetry.cli import main\n"
        "try: main(['--help'])\nexcept SystemExit: pass\n"
        "assert not {'numpy', 'pandas', 'scipy', 'bokeh', 'pydantic', 'rich'} & set(sys.modules)\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, capture_output=True)


def test_importing_the_package_loads_nothing_heavy() -> None:
    code = "import sys, telemetry\nassert not {'numpy', 'pandas', 'scipy', 'bokeh', 'pydantic'} & set(sys.modules)\n"
    subprocess.run([sys.executable, "-c", code], check=True, capture_output=True)


def test_a_check_loads_nothing_that_only_others_need(tmp_path: Path) -> None:
    day = make_day(tmp_path / "day", ("a",), seconds=5.0)
    code = (
        "import sys\nfrom telemetry.cli import main\n"
        "try: main(['check', sys.argv[1]])\nexcept SystemExit: pass\n"
        "libraries = {'pandas', 'bokeh', 'jinja2', 'tomlkit', 'imufusion', 'numba', 'dask', 'distributed'}\n"
        "ours = {'comparison', 'planning', 'simulation', 'ride_day.edits', 'ride_day.draft', 'logs.sketch'}\n"
        "ours |= {'measures.family', 'measures.pictured', 'conditioning.inertial.cleaner', 'model.plan'}\n"
        "print(sorted((libraries | {f'telemetry.{name}' for name in ours}) & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code, str(day)], check=True, capture_output=True, text=True)
    assert done.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize("command", [("simulate", "scenario.toml", "--out", "made"), ("predict", ".")])
def test_what_moves_a_bike_says_which_extra_it_takes(tmp_path: Path, command: tuple[str, ...]) -> None:
    sample = Path(__file__).parents[2] / "sample_runs" / "lower_leg_oil"
    lacking = "import sys; sys.modules['numba'] = None; from telemetry.cli import main; main()"
    name, given, *rest = command
    rest = [one if one.startswith("-") else str(tmp_path / one) for one in rest]
    call = [sys.executable, "-c", lacking, name, str(sample / given), *rest]
    done = subprocess.run(call, capture_output=True, text=True, check=False)
    assert_refused(Done(returncode=done.returncode, stdout=done.stdout, stderr=done.stderr), "numba", ".[simulate]")
    assert not (tmp_path / "made").exists()


def test_a_report_comes_without_what_takes_an_extra_unless_that_is_asked_for(tmp_path: Path) -> None:
    sample = Path(__file__).parents[2] / "sample_runs" / "lower_leg_oil"
    lacking = "import sys; sys.modules['numba'] = None; from telemetry.cli import main; main()"
    call = [sys.executable, "-c", lacking, "report", str(sample), "--out", str(tmp_path / "report.html")]
    asked = subprocess.run([*call, "--predict"], capture_output=True, text=True, check=False)
    assert_refused(Done(returncode=asked.returncode, stdout=asked.stdout, stderr=asked.stderr), "numba", ".[simulate]")
    done = subprocess.run(call, capture_output=True, text=True, check=False)
    assert (done.returncode, (tmp_path / "report.html").is_file()) == (0, True)
    assert "without what the change should have done: riding on paper: found no numba" in done.stdout


def test_parts_that_cant_be_are_told_beside_what_was_measured(tmp_path: Path) -> None:
    """`check` refuses a chainstay as long as the bike; nothing measured rests on it, and it is said."""
    day = make_day(tmp_path / "day", "ab", seconds=20.0, extra="[bike.geometry]\nchainstay_mm = 1240\n")
    for command in ("analyse", "compare", "report"):
        done = commanded(command, day)
        assert done.returncode == 0
        assert done.stdout
        assert "chainstay_mm: found 1240 mm" in done.stderr
        assert done.stderr.count("telemetry: ") == 1
    assert "What do the parts do" not in (day / "report.html").read_text(encoding="utf-8")
    assert commanded("check", day).returncode == 2
