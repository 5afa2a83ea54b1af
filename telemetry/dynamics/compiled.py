"""Functions compiled when they are first called, and kept on disk where that is possible."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from functools import update_wrapper
from typing import Any

from numba import njit

_UNUSABLE = (OSError, EOFError, pickle.UnpicklingError)
"""Of what was kept on disk: no room for it, no right to it, or half of it."""


class Compiled:
    """A compiled function; without a place to keep it, it is compiled anew in every process.

    Parameters
    ----------
    function : callable
        Plain; the functions it calls are compiled with it and needn't be kept by themselves.
    **options
        Passed on to the compiler.
    """

    def __init__(self, function: Callable[..., Any], **options: Any) -> None:
        self._anew = njit(**options)(function)
        try:
            self._kept = njit(cache=True, **options)(function)
        except RuntimeError:  # neither the program's folder nor the user's own can be written
            self._kept = self._anew
        update_wrapper(self, function)

    def __call__(self, *arguments: Any) -> Any:
        """Call the function. What is unusable on disk shows before it runs, so nothing is done twice."""
        try:
            return self._kept(*arguments)
        except _UNUSABLE:
            self._kept = self._anew
            return self._anew(*arguments)


def compiled(**options: Any) -> Callable[[Callable[..., Any]], Compiled]:
    """Return a decorator that compiles a function and keeps it on disk where it can."""
    return lambda function: Compiled(function, **options)
