"""The link handed to the browser by way of a file: what stands on a command line, everybody on the machine can read."""

from __future__ import annotations

import html
import os
import shutil
import tempfile
import threading
import webbrowser
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from telemetry.short_lived import short_lived_folder

KEPT_S = 60.0
"""Own choice: a browser that has to start first gets as long to open the file."""

_PAGE = """<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><meta name="referrer" content="no-referrer">
<meta http-equiv="refresh" content="0; url={link}"><title>Ride days</title></head>
<body><p><a href="{link}">To the ride days</a></p></body></html>
"""


def _place() -> Path:
    """Return where short-lived files of this user's go: the session's own folder where there is one."""
    runtime = Path(os.environ.get("XDG_RUNTIME_DIR", ""))
    own = runtime.is_absolute() and runtime.is_dir() and runtime.stat().st_uid == os.getuid()
    return runtime if own else Path(tempfile.gettempdir())


@contextmanager
def handed_over(link: str) -> Iterator[Path]:
    """Open the browser on a file that leads to a link.

    Parameters
    ----------
    link : str
        With its secret.

    Yields
    ------
    Path
        The file, readable by its owner only, in a folder of its own that is too; gone after a minute, and with the
        block at the latest.

    Notes
    -----
    A browser that takes over the terminal is let run beside the server: it waits for the server's answer.
    """
    with short_lived_folder(_place()) as folder:
        remove = threading.Timer(KEPT_S, shutil.rmtree, (folder,), {"ignore_errors": True})
        remove.daemon = True
        file = folder / "open.html"
        with open(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as page:  # noqa: PTH123 - the mode from the start
            page.write(_PAGE.format(link=html.escape(link)))
        threading.Thread(target=webbrowser.open, args=(file.as_uri(),), name="browser", daemon=True).start()
        remove.start()
        try:
            yield file
        finally:
            remove.cancel()
