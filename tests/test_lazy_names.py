"""Packages whose names load late: what type checkers read is what loads, and no name hides behind a module's."""

from __future__ import annotations

import ast
from importlib import import_module
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGES = [
    ".".join(path.parent.relative_to(ROOT).parts)
    for whole in ("telemetry", "dashboards")
    for path in sorted((ROOT / whole).rglob("__init__.py"))
    if "_HOMES" in path.read_text(encoding="utf-8")
]


def for_type_checkers(package: str) -> dict[str, set[str]]:
    """Return what is imported only for type checkers, by the module it stands in."""
    source = ast.parse((ROOT / package.replace(".", "/") / "__init__.py").read_text(encoding="utf-8"))
    never_run = next(
        node for node in source.body if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
    )
    imports = [node for node in never_run.body if isinstance(node, ast.ImportFrom)]
    return {node.module or "": {alias.name for alias in node.names} for node in imports}


@pytest.mark.parametrize("package", PACKAGES)
def test_names_that_load_late_are_those_that_type_checkers_read(package: str) -> None:
    homes = import_module(package)._HOMES
    assert {home: set(names.split()) for home, names in homes.items()} == for_type_checkers(package)


@pytest.mark.parametrize("package", PACKAGES)
def test_names_that_load_late_are_their_modules(package: str) -> None:
    whole = import_module(package)
    for home, names in whole._HOMES.items():
        own = import_module(f"{package}.{home}")
        for name in names.split():
            assert getattr(whole, name) is getattr(own, name), f"{name} is a module of {package}, too: rename one"


@pytest.mark.parametrize("package", PACKAGES)
def test_no_name_that_loads_late_is_a_modules_too(package: str) -> None:
    folder = ROOT / package.replace(".", "/")
    modules = {path.stem for path in folder.iterdir()}
    names = {name for names in import_module(package)._HOMES.values() for name in names.split()}
    assert names & modules == set(), "a module once imported hides what loads by its name"


def test_a_name_that_no_module_holds_is_told() -> None:
    with pytest.raises(AttributeError, match=r"module 'telemetry.pipeline' has no attribute 'conclude'"):
        import_module("telemetry.pipeline").conclude  # noqa: B018
