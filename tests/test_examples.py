"""Examples in docstrings and in the handbook give what they show; those of a ride day run on the sample day."""

from __future__ import annotations

import doctest
import re
import runpy
from importlib import import_module
from pathlib import Path

import pytest

import dashboards

ROOT = Path(__file__).parents[1]
SHOWING = [
    path.relative_to(ROOT)
    for package in ("telemetry", "dashboards")
    for path in sorted((ROOT / package).rglob("*.py"))
    if ">>>" in path.read_text(encoding="utf-8")
]


@pytest.mark.parametrize("path", SHOWING, ids=str)
def test_examples_give_what_they_show(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    assert "+SKIP" not in (ROOT / path).read_text(encoding="utf-8")
    parts = path.with_suffix("").parts
    module = import_module(".".join(parts[:-1] if parts[-1] == "__init__" else parts))
    failed, tried = doctest.testmod(module, optionflags=doctest.NORMALIZE_WHITESPACE)
    assert (failed, tried > 0) == (0, True)


NUMBER = re.compile(r"(?<![A-Za-z_\d])[-+]?\d+(?:\.\d+)?")
IN_THE_HANDBOOK = [path for path in sorted((ROOT / "docs").glob("*.md")) if ">>>" in path.read_text(encoding="utf-8")]
GALLERY = sorted((ROOT / "docs" / "gallery").glob("*.py"))
LONGEST = 45
"""Lines of a script that is to be read at a glance."""


class _Nearly(doctest.OutputChecker):
    """Holds words together as they are, and numbers to a twentieth: a sample day made anew tells the same story."""

    def check_output(self, want: str, got: str, optionflags: int) -> bool:
        wanted, found = ([float(number) for number in NUMBER.findall(text)] for text in (want, got))
        words = (NUMBER.sub("#", text) for text in (want, got))
        return super().check_output(*words, optionflags) and found == pytest.approx(wanted, rel=0.05, abs=0.1)


@pytest.mark.parametrize("path", IN_THE_HANDBOOK, ids=lambda path: path.name)
def test_examples_of_the_handbook_give_what_they_show(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    text = path.read_text(encoding="utf-8").replace("```", "")
    examples = doctest.DocTestParser().get_doctest(text, {}, path.name, str(path), 0)
    runner = doctest.DocTestRunner(checker=_Nearly(), optionflags=doctest.NORMALIZE_WHITESPACE)
    failed, tried = runner.run(examples)
    assert (failed, tried > 0) == (0, True)


@pytest.mark.parametrize("path", GALLERY, ids=lambda path: path.name)
def test_a_script_of_the_gallery_answers_its_question(
    path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    told = runpy.run_path(str(path), run_name="__main__")
    question = str(told["__doc__"]).partition("?")[0] + "?"
    assert f"| [{path.name}](gallery/{path.name}) | {question} |" in (ROOT / "docs" / "notebook.md").read_text("utf-8")
    assert capsys.readouterr().out.count("\n") > 1
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST


def test_every_figure_is_told_of_in_the_handbook() -> None:
    text = (ROOT / "docs" / "notebook.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| ((?:`\w+`(?:, )?)+) \|", text, re.MULTILINE)
    assert sorted(name for row in rows for name in re.findall(r"`(\w+)`", row)) == sorted(dashboards.FIGURES)
