"""The command line. Heavy libraries load inside commands, so that ``--help`` answers at once."""

from __future__ import annotations

import atexit
import os
import signal
import sys
from collections.abc import Sequence

INTERRUPTED = 130


def main(arguments: Sequence[str] | None = None) -> None:
    """Run one command and leave with its exit code: 0 done, 2 wrong input or call, 1 the program's own fault."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # our matrices are small: threads would wait for each other
    atexit.register(signal.signal, signal.SIGINT, signal.SIG_IGN)  # who is leaving is stopped no more
    try:
        from .main import main as run

        sys.exit(run(arguments))
    except KeyboardInterrupt:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        sys.stderr.write("telemetry: stopped; nothing half-written is left\n")
        sys.exit(INTERRUPTED)


__all__ = ["main"]
