"""A page printed as PDF by a headless Chromium of this machine, which leaves nothing behind."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
from contextlib import suppress
from pathlib import Path

from telemetry.errors import CallError
from telemetry.short_lived import short_lived_folder

NAMES = ("chromium", "chromium-browser", "chrome")
STATED_IN = "CHROMIUM"
"""What the program is called on PATH, and the environment variable that names another."""
LONGEST_S = 120.0
"""Own choice: a whole report takes some 5 s, on a busy machine ten times that."""
DRAWING_MS = 20_000
"""Of the page's own clock, which runs as fast as it can: until every figure is drawn. Own choice."""
WINDOW_PX = 1040
"""Of the page while figures are drawn: half of it, at seven tenths, is as wide as half a sheet (`repaint.js`)."""
FLAGS = (
    "--headless",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-breakpad",
    "--disable-component-update",
    "--disable-dev-shm-usage",
    "--disable-extensions",
    "--disable-sync",
    "--no-first-run",
    "--no-pdf-header-footer",
    f"--virtual-time-budget={DRAWING_MS}",
    f"--window-size={WINDOW_PX},1400",
)
LONGEST_PLACE = 55
"""Letters: it keeps a socket in the folder for what passes, 45 letters further on; systems take 104 to 108."""
BY_HAND = "write it as .html, open that in a browser and print it into a file (A4, margins as the page sets them)"


def chromium(stated: str | None = None) -> Path:
    """Return the program that prints.

    Parameters
    ----------
    stated : str, optional
        Its path; else the environment variable `STATED_IN`, else what PATH has.

    Raises
    ------
    CallError
        If there is none.
    """
    stated = stated or os.environ.get(STATED_IN)
    found = next(filter(None, map(shutil.which, [stated] if stated else NAMES)), None)
    if found is None:
        what = f"no program {stated!r}" if stated else "no Chromium on this machine"
        raise CallError("printing a PDF", what, f"chromium on PATH, or its path in {STATED_IN}", BY_HAND)
    return Path(found)


def printed(page: str, program: Path, longest_s: float = LONGEST_S) -> bytes:
    """Return a page as PDF.

    Parameters
    ----------
    page : str
        HTML that stands alone.
    program : Path
        As of `chromium`.
    longest_s : float
        After so long it is ended, with all it started.

    Raises
    ------
    CallError
        If it takes too long or prints nothing.

    Notes
    -----
    Profile, caches and page lie in a folder of their own, which is removed. The file's title is the page's; its
    place on disk stands nowhere in it.
    """
    with short_lived_folder() as place:
        (place / "page.html").write_text(page, encoding="utf-8")
        why = _run(_command(program, place), place, longest_s)
        made = place / "page.pdf"
        data = made.read_bytes() if made.is_file() else b""
    if why or not (data.startswith(b"%PDF-") and data.rstrip().endswith(b"%%EOF")):
        raise CallError("printing a PDF", why or f"{program} printed nothing whole", "a PDF file", BY_HAND)
    return data


def _command(program: Path, place: Path) -> list[str]:
    # it refuses to start as root unless told to do without its sandbox
    flags = (*FLAGS, "--no-sandbox") if os.geteuid() == 0 else FLAGS
    profile, pdf = f"--user-data-dir={place / 'profile'}", f"--print-to-pdf={place / 'page.pdf'}"
    return [str(program), *flags, profile, pdf, (place / "page.html").as_uri()]


def _run(command: list[str], place: Path, longest_s: float) -> str:
    """Run it in a group of its own and end the whole group; return what went wrong, or nothing."""
    names = ("HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", *(["TMPDIR"] if len(str(place)) <= LONGEST_PLACE else []))
    own = dict.fromkeys(names, str(place))
    try:
        process = subprocess.Popen(  # noqa: S603 - the program its user named
            command,
            env={**os.environ, **own},
            start_new_session=True,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
    except OSError as error:
        return f"{command[0]}, which doesn't start ({error.strerror})"
    try:
        status = process.wait(longest_s)
    except subprocess.TimeoutExpired:
        return f"{command[0]}, not done after {longest_s:g} s"
    finally:
        with suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()
    return f"{command[0]}, which ended with status {status}" if status else ""
