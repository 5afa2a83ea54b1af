"""What a terminal that isn't as wide as a table shows: every word whole, no line longer than it."""

from __future__ import annotations

import os
import pty
from contextlib import redirect_stdout

import pytest

from telemetry.cli.tables import line_width, show
from telemetry.sheet import table

WIDE = table(
    ["", "expected", "90 %", "measured", "90 %", ""],
    [["Front, ten-a-minute return speed, %", "−0.5", "−2.4 to +1.5", "−1.9", "−7.7 to +4.3", "can't tell"]],
)


def on_a_terminal(monkeypatch: pytest.MonkeyPatch, columns: int, width: int | None) -> str:
    """Return what a terminal so wide is sent for the table."""
    monkeypatch.setenv("COLUMNS", str(columns))
    there, here = pty.openpty()
    with os.fdopen(here, "w") as terminal:
        with redirect_stdout(terminal):
            show(WIDE, None if width is None else line_width(width))
        terminal.flush()
        sent = os.read(there, 65536).decode()
    os.close(there)
    return sent.replace("\r", "")


def test_a_table_too_wide_to_be_drawn_is_set_plain_and_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    sent = on_a_terminal(monkeypatch, 80, 100)
    assert "│" not in sent
    assert "…" not in sent
    assert all(word in sent for word in ("ten-a-minute", "return", "can't tell", "−7.7 to +4.3"))
    assert max(map(len, sent.splitlines())) <= 80


def test_one_that_fits_is_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    assert "│" in on_a_terminal(monkeypatch, 140, 100)
    assert "│" in on_a_terminal(monkeypatch, 80, None)


def test_a_line_is_as_long_as_asked_where_nobody_looks_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "70")
    assert line_width(100) == 100
