"""Whoever connects takes only so much: of room, of time, of the system's files. Sockets against a real process."""

from __future__ import annotations

import resource
import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from urllib.request import urlopen

import pytest

from tests.browser.served import PATIENCE_S, Server, serving_within
from tests.pipeline.small_days import make_day
from tests.safety.raw_requests import connected, head, no_sooner_than, path, status, until_closed
from tests.waiting import waited_for

SHORT_S, MOST = 0.7, 12
LONG_S = 10 * PATIENCE_S
"""No test waits for this: a connection that is closed within its patience wasn't closed by a clock."""
BODY_BYTES = 1_000_000


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_day(tmp_path_factory.mktemp("served") / "day", ("a",), seconds=5.0)


@pytest.fixture(scope="module")
def server(folder: Path) -> Iterator[Server]:
    """One that waits long for whoever is slow: however busy the machine is."""
    with serving_within(folder, idle_s=LONG_S, body_s=LONG_S, taken_s=LONG_S, pause_s=0.2, connections=MOST) as found:
        found.wait_until_read(".")
        yield found


@pytest.fixture(scope="module")
def hasty(folder: Path) -> Iterator[Server]:
    """One that soon lets go of whoever is slow."""
    with serving_within(folder, idle_s=SHORT_S, body_s=SHORT_S, taken_s=SHORT_S) as found:
        yield found


def other_end(connection: socket.socket) -> str:
    """The system's name for the other end of a connection that stands; empty until it is let in."""
    ports = [f"{port:04X}" for _, port in (connection.getpeername(), connection.getsockname())]
    for line in Path("/proc/net/tcp").read_text(encoding="ascii").splitlines()[1:]:
        fields = line.split()
        if [place[-4:] for place in fields[1:3]] == ports and fields[9] != "0":
            return f"socket:[{fields[9]}]"
    return ""


def test_a_body_that_says_it_is_too_large_is_refused_before_it_comes(server: Server) -> None:
    with connected(server) as connection:
        connection.sendall(head(server, "POST", f"{path(server)}again", f"Content-Length: {BODY_BYTES + 1}"))
        assert status(connection) == 413
        until_closed(connection)


@pytest.mark.parametrize("length", ["1" * 30, "-5", "1e9", "5, 6"])
def test_a_length_that_makes_no_sense_is_refused(server: Server, length: str) -> None:
    with connected(server) as connection:
        connection.sendall(head(server, "POST", f"{path(server)}again", f"Content-Length: {length}"))
        assert status(connection) in (400, 413)
        until_closed(connection)


@pytest.mark.parametrize("chunks", [b"f4241\r\n", b"ffffffffffff\r\n", b"80000\r\n%b\r\n80000\r\n" % bytes(0x80000)])
def test_a_body_that_comes_in_parts_is_refused_once_it_grows_too_large(server: Server, chunks: bytes) -> None:
    with connected(server) as connection:
        connection.sendall(head(server, "POST", f"{path(server)}again", "Transfer-Encoding: chunked") + chunks)
        assert status(connection) in (0, 400)
        until_closed(connection)


def test_a_body_just_small_enough_is_read(server: Server) -> None:
    with connected(server) as connection:
        first = head(
            server,
            "POST",
            f"{path(server)}again",
            f"Content-Length: {BODY_BYTES}",
            "Content-Type: application/x-www-form-urlencoded",
        )
        connection.sendall(first + b"back=" + b"x" * (BODY_BYTES - 5))
        assert status(connection) == 303


def test_who_is_refused_is_told_that_the_connection_ends(server: Server) -> None:
    with connected(server) as connection:
        connection.sendall(head(server, "GET", "/"))
        assert b"Connection: close" in connection.recv(65_536)
        until_closed(connection)


def test_without_the_secret_no_body_is_waited_for(server: Server) -> None:
    with connected(server) as connection:
        connection.sendall(head(server, "POST", "/again", "Content-Length: 500000"))
        assert status(connection) == 403
        until_closed(connection)


@pytest.mark.parametrize("sent", [b"", b"GET / HT", b"GET / HTTP/1.1\r\nHost: x\r\nA: b\r\n"])
def test_a_request_whose_first_lines_never_come_whole_is_ended(hasty: Server, sent: bytes) -> None:
    with no_sooner_than(SHORT_S), connected(hasty) as connection:
        connection.sendall(sent)
        until_closed(connection)


def test_a_request_that_comes_drop_by_drop_is_ended(hasty: Server) -> None:
    with connected(hasty) as connection:
        try:
            for drop in head(hasty, "GET", path(hasty), *[f"A{n}: b" for n in range(1000)]):
                connection.sendall(bytes([drop]))
                time.sleep(0.02)
        except (BrokenPipeError, ConnectionResetError):
            return
    pytest.fail("it came whole")


def test_a_connection_kept_open_after_its_answer_is_ended(hasty: Server) -> None:
    with connected(hasty) as connection, no_sooner_than(SHORT_S):
        connection.sendall(head(hasty, "GET", f"{path(hasty)}news?day="))
        assert status(connection) == 200
        until_closed(connection)


def test_a_body_that_never_comes_whole_is_ended(hasty: Server) -> None:
    with connected(hasty) as connection, no_sooner_than(SHORT_S):
        connection.sendall(head(hasty, "POST", f"{path(hasty)}again", "Content-Length: 500000") + b"day=")
        until_closed(connection)


def test_who_takes_no_answer_is_let_go_of(hasty: Server) -> None:
    with connected(hasty) as connection:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        waited_for(lambda: bool(other_end(connection)))
        held = other_end(connection)
        connection.sendall(head(hasty, "GET", f"{path(hasty)}static/js/bokeh.js") * 20)
        assert connection.recv(1)  # it was let in
        waited_for(lambda: held not in hasty.open_sockets)


def test_a_crowd_that_asks_nothing_keeps_nobody_out(server: Server) -> None:
    beside = len(server.open_sockets)
    with ExitStack() as stack:
        for _ in range(4 * MOST):
            stack.enter_context(connected(server))
        with connected(server) as connection:
            connection.sendall(head(server, "GET", f"{path(server)}news?day="))
            assert status(connection) == 200
        assert len(server.open_sockets) <= beside + MOST


def test_without_files_to_give_the_server_rests_and_comes_back(server: Server) -> None:
    process = server.process.pid
    held = len(list(Path(f"/proc/{process}/fd").iterdir()))
    usual = resource.prlimit(process, resource.RLIMIT_NOFILE)
    resource.prlimit(process, resource.RLIMIT_NOFILE, (held, usual[1]))
    try:
        with ExitStack() as stack:
            for _ in range(10):
                stack.enter_context(connected(server))
            time.sleep(0.2)
            before, start = server.processor_s, time.monotonic()
            time.sleep(1.0)
            assert server.processor_s - before < 0.2 * (time.monotonic() - start)
    finally:
        resource.prlimit(process, resource.RLIMIT_NOFILE, usual)
    with urlopen(server.link, timeout=PATIENCE_S) as answer:  # noqa: S310 - our own server
        assert answer.status == 200
