"""What goes wrong while serving, on the terminal: a line each, and never the secret of the link."""

from __future__ import annotations

import logging
import os
import sys
import traceback

from telemetry.errors import RideDayError, TelemetryError, clean_text

LONGEST = 400
OURS = "dashboards"
"""The name under which the pages themselves complain; the others are the libraries'."""


def own_fault(error: BaseException) -> str:
    """Return the line that tells a fault of the program's own."""
    return f"the program's own fault: {type(error).__name__}: {clean_text(str(error))}. Please report it"


def what_went_wrong(error: Exception) -> str:
    """Return the line that tells a page why something can't be shown, whatever was raised."""
    if isinstance(error, TelemetryError):
        return error.line
    if isinstance(error, MemoryError):
        return "too little memory for these logs: close programs or split them"
    return own_fault(error)


def every_problem(error: Exception) -> tuple[str, ...]:
    """Return each thing that is wrong with a ride day's file, a line each, where it is more than one; else nothing."""
    if not isinstance(error, RideDayError) or len(error.problems) < 2:
        return ()
    more = (f"and {error.left_out} more",) if error.left_out else ()
    return (*(problem.line for problem in error.problems), *more)


def complain(error: Exception) -> str:
    """Say on the terminal what went wrong; return it for the page."""
    logging.getLogger(OURS).error("%s", own_fault(error), exc_info=error)
    return what_went_wrong(error)


class Complaints(logging.Handler):
    """Writes a line on standard error for each complaint; with ``TELEMETRY_TRACEBACK`` set, where it came from too.

    Parameters
    ----------
    secret : str
        Left out wherever it stands: the libraries name the link in what they say.
    """

    def __init__(self, secret: str) -> None:
        super().__init__()
        self._secret = secret

    def emit(self, record: logging.LogRecord) -> None:
        """Write one complaint."""
        error = record.exc_info[1] if record.exc_info else None
        words = record.getMessage() if error is None else own_fault(error)
        self._write(f"telemetry: {clean_text(self._without_secret(words), longest=LONGEST)}")
        if error is not None and "TELEMETRY_TRACEBACK" in os.environ:
            self._write(self._without_secret("".join(traceback.format_exception(error))).rstrip())

    def _without_secret(self, text: str) -> str:
        return text.replace(self._secret, "…")

    def _write(self, line: str) -> None:
        try:
            sys.stderr.write(f"{line}\n")
            sys.stderr.flush()
        except (OSError, ValueError):  # nobody reads it any more
            self.close()


def take_over(secret: str) -> None:
    """Have every complaint of ours and of the libraries that serve go through `Complaints`, and nowhere else.

    What a client did wrong is told to that client and not here.
    """
    taking = Complaints(secret)
    for name, least in (
        (OURS, logging.ERROR),
        ("asyncio", logging.ERROR),
        ("bokeh", logging.ERROR),
        ("tornado.application", logging.ERROR),
        ("tornado.general", logging.CRITICAL),
        ("tornado.access", logging.CRITICAL),
    ):
        logger = logging.getLogger(name)
        logger.handlers[:] = [taking]
        logger.propagate = False
        logger.setLevel(least)
