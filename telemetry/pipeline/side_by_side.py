"""Days measured anew in processes side by side on this machine; one that is ended ends one day at most."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Generator, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from functools import partial
from multiprocessing import forkserver, resource_tracker
from multiprocessing.connection import Connection

from telemetry import memory

from .measuring_anew import Measured, Take, Work, measured_anew

AHEAD = 2
"""Days given out for each process: the next one waits where its process takes it up; own choice."""
ENDED = (
    "its process was ended from outside, by the system for lack of memory perhaps; "
    "measure fewer at once, or allow more with --max-memory"
)


def cores() -> int:
    """Return how many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def here(take: Take) -> Iterator[Measured]:
    """Measure one day after the other, in this process."""
    while (work := take()) is not None:
        yield measured_anew(work)


def side_by_side(take: Take, count: int) -> Iterator[Measured]:
    """Measure days in so many processes; yield them as they are done.

    Parameters
    ----------
    take : callable
        Gives the next day, a few ahead; None where none can be given before another is done.
    count : int

    Notes
    -----
    Each process may take its share of the memory that this one may. Where one is ended from outside, the days that
    were given out are measured again one by one: only the day whose process is ended then, too, can't be measured.
    """
    while True:
        lost = yield from _measured(take, count, AHEAD * count)
        if not lost:
            return
        for work in lost:
            again = yield from _measured(partial(next, iter([work]), None), 1, 1)
            if again:
                yield Measured(stem=work.kept.stem, why_not=ENDED)


def _measured(take: Take, count: int, ahead: int) -> Generator[Measured, None, tuple[Work, ...]]:
    """Yield what is measured; return the days that were given out when a process was ended."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([__name__])
    alive, alive_here = context.Pipe(duplex=False)
    room = memory.room()
    begin = (alive, None if room is None else max(memory.LEAST_CEILING, room // count))
    given: dict[str, Work] = {}
    out: set[Future[Measured]] = set()
    with _unstopped():  # processes inherit it: Ctrl-C, which a terminal sends to all, is this one's to answer
        forkserver.ensure_running()
    with ProcessPoolExecutor(count, context, initializer=_begin, initargs=begin) as pool:
        try:
            while True:
                while len(out) < ahead and (work := take()) is not None:
                    given[work.kept.stem] = work
                    with _unstopped():  # a process half started would complain of what it lacks
                        out.add(pool.submit(measured_anew, work))
                if not out:
                    return ()
                done, out = wait(out, return_when=FIRST_COMPLETED)
                for found in [future.result() for future in done]:
                    del given[found.stem]
                    yield found
        except BrokenProcessPool:
            return tuple(given.values())
        finally:
            alive_here.close()  # whatever is still being measured stops
            alive.close()


@contextmanager
def _unstopped() -> Iterator[None]:
    """Put off Ctrl-C until the block ends."""
    resource_tracker.ensure_running()  # multiprocessing's own, whose start lets Ctrl-C through again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, (signal.SIGINT,))
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin(alive: Connection, ceiling: int | None) -> None:
    """Make a process ready: it takes its share of memory, and ends with the one that asked, however that one ends."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # also in a program whose processes were made ready otherwise
    memory.state_ceiling(ceiling)
    threading.Thread(target=_end_with, args=(alive,), daemon=True).start()


def _end_with(alive: Connection) -> None:
    alive.poll(None)
    os._exit(0)
