"""A page's live connection: only with a token this server gave, and only messages such as its own pages send."""

from __future__ import annotations

import logging
import time

from bokeh.server.views.ws import WSHandler
from bokeh.util.token import check_token_signature, get_token_payload
from tornado.httputil import HTTPHeaders

from .complaints import OURS

LONGEST_TOKEN = 30_000
"""Own choice: a token holds the page's link, which is shorter."""
_LONGEST_REASON_BYTES = 123  # RFC 6455, 5.5: a closing frame holds 125 bytes, two of them the code
_BROKE_OFF = 1011  # RFC 6455, 7.4.1: the server met what it didn't expect


def wrong_token(headers: HTTPHeaders, secret_key: bytes) -> str:
    """Return what is wrong with the token of a request for a live connection; nothing where it is right.

    Parameters
    ----------
    headers : HTTPHeaders
    secret_key : bytes
        With which the server signs the tokens of its pages.
    """
    offered = [word.strip() for word in headers.get("Sec-WebSocket-Protocol", "").split(",")]
    if len(offered) != 2 or offered[0] != "bokeh":
        return "it brings no token"
    token = offered[1]
    if len(token) > LONGEST_TOKEN:
        return "its token is too long"
    try:
        if not check_token_signature(token, secret_key, signed=True):
            return "its token isn't from this server"
        expires = float(get_token_payload(token)["session_expiry"])
    except Exception:  # noqa: BLE001 - whatever a malformed token raises while it is taken apart
        return "its token can't be read"
    return "" if time.time() < expires else "its token has expired: load the page again"


def complain_of(what: str) -> None:
    """Say on the terminal why a live connection was refused."""
    logging.getLogger(OURS).error("a page's live connection was refused: %s", what)


class Live(WSHandler):
    """The library's end of a live connection; closes where it gets what no page of ours sends."""

    async def on_message(self, fragment: str | bytes) -> None:
        """Take one message."""
        if isinstance(fragment, bytes) or self.receiver is None:
            self.close(_BROKE_OFF, "only text is expected here")
            return
        await super().on_message(fragment)

    def close(self, code: int | None = None, reason: str | None = None) -> None:
        """Close it with a code and a reason that fit the protocol; the library's own may not."""
        within = code if code is None or code < 5000 else _BROKE_OFF
        short = None if reason is None else reason.encode()[:_LONGEST_REASON_BYTES].decode("utf-8", "ignore")
        super().close(within, short)
