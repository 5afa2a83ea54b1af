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

from tests.browser.served import Server, serving_within
from tests.pipeline.small_days import make_day
from tests.safety.raw_requests import connected, head, path, seconds_until_closed, status

SHORT_S, MOST = 0.7, 12
BODY_BYTES = 1_000_000
LATEST_S = 5.0
"""A slow machine gets as long; the usual limits are several times that."""


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    folder = make_day(tmp_path_factory.mktemp("served") / "day", ("a",), seconds=5.0)
    with serving_within(
        folder, idle_s=SHORT_S, body_s=SHORT_S, taken_s=SHORT_S, pause_s=0.2, connections=MOST
    ) as found:
        yield found


def test_a_body_that_says_it_is_too_large_is_refused_before_it_comes(server: Server) -> None:
    with connected(server) as connection:
        connection.sendall(head(server, "POST", f"{path(server)}again", f"Content-Length: {BODY_BYTES + 1}"))
        assert status(connection) == 413
        assert seconds_until_closed(connection) < LATEST_S


@pytest.mark.parametrize("length", ["1" * 30, "-5", "1e9", "5, 6"])
def test_a_length_that_makes_no_sense_is_refused(server: Server, length: str) -> None:
    with connected(server) as connection:
        connection.sendall(head(server, "POST", f"{path(server)}again", f"Content-Length: {length}"))
        assert status(connection) in (400, 413)
        assert seconds_until_closed(connection) < LATEST_S


@pytest.mark.parametrize("chunks", [b"f4241\r\n", b"ffffffffffff\r\n", b"80000\r\n%b\r\n80000\r\n" % bytes(0x80000)])
def test_a_body_that_comes_in_parts_is_refused_once_it_grows_too_large(server: Server, chunks: bytes) -> None:
    with connected(server) as connection:
        connection.sendall(head(server, "POST", f"{path(server)}again", "Transfer-Encoding: chunked") + chunks)
        assert status(connection) in (0, 400)
        assert seconds_until_closed(connection) < LATEST_S


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
        assert seconds_until_closed(connection) < SHORT_S


def test_without_the_secret_no_body_is_waited_for(server: Server) -> None:
    with connected(server) as connection:
        connection.sendall(head(server, "POST", "/again", "Content-Length: 500000"))
        assert status(connection) == 403
        assert seconds_until_closed(connection) < LATEST_S


@pytest.mark.parametrize("sent", [b"", b"GET / HT", b"GET / HTTP/1.1\r\nHost: x\r\nA: b\r\n"])
def test_a_request_whose_first_lines_never_come_whole_is_ended(server: Server, sent: bytes) -> None:
    with connected(server) as connection:
        connection.sendall(sent)
        assert SHORT_S / 2 < seconds_until_closed(connection) < LATEST_S


def test_a_request_that_comes_drop_by_drop_is_ended(server: Server) -> None:
    ends = time.monotonic() + LATEST_S
    with connected(server) as connection:
        try:
            for drop in head(server, "GET", path(server), *[f"A{n}: b" for n in range(1000)]):
                assert time.monotonic() < ends
                connection.sendall(bytes([drop]))
                time.sleep(0.02)
        except (BrokenPipeError, ConnectionResetError):
            return
    pytest.fail("it came whole")


def test_a_connection_kept_open_after_its_answer_is_ended(server: Server) -> None:
    with connected(server) as connection:
        connection.sendall(head(server, "GET", f"{path(server)}news?day="))
        assert status(connection) == 200
        assert SHORT_S / 2 < seconds_until_closed(connection) < LATEST_S


def test_a_body_that_never_comes_whole_is_ended(server: Server) -> None:
    with connected(server) as connection:
        connection.sendall(head(server, "POST", f"{path(server)}again", "Content-Length: 500000") + b"day=")
        assert SHORT_S / 2 < seconds_until_closed(connection) < LATEST_S


def test_who_takes_no_answer_is_let_go_of(server: Server) -> None:
    before = server.open_sockets
    with connected(server) as connection:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        connection.sendall(head(server, "GET", f"{path(server)}static/js/bokeh.js") * 20)
        time.sleep(0.3)
        assert server.open_sockets > before
        ends = time.monotonic() + LATEST_S
        while server.open_sockets > before and time.monotonic() < ends:
            time.sleep(0.05)
        assert server.open_sockets <= before


def test_a_crowd_that_asks_nothing_keeps_nobody_out(server: Server) -> None:
    beside = server.open_sockets
    with ExitStack() as stack:
        for _ in range(4 * MOST):
            stack.enter_context(connected(server))
        with connected(server) as connection:
            connection.sendall(head(server, "GET", f"{path(server)}news?day="))
            assert status(connection) == 200
        assert server.open_sockets <= beside + MOST


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
            before = server.processor_s
            time.sleep(1.0)
            assert server.processor_s - before < 0.2
    finally:
        resource.prlimit(process, resource.RLIMIT_NOFILE, usual)
    with urlopen(server.link, timeout=LATEST_S) as answer:  # noqa: S310 - our own server
        assert answer.status == 200
