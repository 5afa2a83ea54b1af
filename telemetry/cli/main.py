"""Entry point: every error of the input becomes one line on standard error and exit code 2."""

from __future__ import annotations

import errno
import gc
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

import click

from telemetry.errors import TelemetryError, clean_text

from . import (  # noqa: F401 - each hangs its commands on the program
    commands,
    library_commands,
    many_days,
    new_command,
    packing_commands,
    reanalysing_command,
    riding_commands,
    serving,
)
from .groups import telemetry

WRONG_INPUT = 2
OWN_FAULT = 1
OUT_OF_PLACE = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO})


def _say(line: str) -> None:
    with suppress(OSError):
        sys.stdout.flush()
    sys.stderr.write(f"telemetry: {clean_text(line, longest=2000)}\n")


def _let_go_of_output() -> None:
    """Send to nowhere what is still to be printed: the end of the process would try, and complain, once more."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _with_streams() -> None:
    """Give a process whose output was closed (``>&-``) one that leads nowhere."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115 - for the process's life


def _run(arguments: Sequence[str] | None) -> int:
    try:
        code = telemetry.main(args=list(arguments) if arguments is not None else None, standalone_mode=False)
    except SystemExit:  # the command library's answer to a reader that left, as `head` does
        raise BrokenPipeError from None
    sys.stdout.flush()
    return code if isinstance(code, int) else 0


def _guarded(arguments: Sequence[str] | None) -> int:
    try:
        return _run(arguments)
    except TelemetryError as error:
        _say(error.line)
    except click.ClickException as error:
        _say(f"{error.format_message()} Try `telemetry --help`.")
    except MemoryError:
        _say("found too little memory for these logs; expected logs that fit in memory. Split them or close programs")
    except BrokenPipeError:
        _let_go_of_output()
        return 0
    except OSError as error:
        if error.errno not in OUT_OF_PLACE:
            raise
        _let_go_of_output()
        _say(f"output: found {error.strerror}; expected room to write. Make room on the disk, or write elsewhere")
    except click.exceptions.Abort:
        raise KeyboardInterrupt from None
    return WRONG_INPUT


def _code(arguments: Sequence[str] | None) -> int:
    if "TELEMETRY_TRACEBACK" in os.environ:
        return _guarded(arguments)
    try:
        return _guarded(arguments)
    except Exception as error:  # noqa: BLE001 - the last resort: one line in place of a traceback
        _say(
            f"the program's own fault: {type(error).__name__}: {error}. Please report it; "
            "with TELEMETRY_TRACEBACK=1 set it shows where"
        )
        return OWN_FAULT


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code: 0 done, 2 wrong input or call, 1 the program's own fault."""
    _with_streams()
    gc.disable()  # a command is short-lived: searching for garbage while libraries load is a tenth of its time
    try:
        return _code(arguments)
    finally:
        gc.freeze()  # nor is a last search, at the end, worth the reader's wait
        gc.enable()
