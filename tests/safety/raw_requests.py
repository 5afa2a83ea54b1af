"""Requests byte for byte, as no browser would send them: to a server of ours on this machine, a few at a time."""

from __future__ import annotations

import base64
import json
import os
import re
import socket
import struct
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from urllib.parse import urlsplit
from urllib.request import urlopen

from tests.browser.served import PATIENCE_S, Server


@contextmanager
def connected(server: Server) -> Iterator[socket.socket]:
    parts = urlsplit(server.link)
    with socket.create_connection((parts.hostname or "", parts.port or 0), timeout=PATIENCE_S) as connection:
        yield connection


def path(server: Server) -> str:
    """The path every page stands under, with a slash at its end."""
    return urlsplit(server.link).path


def secret(server: Server) -> str:
    return path(server).strip("/")


def head(server: Server, method: str, where: str, *lines: str) -> bytes:
    """The first lines of a request, whole."""
    return "\r\n".join([f"{method} {where} HTTP/1.1", f"Host: {urlsplit(server.link).netloc}", *lines, "", ""]).encode(
        "latin-1"
    )


def status(connection: socket.socket) -> int:
    """The status of the answer that comes next; 0 where the connection is closed without one."""
    try:
        answer = connection.recv(65_536)
    except ConnectionResetError:
        return 0
    return int(answer.split(b" ", 2)[1]) if answer else 0


def until_closed(connection: socket.socket) -> bytes:
    """What comes until the other side closes; a time-out where it doesn't within all patience."""
    came = bytearray()
    with suppress(ConnectionResetError):
        while piece := connection.recv(65_536):
            came += piece
    return bytes(came)


@contextmanager
def no_sooner_than(least_s: float) -> Iterator[None]:
    """Do in the block what begins after a clock of the server's was started, and ends when it has run out."""
    start = time.monotonic()
    yield
    assert time.monotonic() - start > least_s


def token_of(server: Server, query: str) -> str:
    """The token by which a page of figures that was just loaded opens its live connection."""
    with urlopen(f"{server.link}{query}") as answer:  # noqa: S310 - our own server
        found = re.search(r'"token":"([\w.=-]+)"', answer.read().decode())
    assert found is not None
    return found[1]


def upgrade(server: Server, protocol: str) -> bytes:
    """The first lines of a request for a live connection."""
    key = base64.b64encode(os.urandom(16)).decode()
    lines = ["Upgrade: websocket", "Connection: Upgrade", "Sec-WebSocket-Version: 13", f"Sec-WebSocket-Key: {key}"]
    return head(server, "GET", f"{path(server)}ws", *lines, f"Sec-WebSocket-Protocol: {protocol}")


def frame(code: int, payload: bytes, *, last: bool = True, says: int | None = None) -> bytes:
    """A frame of RFC 6455, 5.2, masked with zeros; `says` is the length it claims."""
    length = len(payload) if says is None else says
    first = bytes([(0x80 if last else 0) | code])
    if length < 126:
        size = bytes([0x80 | length])
    elif length < 65_536:
        size = bytes([0x80 | 126]) + struct.pack("!H", length)
    else:
        size = bytes([0x80 | 127]) + struct.pack("!Q", length)
    return first + size + bytes(4) + payload


def codes(frames: bytes) -> list[int]:
    """The codes of the whole frames that a server sent, RFC 6455, 5.2: unmasked, each after the other."""
    found, place = [], 0
    while place + 2 <= len(frames):
        code, length, place = frames[place] & 0xF, frames[place + 1], place + 2
        if length > 125:
            size = 2 if length == 126 else 8
            length, place = int.from_bytes(frames[place : place + size]), place + size
        place += length
        if place <= len(frames):
            found.append(code)
    return found


def message(*parts: object) -> bytes:
    """The frames of a message of the pages' own protocol: each part a text."""
    return b"".join(frame(1, (part if isinstance(part, str) else json.dumps(part)).encode()) for part in parts)
