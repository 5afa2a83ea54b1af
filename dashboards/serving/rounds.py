"""Rounds through a folder on a thread of their own: while somebody asks, with rests in between."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

from .complaints import complain

REST_S, REST_SHARE = 1.0, 9.0
"""Own choice: the rest between rounds is at least so long, and so many times what the last took: a tenth of one
processor at most."""
ASKED_S = 10.0
"""Own choice: who asked for news within so long still looks; pages ask every three seconds."""
FIRST_S, ANOTHER_S = 1.0, 15.0
"""Own choice: how long a page waits for the first round to be over, and for another where it asks for a new day."""


class Rounds:
    """Goes rounds, once it is told to start.

    Parameters
    ----------
    go : callable
        One round; whatever it raises is complained of, once, and the next is gone all the same.
    """

    def __init__(self, go: Callable[[], None]) -> None:
        self._go = go
        self._turn = threading.Condition()
        self._begun, self._ended = 0, 0
        self._urgent = True
        self._asked_s = float("-inf")
        self._complained = ""

    def start(self) -> None:
        """Begin the first round."""
        threading.Thread(target=self._work, name="rounds", daemon=True).start()

    @staticmethod
    def asked_lately(at_s: float) -> bool:
        """Tell whether somebody who asked then may still be looking."""
        return time.monotonic() - at_s < ASKED_S

    def somebody_asked(self) -> None:
        """Note that somebody is looking."""
        self._asked_s = time.monotonic()

    def wait_for_first(self) -> None:
        """Wait until the first round is over, or for a second."""
        with self._turn:
            self._turn.wait_for(lambda: self._ended > 0, timeout=FIRST_S)

    def wait_for_another(self) -> None:
        """Have a round begun now, and wait until it is over."""
        with self._turn:
            wanted = self._begun + 1
            self._urgent = True
            self._turn.notify_all()
            self._turn.wait_for(lambda: self._ended >= wanted, timeout=ANOTHER_S)

    def _work(self) -> None:
        rest_s = 0.0
        while True:
            with self._turn:
                self._turn.wait_for(lambda: self._urgent, timeout=rest_s)
                going = self._urgent or self.asked_lately(self._asked_s)
                self._urgent = False
                self._begun += going
            rest_s = REST_S
            if going:
                start = time.monotonic()
                self._one()
                rest_s = max(REST_S, REST_SHARE * (time.monotonic() - start))

    def _one(self) -> None:
        try:
            self._go()
        except Exception as error:  # noqa: BLE001 - the next round may go well
            if repr(error) != self._complained:
                self._complained = repr(error)
                complain(error)
        with self._turn:
            self._ended = self._begun
            self._turn.notify_all()
