"""Progress on standard error, for work that takes over a second."""

from __future__ import annotations

import sys
import time
from types import TracebackType
from typing import Self

from telemetry.errors import clean_text

QUIET_S = 1.0
CLEAR_LINE = "\r\x1b[2K"


class ProgressLine:
    """Shows which run is being worked on, on a terminal only, and wipes its line when done."""

    def __init__(self, total: int, doing: str = "reading") -> None:
        self._total = total
        self._doing = doing
        self._done = 0
        self._started = time.monotonic()
        self._shown = False

    def __call__(self, name: str) -> None:
        """Tell that the next run is taken up."""
        self._done += 1
        if sys.stderr.isatty() and time.monotonic() - self._started > QUIET_S:
            sys.stderr.write(f"{CLEAR_LINE}{self._doing} {clean_text(name)} ({self._done} of {self._total}) …")
            sys.stderr.flush()
            self._shown = True

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._shown:
            sys.stderr.write(CLEAR_LINE)
            sys.stderr.flush()
