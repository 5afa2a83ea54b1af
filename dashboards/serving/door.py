"""How connections come in: so many, so large, for so long, and without turning in circles when files run out."""

from __future__ import annotations

import resource
import socket
from collections.abc import Awaitable, Iterable
from contextlib import suppress
from dataclasses import dataclass

from tornado.http1connection import HTTP1Connection
from tornado.httpserver import HTTPServer
from tornado.httputil import (
    HTTPConnection,
    HTTPHeaders,
    HTTPMessageDelegate,
    HTTPServerConnectionDelegate,
    RequestStartLine,
    ResponseStartLine,
)
from tornado.ioloop import IOLoop
from tornado.iostream import IOStream

AT_A_TIME = 64
"""How many connections are let in before the loop turns to other work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What whoever connects may take of the server; every figure is our own choice.

    Attributes
    ----------
    connections : int
        Open at a time; a browser takes six and one for every tab. Never more than half of the files that the system
        lets the process open.
    body_bytes : int
        Of a request, and of a message on a page's live connection.
    idle_s : float
        Until a request's first lines have come whole: a connection kept open, or one that sends drop by drop.
    body_s : float
        Until the rest of the request has come.
    taken_s : float
        Until the other side takes what it is sent, where the system can tell.
    answer_s : float
        Until a live connection answers a knock; as often it is knocked.
    pause_s : float
        Nobody is let in for so long once the system has no file to give.
    """

    connections: int = 200
    body_bytes: int = 1_000_000
    idle_s: float = 30.0
    body_s: float = 20.0
    taken_s: float = 30.0
    answer_s: float = 20.0
    pause_s: float = 0.5


USUAL = Limits()


class _Noticed(HTTPMessageDelegate):
    """A request on its way to whoever answers it; the door is told once its first lines have come."""

    def __init__(self, door: Door, stream: IOStream, answering: HTTPMessageDelegate) -> None:
        self._door, self._stream, self._answering = door, stream, answering

    def headers_received(
        self, start_line: RequestStartLine | ResponseStartLine, headers: HTTPHeaders
    ) -> Awaitable[None] | None:
        self._door.is_answered(self._stream)
        return self._answering.headers_received(start_line, headers)

    def data_received(self, chunk: bytes) -> Awaitable[None] | None:
        return self._answering.data_received(chunk)

    def finish(self) -> None:
        self._answering.finish()

    def on_connection_close(self) -> None:
        self._answering.on_connection_close()


class Door(HTTPServerConnectionDelegate):
    """Lets connections in; where there are too many, the one that has waited longest without asking has to go.

    Parameters
    ----------
    web : HTTPServerConnectionDelegate
        Answers requests.
    sockets : iterable of socket
        Bound and listening.
    limits : Limits
    """

    def __init__(self, web: HTTPServerConnectionDelegate, sockets: Iterable[socket.socket], limits: Limits) -> None:
        self._web, self._sockets, self._limits = web, tuple(sockets), limits
        self._most = max(1, min(limits.connections, resource.getrlimit(resource.RLIMIT_NOFILE)[0] // 2))
        self._inside: set[IOStream] = set()
        self._waiting: dict[IOStream, None] = {}  # in the order in which they began to wait
        self._loop = IOLoop.current()
        self._shut = False
        self.http = HTTPServer(
            self,
            idle_connection_timeout=limits.idle_s,
            body_timeout=limits.body_s,
            max_body_size=limits.body_bytes,
        )

    def open(self) -> None:
        """Let in whoever knocks from now on."""
        for listening in self._sockets:
            self._loop.add_handler(listening, self._knocked, IOLoop.READ)

    def shut(self) -> None:
        """Let nobody in any more, and end what is open."""
        if not self._shut:
            self._shut = True
            for listening in self._sockets:
                self._loop.remove_handler(listening)
                listening.close()
            for stream in self._inside:
                stream.close()

    def start_request(self, server_conn: object, request_conn: HTTPConnection) -> HTTPMessageDelegate:
        """Return who is told of a connection's next request; until it comes, the connection waits."""
        answering = self._web.start_request(server_conn, request_conn)
        if not isinstance(request_conn, HTTP1Connection):
            return answering
        self._waiting.pop(request_conn.stream, None)
        self._waiting[request_conn.stream] = None
        return _Noticed(self, request_conn.stream, answering)

    def is_answered(self, stream: IOStream) -> None:
        """Note that a connection waits no longer."""
        self._waiting.pop(stream, None)

    def _knocked(self, listening: socket.socket, _events: int) -> None:
        for _ in range(AT_A_TIME):
            try:
                connection, address = listening.accept()
            except (BlockingIOError, ConnectionAbortedError):
                return
            except OSError:  # no file to be had: as long as nobody is let in, asking again would be all the loop does
                self._end_longest_waiting()
                self._pause(listening)
                return
            self._let_in(connection, address)

    def _pause(self, listening: socket.socket) -> None:
        def on_again() -> None:
            if not self._shut:
                self._loop.add_handler(listening, self._knocked, IOLoop.READ)

        self._loop.remove_handler(listening)
        self._loop.call_later(self._limits.pause_s, on_again)

    def _let_in(self, connection: socket.socket, address: tuple[str, int]) -> None:
        self._inside = {stream for stream in self._inside if not stream.closed()}
        self._waiting = {stream: None for stream in self._waiting if not stream.closed()}
        if len(self._inside) >= self._most and not self._end_longest_waiting():
            connection.close()
            return
        if hasattr(socket, "TCP_USER_TIMEOUT"):
            with suppress(OSError):  # one that left meanwhile
                connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_USER_TIMEOUT, round(1e3 * self._limits.taken_s))
        stream = IOStream(connection, max_buffer_size=2 * self._limits.body_bytes)
        self._inside.add(stream)
        self._waiting[stream] = None
        self.http.handle_stream(stream, address)

    def _end_longest_waiting(self) -> bool:
        """End the connection that has waited longest for a request to come; False where every one is in use."""
        stream = next((stream for stream in self._waiting if not stream.closed()), None)
        if stream is None:
            return False
        stream.close()
        self._inside.discard(stream)
        return True
