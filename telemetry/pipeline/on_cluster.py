"""Days measured anew by the workers of a Dask cluster that exists; this process alone writes what they hand back."""

from __future__ import annotations

import asyncio
import concurrent.futures
import logging
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any

from telemetry.errors import CallError, clean_text
from telemetry.library import KeptFile

from .measuring_anew import Measured, Take, differing, measured_anew
from .originals import EXTRA, Originals

if TYPE_CHECKING:
    from collections.abc import Mapping

ANSWER_S = 15.0
"""So long a scheduler may take to answer, and a cluster to show its first worker; own choice."""
HANDSHAKE_S = 60.0
"""So long a worker may take to load this program, and to look for a file; own choice."""
LOOK_EVERY_S = 5.0
NO_WORKER_S = 60.0
"""So long a cluster may be without any worker: one that was ended is started again meanwhile. Own choice."""
AHEAD = 2
"""Days given out for each thread of the workers; own choice."""
ENDED = "its worker was ended {times} times over, for lack of memory perhaps"
GO_ON = "the same call goes on where this one ended"


@contextmanager
def connected(address: str) -> Iterator[Any]:
    """Connect to a scheduler; nothing that the cluster logs of itself reaches the terminal.

    Raises
    ------
    CallError
        If there is none at the address, or the extra isn't installed.
    """
    try:
        from distributed import Client  # noqa: PLC0415 - an extra
    except ImportError:
        raise CallError("--scheduler", "no Dask in this installation", "the extra `cluster`", EXTRA) from None
    with _unlogged():
        try:
            client = Client(address, timeout=ANSWER_S, set_as_default=False)
        except (OSError, ValueError, TimeoutError, ImportError) as error:
            what = f"no Dask scheduler that answers ({clean_text(str(error), longest=120)})"
            expected = "the address of one that runs, such as tcp://host:8786"
            raise CallError(f"--scheduler {address}", what, expected, "start it, or mend the address") from None
        try:
            yield client
        finally:
            with suppress(Exception):
                client.close(timeout=LOOK_EVERY_S)


@contextmanager
def _unlogged() -> Iterator[None]:
    """Keep what the cluster's library logs of itself from the terminal; what matters of it is told in one line."""
    loggers = [logging.getLogger(name) for name in list(logging.root.manager.loggerDict) if _is_of_cluster(name)]
    levels = [logger.level for logger in loggers]
    try:
        for logger in loggers:
            logger.setLevel(logging.CRITICAL + 1)
        yield
    finally:
        for logger, level in zip(loggers, levels, strict=True):
            logger.setLevel(level)


def _is_of_cluster(name: str) -> bool:
    return name.partition(".")[0] in {"distributed", "tornado"}


def require_workers(client: Any, versions: Mapping[str, str], originals: Originals, sample: KeptFile | None) -> int:
    """Refuse workers that run another program, or can't read the library; return how many threads they have.

    Parameters
    ----------
    client : Client
    versions : mapping
        Of this program.
    originals : Originals
    sample : KeptFile, optional
        A file of the library that each has to find.

    Raises
    ------
    CallError
    """
    where = client.scheduler.address
    with suppress(TimeoutError):
        client.wait_for_workers(1, timeout=ANSWER_S)
    threads = threads_of(client)
    if not threads:
        raise CallError(where, "a scheduler without any worker", "one worker at least", "start workers; " + GO_ON)
    asked = {
        worker: client.submit(_why_not, dict(versions), originals, sample, workers=[worker], pure=False)
        for worker in threads
    }
    for worker, future in asked.items():
        try:
            why_not = future.result(timeout=HANDSHAKE_S)
        except Exception as error:  # noqa: BLE001 - whatever keeps a worker from loading this program
            what = f"no word of whether it can load this program ({type(error).__name__}: {error})"
            expected = "workers on which the same version of it is installed"
            raise CallError(f"worker {worker}", what, expected, "install it there") from None
        if why_not:
            raise CallError(f"worker {worker}", *why_not)
    return sum(threads.values())


