"""A record of a kept day from elsewhere: whether it says what a record can say, before anything is made of it."""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from collections.abc import Hashable, Iterable, Mapping
from pathlib import PurePosixPath
from typing import Any

from .called import DAY, SHA256
from .differences import SCALES
from .entering import VERDICTS
from .record import FORM, Kept, KeptResults, KeptSetup, json_of, of_form
from .record_of_comparison import KeptDifference
from .strict import read_json, require_shape

DRIVE = re.compile(r"[A-Za-z]:")
LONGEST_PATH, LONGEST_NAME = 1000, 255
MOST_UP = 20
"""Folders that a path may lead up to an earlier day; own choice."""
LARGEST_FIGURE = 1e30
"""Of a difference: the catalogue's four bytes hold it. Own choice."""
WRITTEN_OUT = ("files", "runs", "conditioning", "file", "folder", "before")
"""What of a record is no text of the catalogue: names of files may hold halves of letters."""


def kept_of(data: bytes) -> Kept:
    """Return a version from its record in an archive.

    Raises
    ------
    ValueError
        If it isn't one that this program could have written.
    """
    raw = read_json(data)
    if isinstance(raw, dict) and isinstance(raw.get("form"), int) and raw["form"] > FORM:
        raise ValueError(f"a record of form {raw['form']}: bring this program up to date")
    tables = dict(raw) if isinstance(raw, dict) else {}
    tables.pop("form", None)
    require_shape(Kept, tables, "record")
    json_of({key: own for key, own in tables.items() if key not in WRITTEN_OUT}).decode("utf-8")
    kept = of_form(raw)
    require_sound(kept)
    return kept


def require_sound(kept: Kept) -> None:
    """Refuse a version that can't be: dates, versions, rows that stand twice, paths that lead away.

    Raises
    ------
    ValueError
    """
    day = dt.date.fromisoformat(kept.date).isoformat()
    if not DAY.fullmatch(kept.id) or not kept.id.startswith(f"{day}-") or kept.date != day or kept.number < 1:
        raise ValueError(f"a day called {kept.id!r}, version {kept.number}, of {kept.date}")
    if kept.number == 1 and not kept.removed_on and not kept.content.startswith(kept.id[len(day) + 1 :]):
        raise ValueError(f"a day called {kept.id!r} whose files are others")
    if kept.kept_at and dt.datetime.fromisoformat(kept.kept_at).utcoffset() != dt.timedelta(0):
        raise ValueError(f"a day kept at {kept.kept_at!r}, which is no time in UTC")
    _check_setups(kept.setups)
    _check_files(kept)


def _check_setups(setups: Iterable[KeptSetup]) -> None:
    setups = tuple(setups)
    _once((setup.name for setup in setups), "setup")
    for setup in setups:
        _once(((item.key, item.end, item.text) for item in setup.settings), "setting")
        _once(((item.measure, item.end, item.unit) for item in setup.values), "value")
        _once(((item.measure, item.end, item.unit) for item in setup.verdicts), "verdict")
        if unknown := {item.verdict for item in setup.verdicts} - {*VERDICTS}:
            raise ValueError(f"a verdict {min(unknown)!r}")


def _once(rows: Iterable[Hashable], what: str) -> None:
    twice: list[Any] = [row for row, count in Counter(rows).items() if count > 1]
    if twice:
        raise ValueError(f"a {what} that stands twice ({twice[0]})")


def _check_files(kept: Kept) -> None:
    _once(((file.kind, file.path) for file in kept.files), "file")
    if any(file.size < 0 or not SHA256.fullmatch(file.sha256) for file in kept.files):
        raise ValueError("a file without its size or SHA-256")
    paths = [file.path for file in kept.files if file.kind == "original"]
    for path in paths:
        check_path(path)
    if kept.file not in paths or "/" in kept.file:
        raise ValueError(f"a day whose own file {kept.file!r} isn't there")
    above = {str(parent) for path in paths for parent in PurePosixPath(path).parents}
    if both := above & {*paths}:
        raise ValueError(f"{min(both)!r}, a file and a folder at once")
    if kept.folder and ("/" in kept.folder or "\x00" in kept.folder or not _is_name(kept.folder)):
        raise ValueError(f"a folder called {kept.folder!r}")
    for results in (kept.results, *kept.before):
        _check_results(results)


def _check_results(results: KeptResults) -> None:
    runs = [run.name for run in results.runs]
    _once(runs, "run")
    if not all(_is_measured(row) for run in results.runs for row in run.measures):
        raise ValueError("a measure of a run that can't be")
    cutoff_hz = results.conditioning.get("cutoff_hz")
    if cutoff_hz is not None and not (_is_number(cutoff_hz) and cutoff_hz > 0):
        raise ValueError("a cut-off that can't be")
    _once(((item.measure, item.end, item.unit) for item in results.spreads), "spread")
    _once((means.setup for means in results.setups), "setup")
    for compared in (means.compared for means in results.setups if means.compared is not None):
        _once(((change.key, change.end) for change in compared.changes), "change")
        _once(((row.measure, row.end, row.unit) for row in compared.differences), "difference")
        if not all(map(_is_difference, compared.differences)):
            raise ValueError("a difference that can't be")
    if any(spread.variance <= 0 or spread.nu <= 0 for spread in results.spreads):
        raise ValueError("a spread that can't be")
    _once((file.path for file in results.travel), "travel")
    if unknown := {file.path for file in results.travel} - {*runs}:
        raise ValueError(f"travel of a run {min(unknown)!r} that isn't there")
    if any(file.kind != "travel" or file.size < 0 or not SHA256.fullmatch(file.sha256) for file in results.travel):
        raise ValueError("travel without its size or SHA-256")


def _is_measured(row: Mapping[str, Any]) -> bool:
    """Tell whether a run's row says what was measured, where, and how much."""
    return _is_number(row.get("value")) and all(isinstance(row.get(name), str) for name in ("measure", "end"))


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_difference(row: KeptDifference) -> bool:
    """Tell whether figures are such as a comparison gives: errors 0 or more, what is divided by above 0."""
    errors = (row.se, row.floor_se or 0.0)
    divisors = (row.nu, row.reach, row.margin, 1.0 if row.floor_nu is None else row.floor_nu)
    figures = (row.d, row.full_travel_mm or 0.0, *errors, *divisors)
    is_held = row.scale in SCALES and max(map(abs, figures)) <= LARGEST_FIGURE
    return is_held and min(errors) >= 0 and min(divisors) > 0


def check_path(path: str) -> None:
    """Refuse a path that leads where its day doesn't lie, here or on another system.

    Raises
    ------
    ValueError
    """
    parts = path.split("/")
    up = parts.count("..")
    named = parts[up:]
    strange = "\\" in path or "\x00" in path or DRIVE.match(path)
    if strange or len(path) > LONGEST_PATH or up > MOST_UP or parts[:up] != [".."] * up:
        raise ValueError(f"a path that leads away ({path!r})")
    if not named or any(
        part in {"", "."} or len(part.encode("utf-8", "surrogateescape")) > LONGEST_NAME for part in named
    ):
        raise ValueError(f"a path that leads away ({path!r})")


def _is_name(part: str) -> bool:
    return part not in {"", ".", ".."} and len(part.encode("utf-8", "surrogateescape")) <= LONGEST_NAME
