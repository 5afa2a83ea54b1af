"""Gzip data unpacked piece by piece: how much it holds stands nowhere to be trusted."""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from telemetry.errors import LogError

READ_BYTES, PIECE_BYTES = 1 << 16, 1 << 20
MOST_MEMBERS = 100_000
"""Own choice: a logger that packs every second by itself makes some thousands; empty ones could go on for ever."""
_GZIP = 31
"""zlib's window bits for gzip data, its check sums included."""


def unpacked(path: Path, where: str) -> Iterator[bytes]:
    """Yield what a packed log holds, a megabyte at most at a time.

    Raises
    ------
    LogError
        If the data is damaged or cut short, or packed in more than 100 000 parts.
    """
    try:
        with path.open("rb") as file:
            yield from _pieces(file, where)
    except (EOFError, zlib.error):
        raise LogError(where, "a damaged .gz file", "gzip data", "copy it again from the logger") from None


def _pieces(file: BinaryIO, where: str) -> Iterator[bytes]:
    unpack, begun, members = zlib.decompressobj(_GZIP), False, 0
    while packed := file.read(READ_BYTES):
        more = True
        while more:
            packed = packed if begun or not members else packed.lstrip(b"\0")  # parts may be padded with zeros
            piece = unpack.decompress(packed, PIECE_BYTES)
            begun = begun or bool(packed)
            if piece:
                yield piece
            packed = unpack.unconsumed_tail
            more = bool(packed) or len(piece) == PIECE_BYTES
            if unpack.eof:
                packed, members = unpack.unused_data, members + 1
                more, begun, unpack = bool(packed), False, zlib.decompressobj(_GZIP)
                _check_members(members, where)
    if begun:
        raise EOFError


def _check_members(members: int, where: str) -> None:
    if members > MOST_MEMBERS:
        found = f"gzip data in over {MOST_MEMBERS} parts"
        raise LogError(where, found, "a log packed in one part, or in some thousands", "unpack it, and pack it anew")
