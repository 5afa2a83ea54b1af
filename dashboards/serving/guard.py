"""Who may ask: this machine's browser with the link that was printed, and nobody else."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bokeh.application import Application
from bokeh.server.tornado import BokehTornado
from tornado.httputil import HTTPHeaders, HTTPServerRequest
from tornado.web import OutputTransform, RequestHandler

from dashboards.templating import environment, own_text

REFUSED = 403


def _policy(origin: str) -> str:
    """Return what a page of ours may load: its own server's files and its own websocket, nothing else."""
    rules = {
        "default-src": "'none'",
        "script-src": "'self' 'unsafe-inline'",  # the figures' data stand in the page as script
        "style-src": "'self' 'unsafe-inline'",
        "img-src": "'self' data: blob:",
        "font-src": "'self'",
        "connect-src": f"'self' ws://{origin}",
        "form-action": "'self'",
        "base-uri": "'none'",
        "frame-ancestors": "'none'",
    }
    return "; ".join(f"{name} {sources}" for name, sources in rules.items())


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
        headers["Content-Security-Policy"] = _policy(self._origin)
        headers["X-Content-Type-Options"] = "nosniff"
        headers["Referrer-Policy"] = "same-origin"  # with no-referrer a form of ours would come from nowhere
        headers["Cross-Origin-Resource-Policy"] = "same-origin"
        headers.setdefault("Cache-Control", "no-store")
        return status_code, headers, chunk


class Refused(RequestHandler):
    """What anyone else gets: 403, and not a word about what is here."""

    def prepare(self) -> None:
        """Refuse whatever was asked."""
        self.set_status(REFUSED)
        page = environment().get_template("refused.html")
        self.finish(page.render(style=own_text("base.css")))


class GuardedTornado(BokehTornado):
    """The web application, behind a check of Host and Origin.

    Parameters
    ----------
    applications : mapping of path to Application
    hosts : frozenset of str
        ``host:port`` as browsers of this machine may name it. Another name in Host is a foreign page's that was made
        to point here; another Origin is a foreign page itself.
    **options
        Passed on.
    """

    def __init__(self, applications: Mapping[str, Application], *, hosts: frozenset[str], **options: Any) -> None:
        self._hosts = hosts
        super().__init__(
            applications,
            extra_websocket_origins=sorted(hosts),
            default_handler_class=Refused,
            use_index=False,
            **options,
        )
        self.add_transform(GuardedHeaders)

    def find_handler(self, request: HTTPServerRequest, **options: Any) -> Any:
        """Return who answers a request."""
        origin = request.headers.get("Origin")
        own = {f"http://{host}" for host in self._hosts}
        if request.host.lower() in self._hosts and (origin is None or origin.lower() in own):
            return super().find_handler(request, **options)
        return self.get_handler_delegate(request, Refused)
