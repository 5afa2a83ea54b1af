"""What pages ask for while they stand: whether the day has been read, and what changed in its folder."""

from __future__ import annotations

import json

from tornado.web import RequestHandler

from telemetry.errors import CallError

from .shelves import Shelves


class News(RequestHandler):
    """``news?day=NAME``: how far a day has been read, and what has changed since, as JSON; no file is looked at.

    A page that names the version it shows has no day read again that was let go of meanwhile: four open pages would
    have each other's days read for ever.
    """

    def initialize(self, library: Shelves) -> None:
        """Keep the library."""
        self._library = library

    def get(self) -> None:
        """Answer."""
        name, shown = self.get_query_argument("day", ""), self.get_query_argument("version", "")
        self.set_header("Content-Type", "application/json; charset=utf-8")
        self.finish(json.dumps(self._of(name, shown) if name else self._of_all()))

    def _of_all(self) -> dict[str, object]:
        """Return what is known of the list: its version, and new logs of days that have been looked at."""
        waiting = [
            {"day": shelf.name, "title": shelf.title, "logs": shelf.logs}
            for shelf in self._library.opened()
            if shelf.logs
        ]
        return {"state": "ready", "version": self._library.version(), "logs": waiting}

    def _of(self, name: str, shown: str) -> dict[str, object]:
        """Return what is known of a day by now."""
        shelf = self._library.known(name)
        if shelf is not None and not (shelf.state == "ready" and str(shelf.version) == shown):
            shelf = self._library.find(name)
        if shelf is None:
            return {"state": "failed" if self._library.is_looked_through else "waiting"}
        read = shelf.read
        stands = read is not None and shelf.state == "ready"
        return {
            "state": "waiting" if read is None and shelf.state == "ready" else shelf.state,
            "progress": shelf.progress,
            "version": shelf.version,
            **({} if read is None else {"ridden": read.paper.done, "riding": read.paper.at}),
            "changes": shelf.changes if stands else (),
            "logs": [{"day": name, "title": "", "logs": shelf.logs}] if shelf.logs else [],
        }


class Reload(RequestHandler):
    """``again``: have a day read again, and go back to its page."""

    def initialize(self, library: Shelves) -> None:
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
