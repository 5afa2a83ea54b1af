"""A customer's data removed from every version of their days, in the files too; the measurements stay."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from telemetry.errors import CallError

from .catalogue import Catalogue, writing
from .entering import clear_unused, enter, folded
from .keeping import due, emptied, remove_unused, sweep, to_sweep, write_due
from .name_in_files import REMOVED, bytes_without
from .record import Kept, KeptFile, of_tables
from .spellings import any_of, pattern_of
from .store import Store, told

NO_TEXT = frozenset(
    {
        *("sha256", "kind", "end", "measure", "unit", "verdict", "usable", "key", "stage", "severity", "code"),
        *("layouts", "lent_by", "untold"),
    }
)
"""Keys of a record that hold words of ours."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forgotten:
    """What a removal touched: ids of days, and how many files were written anew without the name."""

    days: tuple[str, ...]
    files: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Toml:
    """What has to know a ride day's file: `without` takes the customer's table out of it, `check` reads it again."""

    without: Callable[[str], str]
    check: Callable[[Path, Kept], None]


def without(value: Any, name: re.Pattern[str]) -> Any:
    """Return what a record holds without a name in any text of it, names of runs among its keys too."""
    if isinstance(value, str):
        return name.sub(REMOVED, value)
    if isinstance(value, dict):
        return {name.sub(REMOVED, key): own if key in NO_TEXT else without(own, name) for key, own in value.items()}
    return [without(own, name) for own in value] if isinstance(value, list | tuple) else value


def unforgettable(kept: Kept, found: str) -> CallError:
    """Return the error of a day that isn't whole without a name."""
    remedy = f"`telemetry library take-out {kept.id}` removes it whole"
    return CallError(f"{kept.stem} without the name", found, "the day as it was", remedy)


def forget(root: Path, customer: str, toml: Toml, today: str) -> Forgotten:
    """Remove a customer's name, their words for their bike, and the name wherever it stands in what is kept of them.

    Parameters
    ----------
    root : Path
        The library's folder.
    customer : str
        Their name as it was written, whatever its capitals.
    toml : Toml
    today : str
        The date noted in place of what was removed.

    Raises
    ------
    CallError
        If no such customer is kept, or a day can't be read once the name is out of it; then nothing is changed.
    """
    with writing(root, sweep) as catalogue, catalogue.store.staged() as staged:
        stems, name = _of_customer(catalogue, customer)
        removal = _Removal(catalogue.store, staged, name, toml)
        old = [catalogue.store.read_record(stem) for stem in stems]
        new = [removal.of_version(kept, own=own) for kept, own in zip(old, stems.values(), strict=True)]
        new = [replace(kept, removed_on=today) for kept in new]
        for kept in new:
            _check(catalogue.store, staged, kept, toml)
        before = {file.sha256 for kept in old for file in kept.every_file}
        after = {file.sha256 for kept in new for file in kept.every_file}
        with told(root):
            catalogue.store.put(staged, [file for kept in new for file in kept.files])
        _enter_all(catalogue, new, after)
        write_due(catalogue)
        remove_unused(catalogue, before)
        emptied(catalogue)
    return Forgotten(days=tuple(dict.fromkeys(kept.id for kept in new)), files=len(after - before))


def _enter_all(catalogue: Catalogue, new: list[Kept], files: set[str]) -> None:
    try:
        with catalogue.change():
            for kept in new:
                enter(catalogue, kept)
                due(catalogue, kept.stem, kept.packed())
            clear_unused(catalogue)
            to_sweep(catalogue)
    except BaseException:
        remove_unused(catalogue, files)
        raise


THEIRS = (
    "(SELECT v.key FROM versions v JOIN customers c ON v.customer = c.key "
    "WHERE asked(c.name) OR (c.name = '' AND asked(c.bike)))"
)
OF_THEIR_DAYS = f"v.day IN (SELECT day FROM versions WHERE key IN {THEIRS})"  # noqa: S608 - ours
SHARING_A_DAY = (
    "v.key IN (SELECT f.version FROM files f JOIN files o ON f.sha256 = o.sha256 "  # noqa: S608 - ours
    f"WHERE o.kind = 'day' AND o.version IN {THEIRS})"
)


def _of_customer(catalogue: Catalogue, customer: str) -> tuple[dict[str, bool], re.Pattern[str]]:
    """Return the versions of a customer's days, and those of other days that name one of these as an earlier one.

    Returns
    -------
    dict of str to bool
        Whether it is one of the customer's own days.
    Pattern
        What finds the name as it was asked for, and as it was entered.
    """
    alike = pattern_of(customer)
    plain = folded(customer)
    asked = {customer}

    def is_asked(name: str) -> bool:
        found = folded(name) == plain or alike.fullmatch(name) is not None
        asked.update({name} if found else ())
        return found

    catalogue.db.create_function("asked", 1, is_asked)
    rows = catalogue.db.execute(
        f"SELECT d.id, v.number, {OF_THEIR_DAYS} FROM versions v JOIN days d ON v.day = d.key "  # noqa: S608 - ours
        f"WHERE {OF_THEIR_DAYS} OR {SHARING_A_DAY} ORDER BY d.id, v.number"
    ).fetchall()
    if not rows:
        where = str(catalogue.store.root)
        raise CallError(where, f"no customer {customer!r}", "a customer of a kept day", "`telemetry find` lists them")
    return {f"{name}.{number}": bool(own) for name, number, own in rows}, any_of(asked)


@dataclass(frozen=True, slots=True)
class _Removal:
    """What writes the files of a version anew without a name."""

    store: Store
    staged: Path
    name: re.Pattern[str]
    toml: Toml

    def of_version(self, kept: Kept, *, own: bool) -> Kept:
        """Return a version without the name; its changed files are staged."""
        files = tuple(self.of_file(file, own=own) for file in kept.files)
        if len({(file.kind, file.path) for file in files}) < len(files):
            raise unforgettable(kept, "two files that would have one name")
        try:
            changed = of_tables(without(asdict(kept), self.name))
        except ValueError:
            raise unforgettable(kept, "a word that the record itself is written in") from None
        return replace(changed, files=files, customer={} if own else changed.customer)

    def of_file(self, file: KeptFile, *, own: bool) -> KeptFile:
        """Return a file without the name."""
        path = self.name.sub(REMOVED, file.path)
        if file.kind == "travel":
            return replace(file, path=path)
        source = self.store.path(file.kind, file.sha256)
        with told(source):
            data = source.read_bytes()
            changed = bytes_without(data, self.name, self._table(file, data, own=own))
            if changed == data:
                return replace(file, path=path)
            beside = self.staged / "changed"
            beside.write_bytes(changed)
            return replace(self.store.take_in(self.staged, beside, path, file.kind), is_run=file.is_run)

    def _table(self, file: KeptFile, data: bytes, *, own: bool) -> Callable[[str], str]:
        """Return what takes the customer's table out of a ride day's file: of their days, and where it names them."""
        named = file.is_day and self.name.search(data.decode("utf-8", "replace")) is not None
        return self.toml.without if file.is_day and (own or named) else str


def _check(store: Store, staged: Path, kept: Kept, toml: Toml) -> None:
    """Have the rewritten day read again, before anything is changed."""
    folder = staged / "read_again"
    toml.check(store.lay_out(kept, folder, staged) / kept.file, kept)
    with told(folder):
        shutil.rmtree(folder)
