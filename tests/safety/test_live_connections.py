"""A page's live connection: tokens that aren't this server's, messages that no page of ours sends."""

from __future__ import annotations

import base64
import json
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from bokeh.util.token import generate_jwt_token, generate_session_id

from tests.browser.served import Server, serving, serving_within
from tests.pipeline.small_days import make_day
from tests.safety.raw_requests import (
    codes,
    connected,
    frame,
    head,
    message,
    path,
    secret,
    status,
    token_of,
    until_closed,
    upgrade,
)

BODY_BYTES = 1_000_000
HEADER = {"msgid": "1", "msgtype": "PATCH-DOC"}
QUERY = "?day=day&page=travel"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("live")
    make_day(place / "day", ("a",), seconds=10.0)
    return place


@pytest.fixture(scope="module")
def server(folder: Path) -> Iterator[Server]:
    with serving(folder) as found:
        found.wait_until_read("day")
        yield found


@pytest.fixture(scope="module")
def token(server: Server) -> str:
    return token_of(server, QUERY)


def altered(token: str, **changes: object) -> str:
    """The token with other things said in it, under the signature it had."""
    said, signature = token.split(".", 1)
    words = json.loads(base64.urlsafe_b64decode(said + "=" * (-len(said) % 4)))
    mixed = base64.urlsafe_b64encode(json.dumps({**words, **changes}).encode()).decode().rstrip("=")
    return f"{mixed}.{signature}"


def wrong_protocols(token: str, other: str) -> dict[str, str]:
    """What may stand where a token is expected, by what is wrong with it."""
    unsigned = generate_jwt_token(generate_session_id(signed=False), signed=False)
    key = b"another server's"
    foreign = generate_jwt_token(generate_session_id(key, signed=True), key, signed=True)
    said, signature = token.split(".", 1)
    return {
        "nothing": "",
        "no token": "bokeh",
        "another protocol": f"chat, {token}",
        "three": f"bokeh, {token}, {token}",
        "empty": "bokeh, ",
        "garbage": "bokeh, garbage",
        "dots": "bokeh, ....",
        "unsigned": f"bokeh, {unsigned}",
        "another server's": f"bokeh, {foreign}",
        "half": f"bokeh, {token[: len(token) // 2]}",
        "without signature": f"bokeh, {said}",
        "another's signature": f"bokeh, {said}.{other.split('.', 1)[1]}",
        "for ever": f"bokeh, {altered(token, session_expiry=9e99)}",
        "another's session": f"bokeh, {altered(token, session_id='1')}",
        "no session": f"bokeh, {altered(token, session_id=None)}",
        "binary": "bokeh, " + bytes(range(0x80, 0x100)).decode("latin-1").replace("\x85", ""),
        "huge": f"bokeh, {'A' * 50_000}",
        "huge, signed": f"bokeh, {'A' * 50_000}.{signature}",
    }


def test_tokens_that_are_not_this_servers_are_refused_in_a_line_each(server: Server, token: str) -> None:
    wrong, before = wrong_protocols(token, token_of(server, QUERY)), len(server.lines)
    for name, protocol in wrong.items():
        with connected(server) as connection:
            connection.sendall(upgrade(server, protocol))
            assert status(connection) == 403, name
    lines = server.lines[before:]  # each was written before its answer
    assert len(lines) == len(wrong)
    assert all(line.startswith("telemetry: a page's live connection was refused: ") for line in lines), lines
    assert secret(server) not in "".join(lines)


@pytest.mark.parametrize("ask", ["?bokeh-token=x", "?bokeh-session-id=x", "metadata", "autoload.js?bokeh-session-id=x"])
def test_what_the_library_offers_beside_pages_is_refused(server: Server, ask: str) -> None:
    with connected(server) as connection:
        connection.sendall(head(server, "GET", path(server) + ask))
        assert status(connection) == 403


def opened(server: Server, connection: socket.socket, token: str) -> None:
    """Open the live connection of a page."""
    connection.sendall(upgrade(server, f"bokeh, {token}"))
    assert status(connection) == 101


WRONG_MESSAGES = {
    "no JSON": message("garbage", "garbage", "garbage"),
    "other JSON": message([1], {}, {}),
    "no kind": message({"msgid": "1"}, {}, {}),
    "an unknown kind": message({"msgid": "1", "msgtype": "x" * 500}, {}, {}),
    "no content": message(HEADER, {}, []),
    "a patch of nothing": message(HEADER, {}, {"events": [{"kind": "ModelChanged", "model": {"id": "none"}}]}),
    "parts without end": message({**HEADER, "num_buffers": 10**9}, {}, {"events": []}) + frame(2, b"x") * 3,
    "binary": frame(2, b"\0" * 100),
    "half a letter": frame(1, b"\xff"),
    "an unknown code": frame(3, b""),
    "a long knock": frame(9, b"x" * 200),
    "deep": message("[" * 200_000, {}, {}),
}


def test_messages_no_page_sends_close_the_connection_without_a_traceback(server: Server, token: str) -> None:
    before = len(server.lines)
    for sent in WRONG_MESSAGES.values():
        with connected(server) as connection:
            opened(server, connection, token)
            connection.sendall(sent + frame(8, b""))
            until_closed(connection)
    with connected(server) as connection:
        connection.sendall(head(server, "GET", path(server)))
        assert status(connection) == 200
    lines = server.lines[before:]
    assert all(line.startswith("telemetry: ") and len(line) < 500 for line in lines), lines
    assert len(lines) <= 2 * len(WRONG_MESSAGES)
    assert secret(server) not in "".join(lines)


@pytest.mark.parametrize(
    "sent",
    [
        frame(1, b"", says=BODY_BYTES + 1),
        frame(2, b"", says=1 << 62),
        frame(1, b"x" * (BODY_BYTES // 2), last=False) + frame(0, b"", says=BODY_BYTES // 2 + 1),
    ],
)
def test_a_message_too_large_is_refused_before_it_comes(server: Server, token: str, sent: bytes) -> None:
    with connected(server) as connection:
        opened(server, connection, token)
        connection.sendall(sent)
        until_closed(connection)


def test_a_connection_that_answers_no_knock_is_ended(folder: Path) -> None:
    """RFC 6455, 5.5: the frame that closes has the code 8, the one that knocks 9."""
    with serving_within(folder, answer_s=0.5) as server, connected(server) as connection:
        server.wait_until_read("day")
        opened(server, connection, token_of(server, QUERY))
        came = b""
        while 8 not in codes(came):
            piece = connection.recv(65_536)
            assert piece
            came += piece
        assert 9 in codes(came)
