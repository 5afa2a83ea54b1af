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
        self._show(f"{self._doing} {clean_text(name)} ({self._done} of {self._total}) …")

    def _show(self, line: str) -> None:
        if sys.stderr.isatty() and time.monotonic() - self._started > QUIET_S:
            sys.stderr.write(CLEAR_LINE + line)
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


class TimeLeft(ProgressLine):
    """Shows which of many alike has been done, and how long the others will take as these have."""

    def __init__(self, doing: str) -> None:
        super().__init__(0, doing)

    def expect(self, total: int) -> None:
        """Take note of how many there are to do."""
        self._total, self._started = total, time.monotonic()

    def __call__(self, name: str) -> None:
        """Tell that one is done."""
        self._done += 1
        self._total = max(self._total, self._done)
        left_s = (time.monotonic() - self._started) / self._done * (self._total - self._done)
        left = f", about {for_people(left_s)} left" if self._done < self._total else ""
        self._show(f"{self._doing} {clean_text(name)} ({self._done} of {self._total}{left}) …")


def for_people(seconds: float) -> str:
    """Return a time as it is said.

    Examples
    --------
    >>> for_people(40), for_people(400), for_people(40_000), for_people(400_000)
    ('40 s', '7 min', '11 h', '5 days')
    """
    for length, unit, from_ in ((86_400, "days", 2), (3_600, "h", 2), (60, "min", 2)):
        if seconds >= from_ * length:
            return f"{seconds / length:.0f} {unit}"
    return f"{seconds:.0f} s"
