"""Waiting for what is to happen: as long as a busy machine may take, and no longer than until it has."""

from __future__ import annotations

import time
from collections.abc import Callable

from tests.forked import LONGEST_S


def waited_for(happened: Callable[[], bool]) -> None:
    """Look again and again whether something has happened.

    Raises
    ------
    TimeoutError
        If it hasn't within minutes.
    """
    ends = time.monotonic() + LONGEST_S
    while not happened():
        if time.monotonic() > ends:
            raise TimeoutError
        time.sleep(0.02)
