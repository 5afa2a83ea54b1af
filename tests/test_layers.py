"""The house's layers: who may import whom, read from the source itself."""

from __future__ import annotations

import ast
from collections.abc import Callable
from graphlib import TopologicalSorter
from pathlib import Path

ROOT = Path(__file__).parent.parent
STAGES = ("ride_day", "logs", "conditioning", "measures", "trust", "comparison", "planning", "bench")
BENEATH_STAGES = {"errors", "encodings", "units", "words", "model", "mechanics", "files", "trade_words", "languages"}
TOML = ("toml_bounds", "toml_problems", "toml_string", "toml_tables", "looks")
MAY_IMPORT = {
    "errors": set(),
    "encodings": set(),
    "lazily": set(),
    "units": set(),
    "words": set(),
    "trade_words": {"model"},
    "languages": {"model", "words"},
    "looks": set(),
    "toml_string": {"looks"},
    "toml_problems": {"errors", "looks"},
    "toml_bounds": {"toml_problems"},
    "toml_tables": {"model"},
    "sheet": {"errors"},
    "leftovers": set(),
    "short_lived": {"leftovers"},
    "memory": {"errors"},
    "locks": {"errors", "leftovers"},
    "files": {"errors", "leftovers", "locks"},
    "columnar": set(),
    "own_folders": set(),
    "model": {"sheet"},
    "mechanics": {"model", "errors", "units"},
    "statistics": {"model", "words"},
    **dict.fromkeys(STAGES, BENEATH_STAGES),
    "logs": {"errors", "encodings", "words", "trade_words", "memory", "model"},
    "ride_day": BENEATH_STAGES | set(TOML),
    **{stage: {"words", "model", "statistics"} for stage in ("comparison", "planning")},
    "bench": {"model", "mechanics", "dynamics", "errors", "units", "words"},
    "telling": {"words", "sheet", "model", "mechanics", "languages"},
    "library": {"errors", "units", "files", "locks", "leftovers", "own_folders", "model"},
    "pipeline": {"errors", "units", "words", "files", "memory", "model", "mechanics", "telling", "columnar", "library"}
    | {"own_folders", "short_lived"}
    | set(STAGES),
    "dynamics": {"units", "model", "mechanics"},
    "simulation": {"errors", "units", "words", "files", "model", "mechanics", "dynamics", *TOML},
    "cli": {"errors", "units", "words", "memory", "files", "model", "pipeline", "simulation"}
    | {"ride_day", "sheet", "telling", "library", "languages"},
    "__main__": {"cli"},
}
PAGES_FROM_COMMANDS = {"cli"}
"""Packages that may import `dashboards`."""
IN_WORDS = {"telemetry.model", "telemetry.telling", "telemetry.words", "telemetry.languages"}
PAGES_MAY_IMPORT = {
    "theme": {"telemetry.errors"},
    "policy": set(),
    "templating": {"telemetry.__version__", "telemetry.errors", "telemetry.words", "dashboards.theme"},
    "figures": IN_WORDS | {"telemetry.sheet", "dashboards.theme"},  # they draw; they don't measure
    "placing": {"telemetry.sheet", "dashboards.figures"},
    "content": IN_WORDS
    | {
        "telemetry.library",
        "telemetry.measures",
        "telemetry.pipeline",
        "telemetry.sheet",
        "dashboards.figures",
        "dashboards.theme",
    },
    "pages": IN_WORDS
    | {f"telemetry.{name}" for name in ("errors", "library", "pipeline", "ride_day", "sheet")}
    | {f"dashboards.{name}" for name in ("content", "figures", "theme")},
    "notebook": IN_WORDS
    | {f"dashboards.{name}" for name in ("content", "figures", "templating", "theme")}
    | {"telemetry.errors", "telemetry.pipeline"},
    "report": IN_WORDS
    | {f"dashboards.{name}" for name in ("content", "figures", "placing", "policy", "templating", "theme")}
    | {"telemetry.__version__", "telemetry.errors", "telemetry.pipeline", "telemetry.short_lived"},
    "serving": IN_WORDS
    | {f"dashboards.{name}" for name in ("content", "figures", "pages", "placing", "policy", "templating", "theme")}
    | {f"telemetry.{name}" for name in ("errors", "files", "library", "pipeline", "ride_day", "short_lived")},
}


