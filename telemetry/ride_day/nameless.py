"""A ride day's text without the table of its customer; every other line stays as it is."""

from __future__ import annotations

from .edited import Change, UnchangeableError, edited
from .lines import with_own_ends
from .parts import parts_of

CUSTOMER = "customer"
MARK = "\ufeff"


def without_customer(text: str) -> str:
    r"""Return the text of a ride day's file without ``[customer]``, and the comments within it.

    Parameters
    ----------
    text : str
        Valid TOML. One that says it in a form that can't be changed comes back as it was.

    Examples
    --------
    >>> without_customer('[bike]\n[customer]\nname = "A"\n# B\nbike = "C"\n[shop]\n')
    '[bike]\n[shop]\n'
    """
    mark = MARK if text.startswith(MARK) else ""
    old = text.removeprefix(mark)
    plain = old.replace("\r\n", "\n").replace("\r", "\n")
    try:
        parts = parts_of(plain)
        if not any(CUSTOMER in part.says for part in parts):
            return text
        tables = [part for part in parts if CUSTOMER in part.header]
        shorter = "".join(plain[part.filled if part in tables else part.start : part.end] for part in parts)
        changed = shorter if tables else edited(plain, Change(way=(CUSTOMER,), keys={"name": None, "bike": None}))
    except (UnchangeableError, ValueError):
        return text
    return mark + with_own_ends(old, changed)
