"""One request, one page: the link's choice, the day it names, the question it asks."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Mapping
from dataclasses import replace

from bokeh.application.handlers.function import FunctionHandler
from bokeh.core.property.validation import validate
from bokeh.document import Document

from dashboards.content import facts
from dashboards.pages.choice import Choice
from dashboards.pages.chooser import chooser_of
from dashboards.pages.day_list import day_rows
from dashboards.pages.questions import asked, questions_for
from dashboards.pages.view import Page, View, styles_of
from dashboards.pages.writing import PAGE as WRITE
from dashboards.pages.writing import Fields, fields_of, show
from dashboards.placing import Placed, served
from dashboards.templating import environment, page_words
from dashboards.theme import MOST_SETUPS
from telemetry.errors import CallError, TelemetryError

from .complaints import OURS, own_fault
from .library import Library, ReadDay, Shelf

Filling = Mapping[str, object]


def _complain(error: Exception) -> str:
    """Say on the terminal what went wrong with a page; return it for the page."""
    logging.getLogger(OURS).error("a page", exc_info=error)
    return own_fault(error)


class Pages:
    """Fills the documents that browsers ask for.

    Parameters
    ----------
    library : Library
    """

    def __init__(self, library: Library) -> None:
        self._library = library

    def handler(self) -> FunctionHandler:
        """Return what the server calls for every new document."""
        return FunctionHandler(self.fill)

    def fill(self, document: Document) -> None:
        """Fill one new document; whatever goes wrong becomes a page that says so."""
        request = getattr(document.session_context, "request", None)
        arguments = {} if request is None else request.arguments
        choice = Choice()
        try:
            choice = self._placed(Choice.of(arguments))
            self._fill(document, choice, fields_of(arguments))
        except TelemetryError as error:
            self._trouble(document, choice, error.line)
        except Exception as error:  # noqa: BLE001 - the last resort: a page in place of a bare 500
            self._trouble(document, choice, _complain(error))

    def _placed(self, choice: Choice) -> Choice:
        """Return the choice with its day: the only one there is where none is named."""
        shelves = self._library.shelves()
        return replace(choice, day=shelves[0].name) if choice.day is None and len(shelves) == 1 else choice

    def _fill(self, document: Document, choice: Choice, fields: Fields) -> None:
        if choice.day is None:
            shelves = self._library.shelves()
            version = sum(shelf.version for shelf in shelves) + len(shelves)
            facts_ = {"rows": day_rows(shelves), "folder": self._library.folder.resolve().name, "version": version}
            self._put(document, choice, "day_list.html", "Ride days", facts_)
            return
        shelf = self._library.shelf(choice.day)
        version, read = shelf.version, shelf.read  # in this order: a day read meanwhile makes the page load again
        if read is None:
            self._waiting(document, choice, shelf, version)
            return
        if choice.page == WRITE:
            self._proposal(document, choice, read, fields)
        else:
            self._day(document, choice, shelf, version, read)

    def _proposal(self, document: Document, choice: Choice, read: ReadDay, fields: Fields) -> None:
        now = dt.datetime.now()  # noqa: DTZ005 - the tuner's own clock, as in the file
        shown = show(read.day, fields, now)
        late = dict(fields).get("what") == "focus" and bool(read.day.runs)
        filling = {"shown": shown, "file": read.day.path.name, "late": late, "version": 0}
        self._put(document, choice, "write.html", shown.title, filling)

    def _waiting(self, document: Document, choice: Choice, shelf: Shelf, version: int) -> None:
        if shelf.state == "failed":
            self._trouble(document, choice, shelf.trouble, version=version)
            return
        self._put(document, choice, "waiting.html", "Reading the logs", {"version": version})

    def _day(self, document: Document, choice: Choice, shelf: Shelf, version: int, read: ReadDay) -> None:
        whole = read.whole
        if whole is None:
            words = "; ".join(f"{run.entry.name}: {run.usable}" for run in read.analysis.runs)
            self._trouble(document, choice, f"no run can be used ({words})", version=version)
            return
        baseline = whole.comparison.baseline if whole.comparison is not None else None
        choice = choice.within(read.day, whole.sections.count)
        seen = read.look(choice.wish(read.day, baseline))
        if seen is None:
            raise CallError("this choice", "no usable run", "at least one run", "choose more runs or setups")
        shown = list(dict.fromkeys(picture.setup for picture in seen.pictures))
        if len(shown) > MOST_SETUPS:
            setups = [(name, read.day.setups[name].label) for name in shown]
            filling = {"setups": setups, "most": MOST_SETUPS, "version": version}
            self._put(document, choice, "too_many.html", "Choose setups", filling)
            return
        view = View(
            analysis=read.analysis,
            done=read.done,
            choice=choice,
            seen=seen,
            styles=styles_of(read.analysis, seen, baseline),
            along=lambda: read.along(seen),
        )
        question = asked(view)
        page = question.answer(view)
        tokens = {name: style.token for name, style in view.styles.items()}
        self._put(
            document,
            choice,
            page.template,
            f"{question.title} {read.day.title}",
            {
                **page.facts,
                "panels": _served(document, page),
                "finding": page.finding,
                "question": question,
                "questions": questions_for(view),
                "chooser": chooser_of(view),
                "explored": seen.explored,
                "day": read.day,
                "circumstances": facts.circumstances(read.analysis),
                "squares": facts.squares(read.analysis, tokens, view.comparison),
                "styles": tuple(view.styles.values()),
                "version": version,
                "several_days": len(self._library.shelves()) > 1,
                "mending": shelf.trouble,
            },
        )
        if page.live is not None:
            page.live(document)

    def _trouble(self, document: Document, choice: Choice, line: str, version: int = 0) -> None:
        document.clear()
        self._put(document, choice, "trouble.html", "This can't be shown", {"line": line, "version": version})

    def _put(self, document: Document, choice: Choice, template: str, title: str, filling: Filling) -> None:
        document.title = title
        document.template = environment().get_template(template)
        document.template_variables.update(page_words(choice, drawn=bool(document.roots), **filling))


def _served(document: Document, page: Page) -> dict[str, list[Placed]]:
    """Add a page's panels to its document; return them by group."""
    with validate(False):  # noqa: FBT003 - the library's own switch; tests draw with it on
        return {name: served(document, group) for name, group in page.panels.items()}
