"""What pages ask for while they stand: whether the day has been read, and what changed in its folder."""

from __future__ import annotations

import json

from tornado.web import RequestHandler

from telemetry.errors import CallError, clean_text
from telemetry.pipeline import new_logs

from .library import Library


class News(RequestHandler):
    """``news?day=NAME``: how far a day has been read, and what has changed since, as JSON."""

    def initialize(self, library: Library) -> None:
        """Keep the library."""
        self._library = library

    def get(self) -> None:
        """Answer."""
        name = self.get_query_argument("day", "")
        self.set_header("Content-Type", "application/json; charset=utf-8")
        try:
            shelf = self._library.shelf(name) if name else None
        except CallError as error:
            self.finish(json.dumps({"state": "failed", "trouble": error.line}))
            return
        if shelf is None:
            self.finish(json.dumps({"state": "ready", "version": self._library.version()}))
            return
        read = shelf.read
        answer = {
            "state": "waiting" if read is None and shelf.state == "ready" else shelf.state,
            "progress": shelf.progress,
            "version": shelf.version,
            "changes": [] if read is None or shelf.state != "ready" else list(read.changes()),
            "logs": [] if read is None else [clean_text(log.name) for log in new_logs(read.day)],
        }
        self.finish(json.dumps(answer))


class Reload(RequestHandler):
    """``again``: have a day read again, and go back to its page."""

    def initialize(self, library: Library) -> None:
        """Keep the library."""
        self._library = library

    def post(self) -> None:
        """Do it; only a page of ours can ask, for it takes the link's secret part."""
        name, back = self.get_body_argument("day", ""), self.get_body_argument("back", "?")
        try:
            self._library.again(name)
        except CallError:
            back = "?"
        self.redirect(f"./{back if back.startswith('?') else '?'}", status=303)
