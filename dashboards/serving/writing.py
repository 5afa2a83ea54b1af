"""Writing a change into a day's file, once its lines have been looked at."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace

from tornado.web import RequestHandler

from dashboards.pages.choice import Choice
from dashboards.pages.fields import fields_of
from dashboards.pages.marking import marked_run
from dashboards.pages.writing import Shown, after_writing, asked_on, form_page, outlived, refused, show, template_of
from dashboards.templating import environment, page_words
from telemetry.errors import CallError, TelemetryError
from telemetry.pipeline import new_logs
from telemetry.ride_day import ChangedFileError, write

from .application import STANDS
from .aside import Aside
from .complaints import complain, every_problem
from .library import Library


class Write(RequestHandler):
    """``write``: what the page showed goes into the file, and the day is read again; or it is shown why it doesn't."""

    def initialize(self, library: Library, aside: Aside) -> None:
        """Keep the library, and who does what takes files."""
        self._library, self._aside = library, aside

    async def post(self) -> None:
        """Do it; only a page of ours can ask, for it takes the link's secret part."""
        arguments = self.request.body_arguments
        choice = Choice(day=self.get_body_argument("day", ""), page=form_page(fields_of(arguments)))
        words = page_words(choice, title="Not written", drawn=False, version=STANDS)
        try:
            shown = await self._aside.run(lambda: self._written(choice.day or "", arguments))
        except TelemetryError as error:
            self._answer(
                "trouble.html", {**words, "line": error.line, "problems": every_problem(error), "to_whole": True}
            )
        except Exception as error:  # noqa: BLE001 - the last resort: a page in place of a bare 500
            self._answer("trouble.html", {**words, "line": complain(error), "to_whole": True})
        else:
            if shown.refusal is None:
                page, answered = await self._aside.run(lambda: self._next_page(choice.day or "", shown))
                self.redirect(f"./{choice.link(page=page, event=marked_run(shown.fields))}{answered}", status=303)
            else:
                back, answered = asked_on(shown.fields)
                facts = {"shown": shown, "file": shown.proposal.path.name, "back": back, "answered": answered}
                self._answer(template_of(shown), {**words, **facts})

    def _answer(self, template: str, words: Mapping[str, object]) -> None:
        self.finish(environment().get_template(template).render(**words))

    def _next_page(self, name: str, shown: Shown) -> tuple[str, str]:
        """Return which page follows; one that can't be read any more tells so itself."""
        with suppress(TelemetryError):
            return after_writing(shown, others_wait=bool(new_logs(self._library.day_now(name))))
        return after_writing(shown, others_wait=False)

    def _written(self, name: str, arguments: Mapping[str, Sequence[bytes]]) -> Shown:
        """Write what was shown, made from the very text it was shown from; else say why not."""
        one = {key: values[-1].decode("utf-8", "replace") for key, values in arguments.items() if values}
        day = self._library.day_of(name, one.get("made_from", ""))
        shown = show(day, fields_of(arguments), _moment(one.get("at", "")))
        if shown.proposal.made_into != one.get("made_into", ""):
            raise CallError(day.path.name, "another change than was shown", "the same", "look at the change again")
        refusal = outlived(day, shown, dt.datetime.now(dt.UTC))
        if refusal is not None:
            return replace(shown, refusal=refusal)
        try:
            write(shown.proposal)
        except ChangedFileError as error:
            return refused(shown, error)
        self._library.shelf(name)  # where a round missed the file, another finds it
        self._library.again(name)
        return replace(shown, refusal=None)


def _moment(text: str) -> dt.datetime:
    """Return the moment that a page showed.

    Raises
    ------
    CallError
    """
    with suppress(ValueError):
        moment = dt.datetime.fromisoformat(text)
        if moment.tzinfo is not None:
            return moment
    raise CallError("this page", "no moment that it was shown at", "a page of this program", "open the day again")
