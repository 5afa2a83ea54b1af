"""Foreign hosts, foreign pages and guessed links get nothing."""

from __future__ import annotations

import http.client
from urllib.parse import urlsplit

import pytest

from tests.browser.served import PATIENCE_S, Server

pytestmark = pytest.mark.browser


def status(server: Server, path: str, headers: dict[str, str], method: str = "GET") -> tuple[int, str, dict[str, str]]:
    parts = urlsplit(server.link)
    asking = http.client.HTTPConnection(parts.hostname or "", parts.port or 0, timeout=PATIENCE_S)
    asking._validate_path = lambda _: None  # type: ignore[attr-defined] # paths no client of good manners sends
    asking._encode_request = lambda line: line.encode("latin-1")  # type: ignore[attr-defined]
    asking.putrequest(method, path, skip_host="Host" in headers)
    for name, value in headers.items():
        asking.putheader(name, value)
    asking.endheaders()
    answer = asking.getresponse()
    body = answer.read().decode("utf-8", "replace")
    asking.close()
    return answer.status, body, dict(answer.getheaders())


def own_path(server: Server) -> str:
    return urlsplit(server.link).path


def test_the_printed_link_is_answered_and_its_answer_is_shut_in(server: Server) -> None:
    code, _, headers = status(server, own_path(server), {})
    assert code == 200
    assert "default-src 'none'" in headers["Content-Security-Policy"]
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["X-Content-Type-Options"] == "nosniff"


WITHOUT = [
    "/",
    "//",
    "/guess/",
    "/guess/?day=two",
    "/guess/news?day=two",
    "/static/js/bokeh.min.js",
    "/static/extensions/x",
    "/favicon.ico",
    "/robots.txt",
    "/ws",
    "/news",
    "/%",
    "/\xff",
    "*",
]


@pytest.mark.parametrize("path", WITHOUT)
def test_without_the_secret_part_there_is_nothing(server: Server, path: str) -> None:
    code, body, headers = status(server, path, {})
    assert code == 403
    assert "test day" not in body
    assert body == status(server, "/", {})[1]
    assert "Server" not in headers


@pytest.mark.parametrize("more", ["", "x/", "x/news", "//favicon.ico"])
def test_what_only_begins_like_the_secret_part_is_refused(server: Server, more: str) -> None:
    assert status(server, own_path(server).rstrip("/") + more, {})[0] == 403
    assert status(server, own_path(server)[:-2] + "/" + more, {})[0] == 403


@pytest.mark.parametrize("path", ["none", "static/none.js", "favicon.ico"])
def test_an_answer_that_there_is_nothing_does_not_name_the_secret(server: Server, path: str) -> None:
    code, body, _ = status(server, own_path(server) + path, {})
    assert code in (403, 404)
    assert own_path(server).strip("/") not in body


@pytest.mark.parametrize("host", ["evil.example:80", "evil.example", "127.0.0.1", "127.0.0.1:1", "localhost.evil:5006"])
def test_a_foreign_host_is_refused(server: Server, host: str) -> None:
    code, body, _ = status(server, own_path(server), {"Host": host})
    assert code == 403
    assert "Ride days" not in body


@pytest.mark.parametrize("origin", ["http://evil.example", "https://127.0.0.1", "null", "http://127.0.0.1:1"])
@pytest.mark.parametrize(("where", "method"), [("", "GET"), ("news", "GET"), ("again", "POST")])
def test_a_foreign_page_is_refused(server: Server, origin: str, where: str, method: str) -> None:
    headers = {"Origin": origin, "Content-Length": "0"}
    assert status(server, own_path(server) + where, headers, method)[0] == 403


def test_localhost_is_the_same_place(server: Server) -> None:
    port = urlsplit(server.link).port
    assert status(server, own_path(server), {"Host": f"localhost:{port}"})[0] == 200


@pytest.mark.parametrize("path", ["../../etc/passwd", "static/../../../../etc/passwd", "static/%2e%2e/%2e%2e/setup.py"])
def test_no_path_leads_out(server: Server, path: str) -> None:
    code, body, _ = status(server, own_path(server) + path, {})
    assert code in (403, 404)
    assert "root:x:" not in body


@pytest.mark.parametrize("origin", ["http://evil.example", "http://127.0.0.1:1", "null"])
def test_a_foreign_page_gets_no_socket(server: Server, origin: str) -> None:
    headers = {
        "Origin": origin,
        "Upgrade": "websocket",
        "Connection": "Upgrade",
        "Sec-WebSocket-Version": "13",
        "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ==",
    }
    assert status(server, own_path(server) + "ws", headers)[0] == 403
