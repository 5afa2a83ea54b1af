"""What a command says where a library of an extra is lacking."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from telemetry.errors import CallError

LACKING_EXTRA = "in a checkout `pip install '.[simulate]'` installs it"


@contextmanager
def with_numba(command: str) -> Iterator[None]:
    """Say what to install where numba is lacking."""
    try:
        yield
    except ModuleNotFoundError as error:
        if error.name != "numba":
            raise
        raise CallError(command, "no numba", "the extra simulate", LACKING_EXTRA) from error
