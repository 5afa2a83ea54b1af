"""Commands as processes of their own, forked from one that has loaded the program: loading takes longer than most do.

What is tested of the start itself, of a terminal, or of the memory a process holds takes a fresh interpreter instead.
"""

from __future__ import annotations

import multiprocessing
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from multiprocessing.context import ForkServerProcess
from pathlib import Path

COMMAND = "from telemetry.cli import main; main()"
LOADED = [
    "telemetry.cli",
    "telemetry.pipeline",
    "telemetry.simulation",
    "dashboards.report",
    "dashboards.serving",
    "tests.forked",
]
LONGEST_S = 300.0


def _be(code: str, words: Sequence[str], out: str, err: str) -> None:
    """Be an interpreter that runs this code with these words, and writes to these files."""
    for number, file in ((1, out), (2, err)):
        os.dup2(os.open(file, os.O_WRONLY | os.O_APPEND), number)
    sys.argv = ["-c", *words]
    exec(code, {"__name__": "__main__"})  # noqa: S102 - a test's own


def begun(
    code: str, words: Sequence[str | Path], *, out: str | Path = os.devnull, err: str | Path = os.devnull
) -> ForkServerProcess:
    """Return a process that runs the code, as ``python -c`` does; what it says is added to files that are there."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(LOADED)
    process = context.Process(target=_be, args=(code, [str(word) for word in words], str(out), str(err)))
    process.start()
    return process


def done(*words: str | Path, code: str = COMMAND) -> subprocess.CompletedProcess[str]:
    """Run a command to its end; bytes that are no text come as half letters."""
    with tempfile.NamedTemporaryFile() as out, tempfile.NamedTemporaryFile() as err:
        process = begun(code, words, out=out.name, err=err.name)
        process.join(LONGEST_S)
        if process.exitcode is None:
            process.kill()
            raise TimeoutError(words)
        said = [file.read().decode("utf-8", errors="surrogateescape") for file in (out, err)]
        return subprocess.CompletedProcess(words, process.exitcode, *said)
