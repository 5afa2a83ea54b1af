"""Which tests are the nearest to a module: of its name, importing it, speaking of what it states, of its folder."""

from __future__ import annotations

import ast
import re
from pathlib import Path

BESIDE = {"telemetry/conditioning/broken_contact.py": ("trust",)}
"""Folders besides the module's own that hold tests of it: what it finds is told of with the rest of trust."""
NEAR = ("conditioning", "measures", "trust", "comparison", "mechanics", "properties", "dashboards", "pipeline", "logs")
"""Folders whose tests are taken because they import a module; elsewhere whole commands are run."""
LONG = ("test_error_rates.py",)
"""Taken only where all are: hundreds of made days take minutes, and what they hold is told closer by others."""


def _stated(text: str) -> list[str]:
    """Return the public names of functions and classes that a module states."""
    kinds = (ast.FunctionDef, ast.ClassDef)
    return [node.name for node in ast.parse(text).body if isinstance(node, kinds) and not node.name.startswith("_")]


def nearest_tests(root: Path, module: str, *, near: bool = False) -> tuple[str, ...]:
    """Return the nearest test files, the nearest first.

    Parameters
    ----------
    root : Path
        The checkout.
    module : str
        As in "telemetry/measures/bounce.py".
    near : bool
        Leave out those of its folder that neither have its name, nor import it, nor speak of what it states (a package
        may offer that in its own name), where any do.
    """
    path = Path(module)
    tests = root / "tests"
    inside = path.parts[1:-1]
    folders = [tests.joinpath(*inside[:depth]) for depth in range(len(inside), 0, -1)]
    own = [test for folder in folders for test in sorted(folder.glob("test_*.py"))]
    imported = re.compile(rf"(from|import) {re.escape('.'.join(path.with_suffix('').parts))}\b")
    importing = [
        test
        for folder in NEAR
        for test in sorted((tests / folder).rglob("test_*.py"))
        if imported.search(test.read_text(encoding="utf-8"))
    ]
    beside = [test for folder in BESIDE.get(module, ()) for test in sorted((tests / folder).glob("test_*.py"))]
    named = [test for test in own if path.stem in test.stem]
    spoken = re.compile(rf"\b({'|'.join(_stated((root / module).read_text(encoding='utf-8'))) or '(?!)'})\b")
    speaking = [test for test in own if test.name not in LONG and spoken.search(test.read_text(encoding="utf-8"))]
    closest = [*named, *importing, *speaking]
    far = () if near and closest else (*own, *beside)
    return tuple(dict.fromkeys(str(test.relative_to(root)) for test in (*closest, *far)))
