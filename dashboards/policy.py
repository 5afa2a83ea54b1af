"""What a page of ours may load and run (Content Security Policy): a second barrier behind escaped text."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterable, Mapping

_NOTHING = {"default-src": "'none'", "base-uri": "'none'"}
_SCRIPT = re.compile(r"<script[^>]*>(.*?)</script>", re.DOTALL)


def policy(rules: Mapping[str, str]) -> str:
    """Return a policy by which nothing is allowed but what `rules` name.

    Parameters
    ----------
    rules : mapping of directive to sources

    Examples
    --------
    >>> policy({"img-src": "data:"})
    "default-src 'none'; base-uri 'none'; img-src data:"
    """
    return "; ".join(f"{name} {sources}" for name, sources in {**_NOTHING, **rules}.items())


def standing_alone(markup: Iterable[str], *, pictures: bool = False) -> str:
    """Return the policy of a page that is opened from disk: its own scripts alone run, and it asks nobody anything.

    Parameters
    ----------
    markup : iterable of str
        Every part of the page that holds a script of ours, as it stands in the page.
    pictures : bool
        Whether pictures stand in the page itself.
    """
    scripts = [script for part in markup for script in _SCRIPT.findall(part)]
    rules = {
        "script-src": " ".join(map(_fingerprint, scripts)) or "'none'",
        "style-src": "'unsafe-inline'",  # the figures' own styles come and go with them
        "form-action": "'none'",
    }
    return policy(rules | ({"img-src": "data:"} if pictures else {}))


def _fingerprint(script: str) -> str:
    """Return what a browser compares a script with: of its text as the page's parser reads it."""
    read = script.replace("\r\n", "\n").replace("\r", "\n")
    return f"'sha256-{base64.b64encode(hashlib.sha256(read.encode()).digest()).decode('ascii')}'"
