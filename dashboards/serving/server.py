"""The server's life: a port, a secret in the link, until Ctrl-C."""

from __future__ import annotations

import gc
import secrets
import signal
from collections.abc import Callable
from dataclasses import dataclass
from ipaddress import ip_address
from pathlib import Path
from types import FrameType

from bokeh.application import Application
from bokeh.server.server import BaseServer
from bokeh.server.util import bind_sockets
from tornado.ioloop import IOLoop

from telemetry.errors import CallError

from .aside import Aside
from .complaints import take_over
from .door import USUAL, Door, Limits
from .folder_pages import FolderPages
from .guard import GuardedTornado
from .kept import KeptDays
from .kept_pages import KeptPages
from .library import Library
from .news import News, Reload
from .shelves import Shelves
from .writing import Write

LOOPBACK = "127.0.0.1"
UNUSED_MS, LOOK_EVERY_MS = 3_000, 1_500
"""How long a closed page's document is kept, and how often that is looked at."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Serving:
    """A server that runs on its loop: its link, and how to end it."""

    link: str
    loop: IOLoop
    door: Door
    days: Shelves

    def stop(self) -> None:
        """End it, from any thread or a signal."""
        self.loop.add_callback_from_signal(self.loop.stop)


def _hosts(host: str, port: int) -> frozenset[str]:
    """Return how browsers may name this server."""
    names = {host, "localhost"} if host == LOOPBACK else {host}
    return frozenset(f"{name}:{port}" for name in names)


def _require_address(host: str) -> None:
    try:
        address = ip_address(host)
    except ValueError:
        raise CallError("--host", repr(host), "an address in figures, such as 192.168.1.20") from None
    if address.is_unspecified or address.version != 4:
        raise CallError("--host", repr(host), "one IPv4 address of this machine", "name the one others reach it by")


def start(folder: Path, *, kept: bool = False, host: str = LOOPBACK, port: int = 0, limits: Limits = USUAL) -> Serving:
    """Start a server; it answers once its loop runs.

    Parameters
    ----------
    folder : Path
        Holds one ride day or many; nothing outside of it is read.
    kept : bool
        Whether it is a library of kept days: nothing is written back then.
    host : str
        Loopback unless somebody else shall look.
    port : int
        0 takes any that is free.
    limits : Limits
        What whoever connects may take.

    Raises
    ------
    CallError
        If the folder isn't there or no library, or the address or port can't be had.
    """
    if not (kept or folder.is_dir()):
        raise CallError(str(folder), "no such folder", "a folder with ride days", "name one")
    _require_address(host)
    days = KeptDays(folder) if kept else Library(folder)
    try:
        sockets, port = bind_sockets(host, port)
    except OSError as error:
        found = f"{host}:{port}: {str(error.strerror).lower()}"
        raise CallError("--port", found, "an address and port that are free", "name another, or none") from None
    secret = secrets.token_urlsafe(18)
    take_over(secret)
    aside = Aside("pages")
    pages = KeptPages(days, aside) if isinstance(days, KeptDays) else FolderPages(days, aside)
    writing = [] if isinstance(days, KeptDays) else [("/write", Write, {"library": days, "aside": aside})]
    loop = IOLoop.current()
    web = GuardedTornado(
        {"/": Application(pages)},
        hosts=_hosts(host, port),
        secret=secret,
        body_bytes=limits.body_bytes,
        extra_patterns=[
            ("/news", News, {"library": days}),
            ("/again", Reload, {"library": days}),
            *writing,
        ],
        unused_session_lifetime_milliseconds=UNUSED_MS,
        check_unused_sessions_milliseconds=LOOK_EVERY_MS,
        websocket_ping_interval=limits.answer_s,
        websocket_ping_timeout=limits.answer_s,
    )
    door = Door(web, sockets, limits)
    BaseServer(loop, web, door.http).start()
    door.open()
    return Serving(link=f"http://{host}:{port}/{secret}/", loop=loop, door=door, days=days)


def serve(
    folder: Path,
    *,
    kept: bool = False,
    host: str,
    port: int,
    ready: Callable[[str], None],
    limits: Limits = USUAL,
) -> None:
    """Serve a folder until Ctrl-C or a polite kill.

    Parameters
    ----------
    folder : Path
    kept : bool
    host : str
    port : int
    ready : callable
        Told the link.
    limits : Limits
    """
    serving = start(folder, kept=kept, host=host, port=port, limits=limits)
    gc.freeze()  # the library searches for garbage whenever a page is closed: not among what was loaded for good
    gc.enable()

    def end(_number: int, _frame: FrameType | None) -> None:
        serving.stop()

    before = {number: signal.signal(number, end) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        ready(serving.link)
        serving.loop.start()
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        serving.door.shut()
        serving.days.close()
