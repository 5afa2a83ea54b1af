"""A zip archive from elsewhere, read within bounds: what isn't as ours are written is refused before it is unpacked."""

from __future__ import annotations

import os
import re
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from telemetry.errors import CallError

from .called import SHA256, STEM
from .manifest import FORM, MOST_BYTES, MOST_FILES, NAME, Manifest, NewerFormError, manifest_of

PIECE = 1 << 20
NAMES = re.compile(
    rf"{re.escape(NAME)}|originals/{SHA256.pattern}|travel/{SHA256.pattern}\.parquet|days/{STEM.pattern}\.json"
)
ORDINARY = 0o100644 << 16
"""A file's kind and rights, as an archive notes them: no link, no folder, no device."""
WAYS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
IN_UTF8 = 0x800
MOST_RATIO = 100
"""A packed file may unfold into so many times itself; logs come to ten. What packs better is stored. Own choice."""
FREELY = 1 << 20
"""Bytes that a file may hold whatever its ratio; own choice."""
LONGEST_ENTRY = 400
"""Bytes of an entry in the archive's list; ours take 140. Own choice."""
END, END_64, LOCATOR = struct.Struct("<4s4H2LH"), struct.Struct("<4sQ2H2L4Q"), struct.Struct("<4sLQL")
LOCAL = struct.Struct("<4s5H3L2H")
"""The end of a zip archive, plain and of a large one, and the head of a file within."""
FULL_16, FULL_32 = 0xFFFF, 0xFFFFFFFF
AS_OURS = "an archive as `telemetry export --zip` writes it"
NOT_WHOLE = "no whole zip archive: its list of files doesn't end it"
NOTHING = "nothing was taken in; have it packed and sent again"
DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,  # ways of packing and versions of zip that Python lacks
    RuntimeError,  # an encrypted one, and tables without end
    ValueError,
    OverflowError,
    struct.error,
)
"""What Python raises over zip archives that are none."""


def refused(file: Path, found: str) -> CallError:
    """Return the error of an archive that can't be taken in."""
    return CallError(str(file), found, AS_OURS, NOTHING)


@dataclass(frozen=True, slots=True)
class Archive:
    """An open archive whose list of entries is sound."""

    file: Path
    zip: zipfile.ZipFile
    manifest: Manifest

    def pieces(self, path: str) -> Iterator[bytes]:
        """Yield what an entry holds, a piece at a time, never more than its list says."""
        with in_one_line(self.file), self.zip.open(path) as entry:
            while piece := entry.read(PIECE):
                yield piece

    def whole(self, path: str) -> bytes:
        """Return what an entry holds."""
        return b"".join(self.pieces(path))


@contextmanager
def in_one_line(file: Path) -> Iterator[None]:
    """Say in one line what is wrong with an archive."""
    try:
        yield
    except DAMAGE as error:
        raise refused(file, str(error) or "a damaged archive") from None
    except OSError as error:
        raise CallError(str(file), str(error.strerror or error), "a file that can be read", NOTHING) from None


@contextmanager
def opened(file: Path) -> Iterator[Archive]:
    """Open an archive of kept days; its list is held to its manifest, and nothing is unpacked but that.

    Raises
    ------
    CallError
        If it is no archive of ours, or one of a newer program.
    """
    with ExitStack() as until_read:
        with in_one_line(file):
            if not file.is_file():
                raise refused(file, "a folder" if file.is_dir() else "no such file")
            handle = until_read.enter_context(file.open("rb"))
            count = _check_end(handle)
            archive = until_read.enter_context(zipfile.ZipFile(handle))
            if len(archive.infolist()) != count:
                raise ValueError(f"{len(archive.infolist())} files in an archive whose end says {count}")
            _check_entries(archive, handle)
            manifest = _manifest(archive, file)
        yield Archive(file=file, zip=archive, manifest=manifest)


def _check_end(handle: BinaryIO) -> int:
    """Return how many entries an archive says it has.

    One that doesn't end with its list of entries, or whose list is too long to be read, is refused.
    """
    size = handle.seek(0, os.SEEK_END)
    if size < END.size:
        raise ValueError("no zip archive: it is too short")
    mark, *disks, count, listed, start, comment = END.unpack(_at(handle, size - END.size, END.size))
    if mark != b"PK\5\6" or comment:
        raise ValueError(NOT_WHOLE)
    if FULL_16 in (*disks, count) or FULL_32 in (listed, start):
        count, listed = _long_end(handle, size - END.size)
    if count > MOST_FILES:
        raise ValueError(f"{count} files in one archive, over {MOST_FILES}")
    if listed > count * LONGEST_ENTRY:
        raise ValueError("a list of files that is longer than they can make it")
    return int(count)


