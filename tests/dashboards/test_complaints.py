"""Faults while serving: one line on the terminal, without the secret, whoever of the libraries complains."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Iterator

import pytest

from dashboards.serving.complaints import take_over

SECRET = "not-to-be-seen-by-anyone"  # noqa: S105 - made up
NAMES = ("dashboards", "asyncio", "bokeh", "bokeh.server.views.ws", "tornado.application")


@pytest.fixture(autouse=True)
def taken_over() -> Iterator[None]:
    kept = {}
    for name in (*NAMES, "tornado.general", "tornado.access"):
        logger = logging.getLogger(name)
        kept[name] = (list(logger.handlers), logger.propagate, logger.level)
    take_over(SECRET)
    yield
    for name, (handlers, propagate, level) in kept.items():
        logger = logging.getLogger(name)
        logger.handlers[:], logger.propagate = handlers, propagate
        logger.setLevel(level)


def fail(name: str) -> None:
    error = ValueError(f"http://127.0.0.1:1/{SECRET}/news\nand\x1b[31m more " + "x" * 5000)
    logging.getLogger(name).error("Uncaught exception GET /%s/news\n%r", SECRET, {"uri": SECRET}, exc_info=error)


@pytest.mark.parametrize("name", NAMES)
def test_a_fault_is_one_line_without_the_secret(name: str, capfd: pytest.CaptureFixture[str]) -> None:
    fail(name)
    said = capfd.readouterr().err
    assert said.startswith("telemetry: the program's own fault: ValueError: http://127.0.0.1:1/…/news and [31m more ")
    assert said.count("\n") == 1
    assert len(said) < 500
    assert SECRET not in said


def test_where_it_came_from_is_shown_when_wished_and_still_without_the_secret(
    capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TELEMETRY_TRACEBACK", "1")
    fail("tornado.application")
    said = capfd.readouterr().err
    assert said.splitlines()[1].startswith("ValueError: ")
    assert SECRET not in said


def test_what_a_client_did_wrong_is_no_complaint(capfd: pytest.CaptureFixture[str]) -> None:
    logging.getLogger("tornado.general").warning("404 GET /%s/none", SECRET)
    logging.getLogger("tornado.access").error("500 GET /%s/", SECRET)
    assert capfd.readouterr().err == ""


def test_a_forgotten_task_is_told_the_same_way(capfd: pytest.CaptureFixture[str]) -> None:
    loop = asyncio.new_event_loop()
    loop.call_exception_handler({"message": f"/{SECRET}/", "exception": KeyError(SECRET)})
    loop.close()
    assert capfd.readouterr().err == "telemetry: the program's own fault: KeyError: '…'. Please report it\n"
