"""Who may ask: this machine's browser with the link that was printed, and nobody else."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from typing import Any

from bokeh.application import Application
from bokeh.server.tornado import BokehTornado
from tornado.httputil import HTTPHeaders, HTTPServerRequest
from tornado.web import OutputTransform, RequestHandler, stream_request_body

from dashboards.policy import policy
from dashboards.templating import environment, own_text

from .live import Live, complain_of, wrong_token

REFUSED, TOO_LARGE = 403, 413


def _policy(origin: str) -> str:
    """Return what a page of ours may load: its own server's files and its own websocket, nothing else."""
    rules = {
        "script-src": "'self' 'unsafe-inline'",  # the figures' data stand in the page as script
        "style-src": "'self' 'unsafe-inline'",
        "img-src": "'self' data: blob:",
        "font-src": "'self'",
        "connect-src": f"'self' ws://{origin}",
        "form-action": "'self'",
        "frame-ancestors": "'none'",
    }
    return policy(rules)


class GuardedHeaders(OutputTransform):
    """Every answer's headers: nothing from elsewhere, no framing, no link given away to others."""

    def __init__(self, request: HTTPServerRequest) -> None:
        super().__init__(request)
        self._origin = request.host

    def transform_first_chunk(
        self,
        status_code: int,
        headers: HTTPHeaders,
        chunk: bytes,
        finishing: bool,  # noqa: FBT001, ARG002 - the web library's own signature
    ) -> tuple[int, HTTPHeaders, bytes]:
        """Add the headers to an answer's first part."""
        headers.pop("Server", None)
        headers["Content-Security-Policy"] = _policy(self._origin)
        headers["X-Content-Type-Options"] = "nosniff"
        headers["Referrer-Policy"] = "same-origin"  # with no-referrer a form of ours would come from nowhere
        headers["Cross-Origin-Resource-Policy"] = "same-origin"
        headers.setdefault("Cache-Control", "no-store")
        return status_code, headers, chunk


@stream_request_body
class Refused(RequestHandler):
    """What anyone else gets, before what they send has been read: 403, and not a word about what is here."""

    def initialize(self, status: int = REFUSED, template: str = "refused.html") -> None:
        """Keep the answer."""
        self._status, self._template = status, template

    def prepare(self) -> None:
        """Refuse whatever was asked."""
        self.set_status(self._status)
        self.set_header("Connection", "close")
        page = environment().get_template(self._template)
        self.finish(page.render(style=own_text("base.css")))

    def data_received(self, chunk: bytes) -> None:
        """Take nothing: the connection is closed with the answer."""


class GuardedTornado(BokehTornado):
    """The web application, behind a check of Host, Origin and the link's secret, whatever is asked for.

    Parameters
    ----------
    applications : mapping of path to Application
    hosts : frozenset of str
        ``host:port`` as browsers of this machine may name it. Another name in Host is a foreign page's that was made
        to point here; another Origin is a foreign page itself.
    secret : str
        The first part of every path there is.
    body_bytes : int
        A larger body, or message on a live connection, is refused.
    **options
        Passed on.
    """

    def __init__(
        self,
        applications: Mapping[str, Application],
        *,
        hosts: frozenset[str],
        secret: str,
        body_bytes: int,
        **options: Any,
    ) -> None:
        self._hosts, self._inside, self._body_bytes = hosts, f"/{secret}/", body_bytes
        self._signs_with = secrets.token_bytes(32)
        super().__init__(
            applications,
            prefix=self._inside,
            extra_websocket_origins=sorted(hosts),
            secret_key=self._signs_with,
            sign_sessions=True,
            include_headers=[],
            include_cookies=[],
            websocket_max_message_size_bytes=body_bytes,
            ico_path="none",
            default_handler_class=Refused,
            use_index=False,
            **options,
        )
        self.add_transform(GuardedHeaders)

    def find_handler(self, request: HTTPServerRequest, **options: Any) -> Any:
        """Return who answers a request."""
        if not self._is_ours(request) or _asks_the_library(request):
            return self.get_handler_delegate(request, Refused)
        if _length(request) > self._body_bytes:
            return self.get_handler_delegate(request, Refused, {"status": TOO_LARGE, "template": "too_large.html"})
        if request.path != f"{self._inside}ws":
            return super().find_handler(request, **options)
        wrong = wrong_token(request.headers, self._signs_with)
        if wrong:
            complain_of(wrong)
            return self.get_handler_delegate(request, Refused)
        context = {"application_context": self.applications["/"], "bokeh_websocket_path": request.path}
        return self.get_handler_delegate(request, Live, context)

    def _is_ours(self, request: HTTPServerRequest) -> bool:
        """Tell whether it comes from a page of ours, or from a browser that was given the link."""
        origin = request.headers.get("Origin")
        own = {f"http://{host}" for host in self._hosts}
        begins = request.path[: len(self._inside)].encode("utf-8", "replace")
        return (
            request.host.lower() in self._hosts
            and (origin is None or origin.lower() in own)
            and secrets.compare_digest(begins, self._inside.encode())
        )


def _asks_the_library(request: HTTPServerRequest) -> bool:
    """Tell whether it uses what the library offers beside pages, such as joining another tab by its token."""
    return (
        request.path.endswith(("/autoload.js", "/metadata"))
        or any(name.startswith("bokeh-") for name in request.arguments)
        or "Bokeh-Session-Id" in request.headers
    )


def _length(request: HTTPServerRequest) -> int:
    """Return how long the body says it is; 0 where it says nothing that can be read."""
    said = request.headers.get("Content-Length", "")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 20 else 0