def _long_end(handle: BinaryIO, end: int) -> tuple[int, int]:
    """Return how many entries a large archive has, and how many bytes their list takes."""
    mark, _, start, _ = LOCATOR.unpack(_at(handle, end - LOCATOR.size, LOCATOR.size))
    if mark != b"PK\6\7":
        raise ValueError(NOT_WHOLE)
    found = END_64.unpack(_at(handle, start, END_64.size))
    if found[0] != b"PK\6\6":
        raise ValueError(NOT_WHOLE)
    return int(found[7]), int(found[8])


def _at(handle: BinaryIO, start: int, size: int) -> bytes:
    handle.seek(max(0, start))
    return handle.read(size)


def _check_entries(archive: zipfile.ZipFile, handle: BinaryIO) -> None:
    """Refuse entries that aren't as ours: other names, twice, links, encrypted, overlapping, unfolding without end."""
    infos = sorted(archive.infolist(), key=lambda info: info.header_offset)
    names = [info.filename for info in infos]
    if len(set(names)) < len(names):
        raise ValueError("a file twice in the archive")
    if NAME not in names:
        raise ValueError(f"an archive without {NAME}: kept days stand in none without it")
    end = 0
    for info in infos:
        _check_entry(info)
        end = _end_of(info, handle, end)
    if end != archive.start_dir:
        raise ValueError("bytes in the archive that belong to no file")


def _check_entry(info: zipfile.ZipInfo) -> None:
    if info.flag_bits & 1:
        raise ValueError("an encrypted archive")
    if not NAMES.fullmatch(info.orig_filename):
        raise ValueError(f"a file in the archive that doesn't belong there ({info.orig_filename})")
    if info.external_attr != ORDINARY:
        raise ValueError(f"{info.filename}, which is no ordinary file")
    if info.flag_bits & ~IN_UTF8 or info.compress_type not in WAYS or info.comment:
        raise ValueError(f"{info.filename}, which is packed otherwise")
    stored = info.compress_type == zipfile.ZIP_STORED
    if info.file_size > max(FREELY, MOST_RATIO * info.compress_size) or (
        stored and info.file_size != info.compress_size
    ):
        raise ValueError(f"{info.filename}, which unfolds into {info.file_size} bytes out of {info.compress_size}")


def _end_of(info: zipfile.ZipInfo, handle: BinaryIO, start: int) -> int:
    """Return where an entry ends; refuse one that doesn't begin where the one before it has ended."""
    mark, *_, letters, more = LOCAL.unpack(_at(handle, info.header_offset, LOCAL.size))
    if info.header_offset != start or mark != b"PK\3\4":
        raise ValueError(f"{info.filename}, which doesn't begin where the file before it ends")
    return int(start + LOCAL.size + letters + more + info.compress_size)


def _manifest(archive: zipfile.ZipFile, file: Path) -> Manifest:
    """Return the manifest; refuse an archive that holds other files than it names, or of other sizes."""
    listed = {info.filename: info.file_size for info in archive.infolist()}
    if listed.pop(NAME) > MOST_BYTES:
        raise ValueError(f"a manifest over {MOST_BYTES} bytes")
    with archive.open(NAME) as entry:
        data = entry.read(MOST_BYTES + 1)
    try:
        manifest = manifest_of(data)
    except NewerFormError as error:
        raise CallError(str(file), str(error), f"form {FORM} at most", "bring this program up to date") from None
    named = {packed.path: packed.size for packed in manifest.files}
    if lacking := named.keys() - listed.keys():
        raise ValueError(f"an archive without {min(lacking)}, which its manifest names")
    if further := listed.keys() - named.keys():
        raise ValueError(f"a file that its manifest doesn't name ({min(further)})")
    if other := [path for path, size in named.items() if listed[path] != size]:
        raise ValueError(f"{min(other)} in another size than its manifest says")
    return manifest
