"""Days out of another library's archive: looked at whole, staged, then put one day at a time, files first."""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path

from telemetry.errors import CallError

from .archive import Archive, in_one_line, opened, refused
from .catalogue import Catalogue, begin, is_begun, reading, writing
from .entering import same_day
from .keeping import bring_back, sweep, write_all
from .manifest import PackedFile, PackedVersion
from .packing import Progress, packed_file, path_of
from .record import Kept, KeptFile
from .sound import kept_of
from .store import Store
from .travel_file import require_travel

LEFT_FREE = 1 << 20
"""Bytes of the disk, beside what the archive unfolds into; own choice."""
LONGEST_RECORD = 32 << 20
"""Bytes; that of a day of a hundred runs takes two million. Own choice."""
APART = "nothing was taken in; take it into a library of its own, or take the day out first"


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenIn:
    """What became of one day: how many versions were added, the newest of the archive, and its id in the library."""

    id: str
    number: int
    added: int


def take_in(root: Path, file: Path, progress: Progress | None = None) -> tuple[TakenIn, ...]:
    """Take the days of an archive into a library: each as it was kept there, under its id and versions.

    Parameters
    ----------
    root : Path
        The library's folder; it is begun where there is none.
    file : Path
    progress : callable, optional
        Told the first letters of each file's content before it is unpacked.

    Returns
    -------
    tuple of TakenIn
        By day. Versions that are there already stay as they are.

    Raises
    ------
    CallError
        If the archive isn't whole or isn't ours, a day is kept here in other versions, or there is no room; then
        nothing is taken in.
    """
    with opened(file) as archive:
        _check_room(root, archive)
        days = [tuple(own) for _, own in groupby(archive.manifest.days, key=lambda version: version.day)]
        needed: dict[str, KeptFile] = {}
        with reading(root) if is_begun(root) else nullcontext() as catalogue:
            for versions in (tuple(_versions(archive, own)) for own in days):
                needed.update({path_of(one): one for kept in versions for one in kept.every_file})
                if catalogue is not None:
                    _further(catalogue, versions)
        _check_needed(archive, needed)
        with _begun(root), Store(root).staged() as staged:
            for path, one in sorted(needed.items()):
                if progress is not None:
                    progress(one.sha256[:8])
                _stage(archive, staged, path, one)
            return tuple(_put(root, staged, tuple(_versions(archive, own))) for own in days)


@contextmanager
def _begun(root: Path) -> Iterator[None]:
    """Begin a library; where nothing comes of it, no empty folder stays."""
    new = not root.exists()
    begin(root)
    try:
        yield
    except BaseException:
        if new:
            with suppress(OSError):
                root.rmdir()
        raise


def _check_room(root: Path, archive: Archive) -> None:
    """Refuse an archive that unfolds into more than the disk has room for."""
    there = next(folder for folder in (root, *root.parents) if folder.exists())
    size = sum(packed.size for packed in archive.manifest.files)
    if size + LEFT_FREE > shutil.disk_usage(there).free:
        raise CallError(str(root), "too little room on its disk", f"{size / 1e6:.0f} MB and some to spare", "make room")


def _versions(archive: Archive, versions: tuple[PackedVersion, ...]) -> Iterator[Kept]:
    """Yield the records of a day, held to the manifest."""
    listed = {packed.path: packed for packed in archive.manifest.files}
    for version in versions:
        if version.path not in listed or listed[version.path].size > LONGEST_RECORD:
            raise refused(archive.file, f"no record of {version.day}, version {version.number}")
        data = archive.whole(version.path)
        if packed_file(version.path, data) != listed[version.path]:
            raise refused(archive.file, f"{version.path} with other bytes than its manifest says")
        with in_one_line(archive.file):
            kept = kept_of(data)
        told = PackedVersion(day=kept.id, number=kept.number, content=kept.content, definitions=kept.definitions)
        if told != version or kept.place:
            raise refused(archive.file, f"a record of {kept.stem} that isn't the version its manifest says")
        yield kept


def _check_needed(archive: Archive, needed: dict[str, KeptFile]) -> None:
    """Refuse an archive that holds other files than its records name."""
    records = {version.path for version in archive.manifest.days}
    listed = {packed.path: packed for packed in archive.manifest.files if packed.path not in records}
    named = {path: PackedFile(path=path, size=one.size, sha256=one.sha256) for path, one in needed.items()}
    if lacking := named.keys() - listed.keys():
        raise refused(archive.file, f"an archive without {min(lacking)}, which a record names")
    if further := listed.keys() - named.keys():
        raise refused(archive.file, f"a file that no record names ({min(further)})")
    if named != listed:
        raise refused(archive.file, "a file of another size or SHA-256 than its record says")


def _stage(archive: Archive, staged: Path, path: str, one: KeptFile) -> None:
    """Unpack a file into a staged folder, no more than is said of it, and hold it to its SHA-256."""
    digest, place = hashlib.sha256(), staged / (one.kind + one.sha256)
    with place.open("xb") as written:
        for piece in archive.pieces(path):
            digest.update(piece)
            written.write(piece)
        written.flush()
        os.fsync(written.fileno())
    if digest.hexdigest() != one.sha256:
        raise refused(archive.file, f"{path} with other bytes than its name says")
    if one.kind == "travel":
        with in_one_line(archive.file):
            require_travel(place)


def _put(root: Path, staged: Path, versions: tuple[Kept, ...]) -> TakenIn:
    now = dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
    with writing(root, sweep) as catalogue:
        name, further = _further(catalogue, versions)
        bring_back(catalogue.store, staged, versions[: len(versions) - len(further)])
        if further:
            row = catalogue.db.execute("SELECT place FROM days WHERE id = ?", (name,)).fetchone()
            place = "" if row is None else str(row[0])
            write_all(catalogue, staged, [replace(kept, place=place, kept_at=kept.kept_at or now) for kept in further])
    return TakenIn(id=name, number=versions[-1].number, added=len(further))


def _further(catalogue: Catalogue, versions: tuple[Kept, ...]) -> tuple[str, tuple[Kept, ...]]:
    """Return a day's id in the library, and those of its versions that aren't there yet.

    Raises
    ------
    CallError
        If it is kept there in other versions.
    """
    day = versions[0].id
    held = _contents(catalogue, day)
    theirs = [kept.content for kept in versions]
    if held:
        both = min(len(held), len(theirs))
        if held[:both] != theirs[:both]:
            number = next(place for place in range(both) if held[place] != theirs[place]) + 1
            found = f"{day}, whose version {number} here isn't the archive's"
            raise CallError(str(catalogue.store.root), found, "the same versions, or further ones", APART)
        return day, versions[len(held) :]
    for kept in versions:
        found_as = same_day(catalogue, kept)
        if found_as is not None:
            if set(theirs) <= set(_contents(catalogue, found_as.id)):
                return found_as.id, ()
            found = f"{day} of the archive, which is kept here as {found_as.id} in other versions"
            raise CallError(str(catalogue.store.root), found, "a day that is here not at all, or just so", APART)
    return day, versions


def _contents(catalogue: Catalogue, day: str) -> list[str]:
    rows = catalogue.db.execute(
        "SELECT v.content FROM versions v JOIN days d ON v.day = d.key WHERE d.id = ? ORDER BY v.number", (day,)
    )
    return [content for (content,) in rows]
