"""`serve`: a folder's ride days, or a library's kept ones, in the browser."""

from __future__ import annotations

import os
import sys
from contextlib import ExitStack, suppress
from pathlib import Path

import click

from telemetry.errors import CallError

from .groups import MAX_MEMORY, telemetry


@telemetry.command(epilog="Example: telemetry serve sample_runs")
@click.argument("folder", type=click.Path(path_type=Path), required=False)
@click.option(
    "--library",
    "kept",
    metavar="[FOLDER]",
    is_flag=False,
    flag_value="",
    help="Show the kept days of this library; without a name those of TELEMETRY_LIBRARY, else of your own data.",
)
@click.option(
    "--host", default="127.0.0.1", show_default=True, help="Address to listen on; other than loopback, others may look."
)
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="Port; else any that is free.")
@click.option("--no-browser", is_flag=True, help="Print the link without opening it.")
@MAX_MEMORY
def serve(folder: Path | None, *, kept: str | None, host: str, port: int, no_browser: bool) -> None:
    """Show the ride days of FOLDER (else of this folder) in the browser, until Ctrl-C; a library's, where it is one."""
    from ipaddress import ip_address

    from dashboards.serving import handed_over
    from dashboards.serving import serve as serve_pages

    from .tables import say

    shown, is_library = _asked(folder, kept)
    can = "see these ride days" if is_library else "see these ride days and change them"
    with ExitStack() as until_the_end:

        def ready(link: str) -> None:
            say(f"{link}  (Ctrl-C ends it)")
            if not ip_address(host).is_loopback:
                say(
                    f"warning: anyone on this network who has the link can {can}, and "
                    f"the link travels unencrypted: use --host {host} only among people you trust"
                )
            sys.stdout.flush()
            if no_browser:
                return
            try:
                until_the_end.enter_context(handed_over(link))
            except OSError as error:
                say(f"no browser was opened ({error.strerror}): open the link above")

        serve_pages(shown, kept=is_library, host=host, port=port, ready=ready)
    _end_at_once()


def _asked(folder: Path | None, kept: str | None) -> tuple[Path, bool]:
    """Return the folder that is to be shown, and whether it is a library.

    Raises
    ------
    CallError
        If two are named.
    """
    from telemetry.library import is_begun, library_folder

    if kept is None:
        shown = folder or Path()
        return shown, is_begun(shown)
    if folder is not None:
        raise CallError("serve", f"{folder} and --library", "one folder", "name the ride days or the library")
    return library_folder(kept or None), True


def _end_at_once() -> None:
    """End the process as it stands: a thread that is reading a log would crash while the interpreter tidies up."""
    with suppress(OSError):
        sys.stdout.flush()
    os._exit(0)
