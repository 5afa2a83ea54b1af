"""Writing a change into a day's file, once its lines have been looked at."""

from __future__ import annotations

import datetime as dt

from tornado.web import RequestHandler

from dashboards.pages.choice import Choice
from dashboards.pages.writing import fields_of, show
from dashboards.templating import environment, page_words
from telemetry.errors import CallError, TelemetryError
from telemetry.pipeline import write

from .library import Library


class Write(RequestHandler):
    """``write``: what the page showed goes into the file, and the day is read again."""

    def initialize(self, library: Library) -> None:
        """Keep the library."""
        self._library = library

    def post(self) -> None:
        """Do it; only a page of ours can ask, for it takes the link's secret part."""
        choice = Choice(day=self.get_body_argument("day", ""), page="trust")
        try:
            self._write(choice.day or "")
        except TelemetryError as error:
            words = page_words(choice, title="Not written", drawn=False)
            self.finish(environment().get_template("trouble.html").render(**words, line=error.line, version=0))
            return
        self.redirect(f"./{choice.link()}", status=303)

    def _write(self, name: str) -> None:
        read = self._library.shelf(name).read
        if read is None:
            raise CallError("this day", "not read yet", "a day that has been read", "wait a moment and try again")
        now = dt.datetime.now()  # noqa: DTZ005 - the tuner's own clock, as in the file
        found = show(read.day, fields_of(self.request.body_arguments), now).proposal
        if found.made_from != self.get_body_argument("made_from", ""):
            raise CallError(
                found.path.name, "another text than was shown", "the same", "go back and look at the change again"
            )
        write(found)
        self._library.again(name)
