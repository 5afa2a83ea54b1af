"""A kept version written anew without anybody's name: customers, shops, riders, notes, comments, heads of logs."""

from __future__ import annotations

import os
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path, PurePosixPath
from typing import Any, TypeAlias

from telemetry import library
from telemetry.errors import CallError, TelemetryError
from telemetry.library import Kept, KeptFile, Store
from telemetry.model.day import RideDay
from telemetry.model.finding import ENDS
from telemetry.ride_day import names_said, raw_of, read_ride_day, toml_of, unnamed
from telemetry.short_lived import short_lived_folder

from .keeping import words_of
from .unnaming import NO_REASON

ON_PACKING = "on packing"
"""What a record notes in place of the date on which names were removed: the same days make the same archive."""


Raw: TypeAlias = Mapping[str, Any]


def tables_of(store: Store, kept: Kept) -> dict[str, Raw]:
    """Return the tables of a version's own file, and of the earlier days that it names, by their paths."""
    with short_lived_folder() as place:
        own = store.lay_out(kept, place)
        return {file.path: raw_of(read_ride_day(own / file.path)) for file in kept.originals if file.is_day}


def names_in(raws: Collection[Raw]) -> re.Pattern[str]:
    """Return what finds the names that days' files say, but for those that their tables can't do without."""
    return library.any_of({name for raw in raws for name in names_said(raw)} - _own_words(raws))


def write_without_names(leaving: Leaving, kept: Kept, raws: Mapping[str, Raw]) -> None:
    """Write a version into another store without names, its changed files too.

    Parameters
    ----------
    leaving : Leaving
    kept : Kept
    raws : mapping
        Of `tables_of`.

    Raises
    ------
    CallError
        If the day couldn't be read without the names.
    """
    names, to = leaving.names, leaving.to
    texts = {
        path: toml_of(library.without(unnamed(raw, f"rider of {kept.id}", NO_REASON), names))
        for path, raw in raws.items()
    }
    logos = {_beside(path, raw["shop"]["logo"]) for path, raw in raws.items() if raw.get("shop", {}).get("logo")}
    files = tuple(leaving.file(file, texts.get(file.path)) for file in kept.originals if file.path not in logos)
    changed = leaving.record(kept, files)
    to.put(leaving.staged, changed.every_file)
    with short_lived_folder() as place:
        day = _read_again(to, kept, changed, place)
    riders = {run.name: run.rider or day.rider for run in day.runs}
    changed = replace(
        changed,
        words=words_of(day),
        runs=tuple(replace(run, rider=riders.get(run.name, "")) for run in changed.runs),
        before=tuple(
            replace(old, runs=tuple(replace(run, rider=riders.get(run.name, "")) for run in old.runs))
            for old in changed.before
        ),
    )
    to.write_record(changed.stem, changed.packed())


def _own_words(raws: Collection[Raw]) -> set[str]:
    """Return names that are keys of the file as well, or an end's: taken out everywhere they would take it apart."""
    keys = {key.casefold() for raw in raws for key in _keys(raw)} | {*ENDS, "rider", "run"}
    said = {name for raw in raws for name in names_said(raw)}
    return {name for name in said if name.casefold() in keys}


def _keys(raw: Any) -> Iterator[str]:
    if isinstance(raw, Mapping):
        for key, own in raw.items():
            yield from (key, *key.split("_"), *_keys(own))
    elif isinstance(raw, list):
        for own in raw:
            yield from _keys(own)


def _beside(path: str, named: str) -> str:
    """Return where a file lies that is named by a day's file at a path."""
    return os.path.normpath(PurePosixPath(path).parent / named)


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaving:
    """What versions are written anew with: from where, into which store, staged where, and without which names."""

    store: Store
    to: Store
    staged: Path
    names: re.Pattern[str]

    def file(self, file: KeptFile, told: str | None) -> KeptFile:
        """Return a file without names, staged; `told` is what a day's own file says then."""
        source = self.store.path(file.kind, file.sha256)
        beside = self.staged / "leaving"
        try:
            data = source.read_bytes()
            beside.write_bytes(library.bytes_without(data, self.names) if told is None else told.encode("utf-8"))
            found = self.to.take_in(self.staged, beside, self.names.sub(library.REMOVED, file.path), file.kind)
        except OSError as error:
            raise CallError(str(source), str(error.strerror), "a file that can be packed", "check disk") from None
        return replace(found, is_run=file.is_run)

    def record(self, kept: Kept, files: tuple[KeptFile, ...]) -> Kept:
        """Return a version's record without names; its travel is staged."""
        try:
            changed = library.of_tables(library.without(asdict(kept), self.names))
        except ValueError:
            raise _unreadable(kept, "a name that the record itself is written in") from None
        for file in changed.every_file:
            if file.kind == "travel":
                self.to.take_in(self.staged, self.store.path(file.kind, file.sha256), file.path, file.kind)
        travel = tuple(file for file in changed.files if file.kind == "travel")
        return replace(changed, files=(*files, *travel), customer={}, place="", removed_on=ON_PACKING)


def _unreadable(kept: Kept, found: str) -> CallError:
    remedy = "pack it with names, or change what they clash with and keep it again"
    return CallError(f"{kept.stem} without names", found, "the day as it was", remedy)


def _read_again(to: Store, kept: Kept, changed: Kept, place: Path) -> RideDay:
    """Return the day as it is read without names."""
    try:
        day = read_ride_day(to.lay_out(changed, place) / changed.file)
    except TelemetryError as error:
        raise _unreadable(kept, error.line) from None
    if [run.name for run in day.runs] != [run.name for run in changed.runs] or any(day.customer.values()):
        raise _unreadable(kept, "runs of other names")
    return day
