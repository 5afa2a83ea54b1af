"""Leverage of a day's setups: each file is read once, each linkage solved once."""

from __future__ import annotations

from pathlib import Path

from telemetry.mechanics.linkage import LinkageError, ShockError, solve_linkage
from telemetry.model.day import LeverageTable
from telemetry.model.linkage import Linkage
from telemetry.toml_problems import Words

from .leverage_file import LeverageFileError, leverage_files, read_leverage_file
from .paths import WrongPathError, file_inside
from .problems import Problems

MOST_SOLVED = 20
"""Linkages that differ, or stand under strokes that differ; own choice: solving one takes a moment."""
_ONE_WAY = "one degree of freedom, and a shock that can shorten by stroke_mm"
_ROWS_DOWN = "rows of the picture count downward, and scale holds mm"
_IN_MM = "points are in mm, y upward: pixels of a photograph take scale beside them"


SHOCK_FITS = "a length from eye to eye that the linkage, as measured, can take topped out"


class _Refused:
    """Why there is no curve: what was found and expected."""

    def __init__(self, found: str, expected: Words, *, by_shock: bool = False) -> None:
        self.found = found
        self.expected = expected
        self.by_shock = by_shock


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

    def of_linkage(
        self, linkage: Linkage, stroke_mm: float, key: str, shock_key: str, problems: Problems
    ) -> LeverageTable | None:
        """Return the curve of a linkage over a stroke; None with a problem at `key`, or where the shock's length is."""
        which = id(linkage), stroke_mm
        if which not in self._solved:
            if len(self._solved) == MOST_SOLVED:
                found = f"one more linkage or stroke than {MOST_SOLVED} that differ"
                return _curve_or_problem(_Refused(found, f"{MOST_SOLVED} at most; else leverage files"), key, problems)
            try:
                self._solved[which] = solve_linkage(linkage, stroke_mm)
            except ShockError as error:
                self._solved[which] = _Refused(str(error), SHOCK_FITS, by_shock=True)
            except LinkageError as error:
                self._solved[which] = _Refused(str(error), _expected(linkage))
        solved = self._solved[which]
        by_shock = isinstance(solved, _Refused) and solved.by_shock
        return _curve_or_problem(solved, shock_key if by_shock else key, problems)

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


def _expected(linkage: Linkage) -> str:
    return f"{_ONE_WAY}; {_IN_MM if linkage.photo is None else _ROWS_DOWN}"
