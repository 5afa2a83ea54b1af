"""Examples in docstrings give what they show; those of a ride day run on the sample day, from the checkout."""

from __future__ import annotations

import doctest
from importlib import import_module
from pathlib import Path

import pytest

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
