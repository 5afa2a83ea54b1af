"""Work beside the server's loop: one thread that does one thing after the other, while everybody else is answered."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Awaitable, Callable
from concurrent.futures import Future
from queue import SimpleQueue
from typing import Any, TypeVar

T = TypeVar("T")


class Aside:
    """A thread for what takes files or long; it ends with the process, whatever it is doing.

    Parameters
    ----------
    name : str
    """

    def __init__(self, name: str) -> None:
        self._waiting: SimpleQueue[tuple[Future[Any], Callable[[], Any]]] = SimpleQueue()
        threading.Thread(target=self._work, name=name, daemon=True).start()

    def run(self, work: Callable[[], T]) -> Awaitable[T]:
        """Have something done; what it returns or raises is the awaiting one's."""
        promised: Future[T] = Future()
        self._waiting.put((promised, work))
        return asyncio.wrap_future(promised)

    def _work(self) -> None:
        while True:
            promised, work = self._waiting.get()
            if not promised.set_running_or_notify_cancel():
                continue
            try:
                promised.set_result(work())
            except BaseException as error:  # noqa: BLE001 - it is raised where it is waited for
                promised.set_exception(error)
            del promised, work  # a page may be large