def modules(package: str = "telemetry") -> list[Path]:
    return sorted(path for path in (ROOT / package).rglob("*.py") if path != ROOT / package / "__init__.py")


ALL = modules() + modules("dashboards")
LONGEST = 400
"""Lines of a file: past that it is two ideas."""


def imported(path: Path) -> set[str]:
    """Return full names of the modules a file imports; straight from `telemetry` or `dashboards`, of what it takes."""
    whole = {"telemetry", "dashboards"}
    return {f"{name}.{part}" if name in whole and part else name for name, part in taken(path)}


def reached(path: Path, known: set[str]) -> set[str]:
    """Return those of the `known` modules that a file imports, whole or something of them."""
    names = {f"{name}.{part}" if f"{name}.{part}" in known else name for name, part in taken(path)}
    return names & known


def taken(path: Path) -> set[tuple[str, str]]:
    """Return all that a file imports: a module's full name, and what is taken of it; empty for the module itself."""
    package = path.relative_to(ROOT).with_suffix("").parts
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {(alias.name, "") for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(package[: len(package) - node.level]) if node.level else ""
            name = ".".join(filter(None, [base, node.module or ""]))
            found |= {(name, alias.name) for alias in node.names}
    return found


def home(path: Path) -> str:
    return path.relative_to(ROOT).with_suffix("").parts[1]


def of_ours(path: Path) -> set[str]:
    """Return the packages of ours a file imports, two names deep, its own left out."""
    own = ".".join(path.relative_to(ROOT).with_suffix("").parts[:2])
    names = {".".join(name.split(".")[:2]) for name in imported(path) if name.startswith(("telemetry", "dashboards"))}
    return names - {own}


def beyond(folder: str, reached: Callable[[Path], set[str]]) -> dict[str, set[str]]:
    """Return what each module of a folder imports that it may not; modules that keep to it are left out."""
    found = {str(path.relative_to(ROOT)): reached(path) for path in modules(folder)}
    return {name: beyond for name, beyond in found.items() if beyond}


def test_a_module_imports_only_the_layers_beneath_it() -> None:
    def reached(path: Path) -> set[str]:
        allowed = {f"telemetry.{name}" for name in {"__version__", "lazily", *MAY_IMPORT[home(path)]}}
        return {name for name in of_ours(path) if name.startswith("telemetry")} - allowed

    assert beyond("telemetry", reached) == {}


def test_only_commands_know_the_pages_and_nobody_knows_bokeh() -> None:
    def reached(path: Path) -> set[str]:
        barred = {"bokeh"} if home(path) in PAGES_FROM_COMMANDS else {"bokeh", "dashboards"}
        return barred & {name.split(".")[0] for name in imported(path)}

    assert beyond("telemetry", reached) == {}


def test_a_part_of_the_pages_imports_only_what_it_lays_out() -> None:
    assert beyond("dashboards", lambda path: of_ours(path) - PAGES_MAY_IMPORT[home(path)]) == {}


def test_every_layer_is_listed() -> None:
    assert {home(path) for path in modules()} == set(MAY_IMPORT)
    assert {home(path) for path in modules("dashboards")} == set(PAGES_MAY_IMPORT)


def test_no_file_holds_two_ideas() -> None:
    lines = {str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines()) for path in ALL}
    assert {name: count for name, count in lines.items() if count > LONGEST} == {}


def test_no_module_needs_itself() -> None:
    files = {".".join(path.relative_to(ROOT).with_suffix("").parts): path for path in ALL}
    known = {name.removesuffix(".__init__") for name in files}
    needs = {name.removesuffix(".__init__"): reached(path, known) for name, path in files.items()}
    assert len(tuple(TopologicalSorter(needs).static_order())) == len(known)  # refuses a circle, and names it
