"""A Dask cluster of two workers, as a process of its own: ``python -m tests.library.cluster FILE``.

Its address is written to the file; it ends when its standard input does.
"""

from __future__ import annotations

import logging
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

ROOT = Path(__file__).parents[2]
LONGEST_S = 300.0


@contextmanager
def cluster(place: Path, workers: int = 2) -> Iterator[tuple[str, subprocess.Popen[bytes]]]:
    """Start a cluster; give its scheduler's address and its process, which may be killed."""
    file = place / "address"
    words = [sys.executable, "-m", "tests.library.cluster", file, workers]
    process = subprocess.Popen(
        list(map(str, words)),
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        deadline = time.monotonic() + LONGEST_S
        while not file.exists() and process.poll() is None and time.monotonic() < deadline:
            time.sleep(0.05)
        yield file.read_text(encoding="ascii"), process
    finally:
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)  # workers outlive a killed scheduler for a while
        process.wait()
        assert process.stdin is not None
        process.stdin.close()


def main() -> None:
    from distributed import LocalCluster

    place, workers = Path(sys.argv[1]), int(sys.argv[2])
    with LocalCluster(
        n_workers=workers,
        threads_per_worker=1,
        dashboard_address=None,
        silence_logs=logging.CRITICAL,
        worker_dashboard_address=None,
    ) as made:
        beside = place.with_suffix(".part")
        beside.write_text(made.scheduler_address, encoding="ascii")
        beside.rename(place)
        sys.stdin.read()


if __name__ == "__main__":
    main()
