"""How much memory this process may take: up to a stated ceiling, else half of what is free."""

from __future__ import annotations

import ctypes
import re
import resource
from contextlib import suppress
from pathlib import Path

from telemetry.errors import LogError

FREE_SHARE = 0.5
"""Own choice: the other half is left to whatever else runs."""
LEAST_CEILING = 500_000_000
"""The program without any log takes about half of it."""
_UNITS = {"MB": 10**6, "GB": 10**9, "TB": 10**12}
_CEILING = re.compile(r"\s*([0-9]{1,6}(?:\.[0-9]{1,3})?)\s*(MB|GB|TB)\s*", re.IGNORECASE)


class _Stated:
    """What the whole process was told: its memory is one, whoever takes it."""

    ceiling: int | None = None


def ceiling_of(text: str) -> int | None:
    """Return a ceiling as it is written, in bytes; None where it is none, or too low for the program itself.

    Examples
    --------
    >>> ceiling_of("4GB"), ceiling_of("1.5 gb"), ceiling_of("10MB"), ceiling_of("4")
    (4000000000, 1500000000, None, None)
    """
    found = _CEILING.fullmatch(text)
    ceiling = 0 if found is None else round(float(found[1]) * _UNITS[found[2].upper()])
    return ceiling if ceiling >= LEAST_CEILING else None


def state_ceiling(ceiling: int | None) -> None:
    """State the most bytes this process may hold; None for half of what is free."""
    _Stated.ceiling = ceiling


def room() -> int | None:
    """Return how many bytes this process may still take, None where it can't be told.

    Up to the stated ceiling, else half of what is free; never more than is free, nor than the system allows it.
    """
    limits = [limit for limit in (_below_ceiling(), _free(), _below_system_limit()) if limit is not None]
    return max(0, min(limits)) if limits else None


def check_day(where: str, needed: float) -> None:
    """Refuse to go on with a day that takes more bytes than are left to take.

    Raises
    ------
    LogError
    """
    left = room()
    if left is not None and needed > left:
        give_back()
        left = room()
        if left is not None and needed > left:
            raise LogError(where, *_refusal(needed, left, "day", "split the day"))


def check_log(where: str, needed: float, left: float | None, *, packed: bool) -> None:
    """Refuse a log that takes more bytes than are left to take; None isn't known.

    Raises
    ------
    LogError
    """
    if left is not None and needed > left:
        raise LogError(where, *_refusal(needed, left, "log", f"{'unpack it, ' if packed else ''}split the log"))


def _refusal(needed: float, left: float, what: str, remedy: str) -> tuple[str, str, str]:
    return (
        f"readings that take {needed / 1e9:.2f} GB of memory, with {left / 1e9:.2f} GB to take",
        f"a {what} that fits in memory",
        f"{remedy}, close other programs, or allow more with --max-memory",
    )


def give_back() -> None:
    """Give back to the system what was let go of, which the C library keeps for the next that asks."""
    with suppress(OSError, AttributeError):  # another C library
        ctypes.CDLL(None).malloc_trim(0)


def _below_ceiling() -> int | None:
    return None if _Stated.ceiling is None else _Stated.ceiling - _held(1)


def _free() -> int | None:
    try:
        for line in Path("/proc/meminfo").read_text(encoding="ascii").splitlines():
            if line.startswith("MemAvailable:"):
                free = int(line.split()[1]) * 1024
                return free if _Stated.ceiling is not None else round(FREE_SHARE * free)
    except (OSError, ValueError):
        pass
    return None


def _below_system_limit() -> int | None:
    limit, _ = resource.getrlimit(resource.RLIMIT_AS)
    return None if limit == resource.RLIM_INFINITY else limit - _held(0)


def _held(which: int) -> int:
    """Return how much this process holds, of addresses (0) or in memory (1); 0 where it can't be told."""
    try:
        return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[which]) * resource.getpagesize()
    except (OSError, ValueError):
        return 0