def threads_of(client: Any) -> dict[str, int]:
    """Return how many threads each worker has.

    Raises
    ------
    CallError
        If the scheduler doesn't answer.
    """
    try:
        return dict(client.sync(client.scheduler.ncores, callback_timeout=ANSWER_S))
    except (OSError, RuntimeError, concurrent.futures.CancelledError, asyncio.CancelledError):
        raise gone(client) from None


def gone(client: Any) -> CallError:
    """Return the error of a scheduler that isn't there any more."""
    return CallError(client.scheduler.address, "a scheduler that answers no more", "one that runs to the end", GO_ON)


def _why_not(versions: Mapping[str, str], originals: Originals, sample: KeptFile | None) -> tuple[str, str, str] | None:
    """Return, on a worker, why it can't be used: found, expected, remedy."""
    unlike = differing(versions)
    if unlike:
        return unlike, "workers with the same versions as here", "install the same there and here"
    try:
        if sample is not None:
            originals.require(sample)
    except CallError as error:
        return f"{error.found} at {error.where}", error.expected, "mount it there too, or give --data-from URL"
    return None


def on_cluster(client: Any, take: Take, threads: int) -> Iterator[Measured]:
    """Measure days on the workers; yield them as they are done.

    Parameters
    ----------
    client : Client
    take : callable
        Gives the next day, a few ahead; None where none can be given before another is done.
    threads : int
        Of all workers.

    Raises
    ------
    CallError
        If the scheduler answers no more, or no worker is left.

    Notes
    -----
    What a worker was at that is ended is done again by another, by Dask's own rule (``allowed-failures``, 3).
    """
    out: dict[Any, str] = {}
    watch = _Watch(client)
    while True:
        while len(out) < AHEAD * threads and (work := take()) is not None:
            out[client.submit(measured_anew, work, key=f"{work.kept.stem}-{time.monotonic_ns()}", pure=False)] = (
                work.kept.stem
            )
        if not out:
            return
        for future in watch.done(out):
            yield _handed_back(client, future, out.pop(future))


class _Watch:
    """Waits for days, and looks meanwhile whether the cluster is still there."""

    def __init__(self, client: Any) -> None:
        self._client = client
        self._had_workers = time.monotonic()

    def done(self, out: Iterable[Any]) -> list[Any]:
        """Return what is done; empty where nothing is yet and the cluster is there."""
        from distributed import wait  # noqa: PLC0415 - an extra

        try:
            with self._client.as_current():
                return list(wait(list(out), timeout=LOOK_EVERY_S, return_when="FIRST_COMPLETED").done)
        except TimeoutError:
            self._look()
            return []
        except (OSError, RuntimeError, concurrent.futures.CancelledError, asyncio.CancelledError):
            raise gone(self._client) from None

    def _look(self) -> None:
        now = time.monotonic()
        if threads_of(self._client):
            self._had_workers = now
        elif now - self._had_workers > NO_WORKER_S:
            where = self._client.scheduler.address
            raise CallError(where, f"no worker for {NO_WORKER_S:.0f} s", "one at least", f"start workers; {GO_ON}")


def _handed_back(client: Any, future: Any, stem: str) -> Measured:
    from distributed import KilledWorker  # noqa: PLC0415 - an extra

    try:
        found: Measured = future.result(timeout=ANSWER_S)
    except KilledWorker as error:
        return Measured(stem=stem, why_not=ENDED.format(times=error.allowed_failures + 1))
    except Exception as error:  # noqa: BLE001 - of several kinds, as it goes away
        if future.status == "error":
            what = clean_text(f"{type(error).__name__}: {error}")
            return Measured(stem=stem, why_not=f"a worker that handed nothing back ({what})")
        raise gone(client) from None
    return found
