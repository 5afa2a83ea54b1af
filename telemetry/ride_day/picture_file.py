"""Pictures by their content: a shop's logo, small, PNG or JPEG and whole, for it gets onto a page; any photograph."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from pathlib import Path

from telemetry.model.picture import Picture

LARGEST_BYTES = 512_000
LARGEST_PX = 4000
MOST_PX = 4_000_000
"""Own choice: a logo on paper is at most 50 mm wide, 600 px at 300 dots an inch."""
KINDS = "a PNG or JPEG picture"
PNG, JPEG = b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff"
_OTHERS = {
    b"GIF8": "a GIF picture",
    b"RIFF": "a WebP picture or another in RIFF form",
    b"BM": "a BMP picture",
    b"II*\x00": "a TIFF picture",
    b"MM\x00*": "a TIFF picture",
    b"%PDF": "a PDF file",
}
_NO_PICTURE = ("a PDF file",)
_TYPED = {b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif", b"avis"}
"""Brands of pictures in a file that says its kind at its fifth byte (ISO/IEC 23008-12)."""
SVG = "an SVG drawing, which may carry a program"
_FRAMES, _BARE = {0xC0, 0xC1, 0xC2}, {0x01, *range(0xD0, 0xD9)}
"""JPEG's markers (ITU-T T.81, table B.1): frames that browsers draw, and what stands without a length."""
_OTHER_FRAMES = {*range(0xC3, 0xD0)} - {0xC4, 0xC8, 0xCC}
_SCAN, _END = 0xDA, b"\xff\xd9"


class PictureFileError(ValueError):
    """What was found and what was expected in a picture's file."""

    def __init__(self, found: str, expected: str = f"{KINDS} that is whole: export it again") -> None:
        self.found = found
        self.expected = expected
        super().__init__(f"found {found}; expected {expected}")


def read_picture(path: Path) -> Picture:
    """Read a picture's file.

    Parameters
    ----------
    path : Path

    Returns
    -------
    Picture

    Raises
    ------
    PictureFileError
        If it can't be read, is no PNG or JPEG whatever it is called, is larger than a logo has to be, or is cut off
        or damaged.
    """
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise PictureFileError(f"a file that can't be read ({error.strerror})", KINDS) from None
    if len(data) > LARGEST_BYTES:
        raise PictureFileError(
            f"a file of over {LARGEST_BYTES // 1000} kB", f"{LARGEST_BYTES // 1000} kB at most: export it smaller"
        )
    png = data.startswith(PNG)
    if not png and not data.startswith(JPEG):
        raise PictureFileError(_other(data), f"{KINDS} by its content")
    width, height = _png(data) if png else _jpeg(data)
    if not width or not height:
        raise PictureFileError(f"a picture of {width} by {height} px")
    if max(width, height) > LARGEST_PX or width * height > MOST_PX:
        most = f"at most {LARGEST_PX} px a side and {MOST_PX / 1e6:g} million px in all: export it smaller"
        raise PictureFileError(f"a picture of {width} by {height} px", most)
    return Picture(media="image/png" if png else "image/jpeg", width_px=width, height_px=height, data=data)


def require_photograph(path: Path) -> None:
    """Require that a file, by how it begins, is a picture; its points stand elsewhere, it isn't shown.

    Parameters
    ----------
    path : Path

    Raises
    ------
    PictureFileError
        If it is none, or can't be read.
    """
    kinds = "a picture (PNG, JPEG, WebP, HEIC, TIFF, SVG, …), in whose pixels the pivots are"
    try:
        with path.open("rb") as file:
            head = file.read(1000)
    except OSError as error:
        raise PictureFileError(f"a file that can't be read ({error.strerror})", kinds) from None
    found = _other(head)
    typed = head[4:8] == b"ftyp" and head[8:12] in _TYPED
    known = found == SVG or (found in _OTHERS.values() and found not in _NO_PICTURE)
    if not (head.startswith((PNG, JPEG)) or typed or known):
        raise PictureFileError(found, kinds)


def _other(data: bytes) -> str:
    known = next((what for start, what in _OTHERS.items() if data.startswith(start)), "")
    head = data[:1000].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if not data:
        return "an empty file"
    if head.startswith((b"<svg", b"<?xml", b"<!doctype svg")) or b"<svg" in head:
        return SVG
    return known or "no picture"


def _png(data: bytes) -> tuple[int, int]:
    """Return width and height of a PNG that is whole: every part's checksum holds, up to the end (ISO/IEC 15948)."""
    size: tuple[int, int] | None = None
    drawn = False
    for kind, held in _parts(data):
        if size is None:
            if kind != b"IHDR" or len(held) != 13:
                raise PictureFileError("a PNG without its head")
            width, height = struct.unpack(">II", held[:8])
            size = width, height
        drawn = drawn or kind == b"IDAT"
        if kind == b"IEND":
            if not drawn:
                raise PictureFileError("a PNG with nothing drawn")
            return size
    raise PictureFileError("a PNG that is cut off")


def _parts(data: bytes) -> Iterator[tuple[bytes, bytes]]:
    place = len(PNG)
    while place + 12 <= len(data):
        (length,) = struct.unpack_from(">I", data, place)
        whole = data[place + 4 : place + 8 + length]
        checksum = data[place + 8 + length : place + 12 + length]
        if len(checksum) < 4:
            return
        if struct.pack(">I", zlib.crc32(whole)) != checksum:
            raise PictureFileError("a damaged PNG (a checksum is wrong)")
        yield whole[:4], whole[4:]
        place += 12 + length


def _jpeg(data: bytes) -> tuple[int, int]:
    """Return width and height of a JPEG that reaches its end mark (ITU-T T.81, annex B)."""
    place, size = 2, (0, 0)
    while place + 4 <= len(data) and data[place] == 0xFF:
        marker = data[place + 1]
        if marker == 0xFF or marker in _BARE:  # filled up, or without a length
            place += 1 if marker == 0xFF else 2
            continue
        (length,) = struct.unpack_from(">H", data, place + 2)
        if marker in _OTHER_FRAMES:
            raise PictureFileError("a JPEG of a kind that browsers don't draw", f"{KINDS}: export it as usual")
        if marker in _FRAMES and length >= 8 and place + 9 <= len(data):
            height, width = struct.unpack_from(">HH", data, place + 5)
            size = width, height
        if marker == _SCAN and size != (0, 0):
            if _END not in data[place + 2 + length :]:
                raise PictureFileError("a JPEG that is cut off")
            return size
        place += 2 + max(2, length)
    raise PictureFileError("a JPEG that is cut off")
