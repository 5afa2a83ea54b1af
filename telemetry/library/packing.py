"""Kept days packed for another library: a zip archive, the same bytes for the same days, with a manifest of it all."""

from __future__ import annotations

import hashlib
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from telemetry.errors import CallError
from telemetry.files import whole_file

from .archive import FREELY, MOST_RATIO, ORDINARY, PIECE
from .manifest import MOST_BYTES, MOST_FILES, NAME, Manifest, PackedFile, PackedVersion
from .record import Kept, KeptFile
from .sound import require_sound
from .store import ENDINGS, FOLDERS, Store, told

LEVEL = 6
BEGINNING = (1980, 1, 1, 0, 0, 0)
"""The first date that a zip archive can note; every file has it, so that the same days make the same bytes."""
Progress = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """What was written: ids of days, how many versions, files and bytes."""

    days: tuple[str, ...]
    versions: int
    files: int
    size: int


def pack(
    store: Store, stems: Sequence[str], file: Path, program: str, *, names: bool, progress: Progress | None = None
) -> Packed:
    """Pack versions of days into an archive: all of them, or nothing.

    Parameters
    ----------
    store : Store
        Where they are kept.
    stems : sequence of str
        The versions, every one of each day.
    file : Path
        A new file, or one to replace.
    program : str
        Which program packs them.
    names : bool
        Whether they hold names of customers and riders, as the archive says.
    progress : callable, optional
        Told each version before its files are packed.

    Raises
    ------
    CallError
        If a file isn't what was kept, or the archive can't be written.

    Notes
    -----
    What tells the folder that a day was kept from stays behind: it is another machine's.
    """
    listed, contents, days = {}, {}, []
    for stem in sorted(stems, key=_in_order):
        kept = leaving(store.read_record(stem))
        version = PackedVersion(day=kept.id, number=kept.number, content=kept.content, definitions=kept.definitions)
        days.append(version)
        listed[version.path] = packed_file(version.path, kept.text())
        contents.update({path_of(own): own for own in kept.every_file})
    listed |= {path: PackedFile(path=path, size=own.size, sha256=own.sha256) for path, own in contents.items()}
    told_of = Manifest(
        program=program, names=names, days=tuple(days), files=tuple(listed[path] for path in sorted(listed))
    )
    _check_size(file, told_of)
    with whole_file(file) as out:
        with zipfile.ZipFile(out, "w") as archive:
            _add(archive, NAME, told_of.text())
            for version in days:
                stem = f"{version.day}.{version.number}"
                if progress is not None:
                    progress(stem)
                data = leaving(store.read_record(stem)).text()
                if packed_file(version.path, data) != listed[version.path]:
                    raise CallError(
                        stem, "a record that was changed meanwhile", "days that stay as they are", "try again"
                    )
                _add(archive, version.path, data)
            for path in sorted(contents):
                _add_file(archive, path, store.path(contents[path].kind, contents[path].sha256), listed[path])
        size = out.tell()
    return Packed(
        days=tuple(dict.fromkeys(version.day for version in days)),
        versions=len(days),
        files=len(contents),
        size=size,
    )


def _in_order(stem: str) -> tuple[str, int]:
    day, _, number = stem.rpartition(".")
    return day, int(number)


def leaving(kept: Kept) -> Kept:
    """Return a version as it goes to another library, which has to take it.

    Raises
    ------
    CallError
        If names of its files mean other places elsewhere.
    """
    try:
        require_sound(kept)
    except ValueError as error:
        raise CallError(
            kept.stem, str(error), "a day that any library can take", "rename it, then keep it again"
        ) from None
    return replace(kept, place="")


def path_of(file: KeptFile) -> str:
    """Return where a file stands in an archive."""
    return f"{FOLDERS[file.kind]}/{file.sha256}{ENDINGS[file.kind]}"


def packed_file(path: str, data: bytes) -> PackedFile:
    """Return what a manifest says of a file."""
    return PackedFile(path=path, size=len(data), sha256=hashlib.sha256(data).hexdigest())


def _check_size(file: Path, manifest: Manifest) -> None:
    if len(manifest.files) >= MOST_FILES or len(manifest.text()) > MOST_BYTES:
        what = f"{len(manifest.files)} files"
        raise CallError(str(file), what, f"under {MOST_FILES} in one archive", "pack fewer days at a time")


def _entry(path: str, size: int, *, tight: bool) -> zipfile.ZipInfo:
    """Return an entry that holds nothing but its path: no date, owner, or rights of its own."""
    info = zipfile.ZipInfo(path, BEGINNING)
    info.create_system, info.external_attr, info.file_size = 3, ORDINARY, size
    info.compress_type = zipfile.ZIP_STORED if tight or path.startswith("travel/") else zipfile.ZIP_DEFLATED
    info._compresslevel = LEVEL  # type: ignore[attr-defined]  # noqa: SLF001 - Python 3.11 has no other way
    return info


def _add(archive: zipfile.ZipFile, path: str, data: bytes) -> None:
    with archive.open(_entry(path, len(data), tight=packs_tight([data], len(data))), "w") as entry:
        entry.write(data)


def _add_file(archive: zipfile.ZipFile, path: str, source: Path, listed: PackedFile) -> None:
    """Pack a file as it was kept; one that isn't is refused."""
    with told(source):
        tight = packs_tight(_pieces(source), listed.size)
        digest = hashlib.sha256()
        with archive.open(_entry(path, listed.size, tight=tight), "w") as entry:
            for piece in _pieces(source):
                digest.update(piece)
                entry.write(piece)
    if digest.hexdigest() != listed.sha256:
        raise CallError(str(source), "a damaged file", "what was kept", "`telemetry library check` says of which day")


def _pieces(source: Path) -> Iterator[bytes]:
    with source.open("rb") as read:
        while piece := read.read(PIECE):
            yield piece


def packs_tight(pieces: Iterable[bytes], size: int) -> bool:
    """Tell whether something packs so small that it might be refused as a bomb: it is stored then.

    No more is packed than tells: of a log a tenth or so.
    """
    if size <= FREELY:
        return False
    packer, packed = zlib.compressobj(LEVEL), 0
    for piece in pieces:
        packed += len(packer.compress(piece))
        if packed * MOST_RATIO / 2 >= size:
            return False
    return (packed + len(packer.flush())) * MOST_RATIO / 2 < size
