"""Texts and keys as TOML writes them: what can't be seen, or turns the direction of writing, stands as its code."""

from __future__ import annotations

import json
import re

from .looks import is_blank, is_unseen

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def toml_string(text: str) -> str:
    r"""Return a text in TOML's quotes.

    Parameters
    ----------
    text : str
        Without halves of letters (U+D800 to U+DFFF), which no TOML holds.

    Examples
    --------
    >>> print(toml_string("A\u202e0 \u00e9\t"), toml_string("a\u00a0b"), toml_string("\U000e0041"))
    "A\u202e0 é\t" "a\u00a0b" "\U000e0041"
    """
    return "".join(map(_written, json.dumps(text, ensure_ascii=False)))


def toml_key(key: str) -> str:
    """Return a key: bare where TOML lets it be, else in quotes.

    Examples
    --------
    >>> print(toml_key("run_1"), toml_key("run 1"))
    run_1 "run 1"
    """
    return key if _BARE.fullmatch(key) else toml_string(key)


def _written(letter: str) -> str:
    if letter == " " or (not is_unseen(letter) and not is_blank(letter) and letter.isprintable()):
        return letter
    return f"\\u{ord(letter):04x}" if ord(letter) <= 0xFFFF else f"\\U{ord(letter):08x}"
