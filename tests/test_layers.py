"""The house's layers: who may import whom, read from the source itself."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
STAGES = ("ride_day", "logs", "conditioning", "measures", "trust", "comparison", "planning")
BENEATH_STAGES = {"errors", "encodings", "units", "words", "model", "mechanics", "files"}
TOML = ("toml_bounds", "toml_problems", "toml_string", "looks")
MAY_IMPORT = {
    "errors": set(),
    "encodings": set(),
    "units": set(),
    "words": set(),
    "looks": set(),
    "toml_string": {"looks"},
    "toml_problems": {"errors", "looks"},
    "toml_bounds": {"toml_problems"},
    "sheet": {"errors"},
    "leftovers": set(),
    "memory": set(),
    "locks": {"errors", "leftovers"},
    "files": {"errors", "leftovers", "locks"},
    "model": {"model", "sheet"},
    "mechanics": {"model", "mechanics", "errors", "units"},
    "statistics": {"model", "words", "statistics"},
    **{stage: BENEATH_STAGES | {stage} for stage in STAGES},
    "logs": {"errors", "encodings", "words", "memory", "model", "logs"},
    "ride_day": BENEATH_STAGES | {"ride_day", *TOML},
    **{stage: {"words", "model", "statistics", stage} for stage in ("comparison", "planning")},
    "telling": {"words", "sheet", "model", "mechanics", "telling"},
    "pipeline": {"errors", "units", "words", "files", "model", "mechanics", "pipeline", "telling", *STAGES},
    "simulation": {"errors", "units", "words", "files", "model", "mechanics", "simulation", *TOML},
    "cli": {"errors", "units", "words", "memory", "files", "model", "pipeline", "simulation"}
    | {"cli", "ride_day", "sheet", "telling"},
}
PAGES_FROM_COMMANDS = {"cli"}


def modules() -> list[Path]:
    return sorted(path for path in (ROOT / "telemetry").rglob("*.py") if path != ROOT / "telemetry" / "__init__.py")


def imported(path: Path) -> set[str]:
    """Return full names of the modules a file imports."""
    package = path.relative_to(ROOT).with_suffix("").parts
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(package[: len(package) - node.level]) if node.level else ""
            name = ".".join(filter(None, [base, node.module or ""]))
            names = {f"{name}.{alias.name}" for alias in node.names} if name == "telemetry" else {name}
            found |= names
    return found


def home(path: Path) -> str:
    return path.relative_to(ROOT / "telemetry").with_suffix("").parts[0]


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(ROOT)))
def test_a_module_imports_only_the_layers_beneath_it(path: Path) -> None:
    allowed = MAY_IMPORT[home(path)]
    reached = {name.split(".")[1] for name in imported(path) if name.startswith("telemetry.")}
    assert reached - {"__version__"} <= allowed


@pytest.mark.parametrize("path", modules(), ids=lambda path: str(path.relative_to(ROOT)))
def test_only_commands_know_the_pages_and_nobody_knows_bokeh(path: Path) -> None:
    roots = {name.split(".")[0] for name in imported(path)}
    assert "bokeh" not in roots
    assert "dashboards" not in roots or home(path) in PAGES_FROM_COMMANDS


def test_every_layer_is_listed() -> None:
    assert {home(path) for path in modules()} == set(MAY_IMPORT)
