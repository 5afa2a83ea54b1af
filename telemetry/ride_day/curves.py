"""Leverage of a day's setups: each file is read once, each linkage solved once."""

from __future__ import annotations

from pathlib import Path

from telemetry.mechanics.linkage import LinkageError, solve_linkage
from telemetry.model.day import LeverageTable
from telemetry.model.linkage import Linkage
from telemetry.toml_problems import Words, nearest
from telemetry.toml_tables import made

from . import tables as t
from .leverage_file import LeverageFileError, leverage_files, read_leverage_file
from .paths import WrongPathError, file_inside
from .problems import Problems

MOST_SOLVED = 20
"""Linkages that differ, or stand under strokes that differ; own choice: solving one takes a moment."""
_ONE_WAY = "one degree of freedom, and a shock that can shorten by stroke_mm"


class _Refused:
    """Why there is no curve: what was found and expected."""

    def __init__(self, found: str, expected: Words) -> None:
        self.found = found
        self.expected = expected


class Curves:
    """Reads leverage files and solves linkages.

    Parameters
    ----------
    folder : Path
        The ride day's folder.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._files: dict[Path, LeverageTable | _Refused] = {}
        self._solved: dict[tuple[int, float], LeverageTable | _Refused] = {}

    def of_file(self, name: str, key: str, problems: Problems) -> LeverageTable | None:
        """Return the curve of a leverage file; None with a problem at `key`."""
        return _curve_or_problem(self._file(name), key, problems)

    def of_linkage(self, table: t.LinkageTable, stroke_mm: float, key: str, problems: Problems) -> LeverageTable | None:
        """Return the curve of a linkage over a stroke; None with a problem at `key`."""
        linkage = _linkage(table, key, problems)
        if linkage is None:
            return None
        which = id(table), stroke_mm  # the day's tables outlive this
        if which not in self._solved:
            if len(self._solved) == MOST_SOLVED:
                found = f"one more linkage or stroke than {MOST_SOLVED} that differ"
                return _curve_or_problem(_Refused(found, f"{MOST_SOLVED} at most; else leverage files"), key, problems)
            try:
                self._solved[which] = solve_linkage(linkage, stroke_mm)
            except LinkageError as error:
                self._solved[which] = _Refused(str(error), _ONE_WAY)
        return _curve_or_problem(self._solved[which], key, problems)

    def _file(self, name: str) -> LeverageTable | _Refused:
        try:
            path = file_inside(self._folder, name, "a leverage file", leverage_files).resolve()
        except WrongPathError as error:
            return _Refused(error.found, error.expected)
        if path not in self._files:
            try:
                self._files[path] = read_leverage_file(path)
            except LeverageFileError as error:
                self._files[path] = _Refused(f"{name}: {error.found}", error.expected)
        return self._files[path]


def _curve_or_problem(curve: LeverageTable | _Refused, key: str, problems: Problems) -> LeverageTable | None:
    if isinstance(curve, LeverageTable):
        return curve
    problems.add(key, curve.found, curve.expected)
    return None


def _linkage(table: t.LinkageTable, path: str, problems: Problems) -> Linkage | None:
    """Return a linkage, or None where its points don't fit together."""
    before = problems.told
    points = {**table.fixed, **table.moving}
    for name in table.moving:
        if name in table.fixed:
            problems.add(f"{path}.moving.{name}", f"point {name!r} in fixed too", "a point either fixed or moving")
    for body, names in table.bodies.items():
        _check_body(f"{path}.bodies.{body}", names, points, problems)
    _check_shock(f"{path}.shock", table.shock, points, problems)
    if table.axle not in table.moving:
        problems.add(f"{path}.axle", repr(table.axle), nearest(table.axle, table.moving, "a point of moving"))
    if problems.told > before:
        return None
    return made(Linkage, table)


def _check_body(key: str, names: list[str], points: dict[str, list[float]], problems: Problems) -> None:
    unknown = [name for name in names if name not in points]
    if unknown:
        expected = nearest(unknown[0], points, "points of fixed or moving")
        problems.add(key, f"unknown point {unknown[0]!r}", expected)
    elif len(set(names)) < max(2, len(names)):
        problems.add(key, ", ".join(names) or "no points", "two different points or more")


def _check_shock(key: str, names: list[str], points: dict[str, list[float]], problems: Problems) -> None:
    unknown = [name for name in names if name not in points]
    if unknown:
        problems.add(key, f"unknown point {unknown[0]!r}", nearest(unknown[0], points, "points of fixed or moving"))
    elif len(names) != 2 or names[0] == names[1]:
        problems.add(key, ", ".join(names) or "no points", "two different points: the shock's eyes")
