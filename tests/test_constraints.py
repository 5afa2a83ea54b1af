"""What is imported is declared, and the versions that passed together are those the bounds allow."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
NEEDED = [Requirement(text) for text in PROJECT["dependencies"]]
EXTRAS = {
    name: [item for item in map(Requirement, lines) if item.name != PROJECT["name"]]
    for name, lines in PROJECT["optional-dependencies"].items()
}
ONLY_IN = {
    "telemetry/dynamics": "simulate",
    "telemetry/pipeline/on_cluster.py": "cluster",
    "telemetry/pipeline/originals.py": "cluster",
}
"""Packages and modules that take an extra."""
LINES = (ROOT / ".ci" / "constraints.txt").read_text(encoding="ascii").splitlines()
OVERRIDDEN = ("bokeh", "tornado", "tomlkit", "pydantic", "click")
OWN = {"telemetry", "dashboards"}


def pinned() -> dict[str, str]:
    return {canonicalize_name(name): version for name, version in (line.split("==") for line in LINES)}


def test_each_line_is_a_name_and_a_version() -> None:
    assert [line for line in LINES if not re.fullmatch(r"[A-Za-z0-9._-]+==[0-9][A-Za-z0-9.+!-]*", line)] == []
    assert len(pinned()) == len(LINES) > len(NEEDED)


@pytest.mark.parametrize(
    "requirement", [*NEEDED, *(item for extra in EXTRAS.values() for item in extra)], ids=lambda item: item.name
)
def test_what_is_declared_is_pinned_within_its_bounds(requirement: Requirement) -> None:
    assert requirement.specifier.contains(pinned()[canonicalize_name(requirement.name)])


@pytest.mark.parametrize("name", OVERRIDDEN)
def test_what_is_overridden_has_an_upper_bound(name: str) -> None:
    (found,) = (item for item in NEEDED if item.name == name)
    assert any(bound.operator == "<" for bound in found.specifier)


def imported(path: Path) -> set[str]:
    nodes = list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
    names = [alias.name for node in nodes if isinstance(node, ast.Import) for alias in node.names]
    names += [node.module for node in nodes if isinstance(node, ast.ImportFrom) and node.module and not node.level]
    return {name.split(".")[0] for name in names} - OWN - set(sys.stdlib_module_names)


def test_what_is_imported_is_declared() -> None:
    """A library that another one brings along may leave with it; one of an extra is used only where it is taken."""
    brought = packages_distributions()
    foreign = set()
    for path in (path for folder in sorted(OWN) for path in (ROOT / folder).rglob("*.py")):
        extra = [item for place, name in ONLY_IN.items() if path.is_relative_to(ROOT / place) for item in EXTRAS[name]]
        declared = {canonicalize_name(item.name) for item in (*NEEDED, *extra)}
        found = imported(path)
        by_name = {name: brought.get(name, [name]) for name in found}  # an extra may be left out: by its own name
        assert [name for name in found if declared.isdisjoint(map(canonicalize_name, by_name[name]))] == [], path
        foreign |= found
    assert len(foreign) > 10
