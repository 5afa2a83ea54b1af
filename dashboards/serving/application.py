"""One request, one page: the link's choice, the day it names, the question it asks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace

from bokeh.application.application import SessionContext
from bokeh.application.handlers import Handler
from bokeh.core.property.validation import validate
from bokeh.document import Document

from dashboards.content.sitting import setups_recorded
from dashboards.content.strip import squares
from dashboards.content.styles import styles_of
from dashboards.pages.choice import Choice
from dashboards.pages.chooser import chooser_of
from dashboards.pages.day_list import day_rows
from dashboards.pages.entering import PAGE as ENTER
from dashboards.pages.fields import Arguments, Mistakes, fields_of, one_of
from dashboards.pages.forms import FORMS, form_of
from dashboards.pages.marking import marked_run
from dashboards.pages.questions import asked, questions_for
from dashboards.pages.view import Page, View
from dashboards.pages.writing import PAGE as WRITE
from dashboards.pages.writing import asked_on, form_page, mistakes, moment_of, notice_of, show, template_of
from dashboards.placing import Placed, served
from dashboards.templating import environment, page_words
from dashboards.theme import MOST_SETUPS
from telemetry.errors import CallError, TelemetryError, clean_text
from telemetry.files import readable_name
from telemetry.model.day import RideDay
from telemetry.pipeline import new_logs
from telemetry.telling.day import circumstances

from .aside import Aside
from .complaints import complain, every_problem
from .library import Library, Shelf
from .read_day import ReadDay

Filling = Mapping[str, object]
STANDS = None
"""The version of a page that never loads again by itself: what is shown on it is what its button writes."""


class Pages(Handler):
    """Fills the documents that browsers ask for, aside: the loop goes on while a page is made.

    Parameters
    ----------
    library : Library
    aside : Aside
        One thread: the library that draws isn't made for several.
    """

    def __init__(self, library: Library, aside: Aside) -> None:
        super().__init__()
        self._library, self._aside = library, aside

    async def on_session_created(self, session_context: SessionContext) -> None:
        """Fill the document of a new session, before anybody else sees it."""
        await session_context.with_locked_document(self._fill_aside)

    def modify_document(self, doc: Document) -> None:
        """Add nothing: it is filled by now."""

    async def _fill_aside(self, document: Document) -> None:
        await self._aside.run(lambda: self.fill(document))

    def fill(self, document: Document) -> None:
        """Fill one new document; whatever goes wrong becomes a page that says so."""
        request = getattr(document.session_context, "request", None)
        arguments = {} if request is None else request.arguments
        choice = Choice()
        version: int | None = STANDS
        try:
            choice = self._placed(Choice.of(arguments))
            version = self._version(choice)  # before the day is looked at: one read meanwhile makes the page load again
            self._fill(document, choice, version, arguments)
        except TelemetryError as error:
            self._trouble(document, choice, error.line, version, every_problem(error))
        except Exception as error:  # noqa: BLE001 - the last resort: a page in place of a bare 500
            self._trouble(document, choice, complain(error), version)

    def _placed(self, choice: Choice) -> Choice:
        """Return the choice with its day: the only one there is where none is named."""
        shelves = self._library.shelves()
        return replace(choice, day=shelves[0].name) if choice.day is None and len(shelves) == 1 else choice

    def _version(self, choice: Choice) -> int:
        """Return which reading the page will be of: of its day, or of the list."""
        if choice.day is None:
            return self._library.version()
        shelf = self._library.find(choice.day)
        return 0 if shelf is None else shelf.version

    def _fill(self, document: Document, choice: Choice, version: int, arguments: Arguments) -> None:
        if choice.day is None:
            rows, folder = day_rows(self._library.shelves()), readable_name(self._library.folder.resolve().name)
            known = self._library.is_looked_through
            filling = {"rows": rows, "folder": folder, "known": known, "version": version}
            self._put(document, choice, "day_list.html", "Ride days", filling)
            return
        shelf = self._library.shelf(choice.day)
        if choice.page in FORMS:
            self._form(document, choice, self._library.day_now(choice.day), arguments)
            return
        asked_from = self._asked_from(shelf, arguments) if choice.page == WRITE else None
        if asked_from is not None:
            self._proposal(document, choice, asked_from, arguments)
        elif shelf.read is None or choice.page == WRITE:
            self._waiting(document, choice, shelf, version)
        else:
            self._day(document, choice, shelf, version, shelf.read)

    def _asked_from(self, shelf: Shelf, arguments: Arguments) -> RideDay | None:
        """Return the day from which a change is asked for: as the page showed it, else as it was read last.

        None where it is still being read.
        """
        made_from = one_of(arguments, "made_from")
        if made_from:
            return self._library.day_of(shelf.name, made_from)
        if shelf.state == "failed" and shelf.read is None:
            return self._library.day_now(shelf.name)
        return shelf.read.day if shelf.read is not None and shelf.state in ("ready", "failed") else None

    def _form(
        self, document: Document, choice: Choice, day: RideDay, arguments: Arguments, wrong: Mistakes | None = None
    ) -> None:
        """Ask: what is to be entered, or how something is set; again where something is wrong with the answers."""
        form = form_of(day, choice.page, arguments, wrong)
        filling = {**form.facts, "day": day, "several_days": len(self._library.shelves()) > 1, "version": STANDS}
        self._put(document, choice, form.template, form.title, filling)

    def _proposal(self, document: Document, choice: Choice, day: RideDay, arguments: Arguments) -> None:
        """Show a change, made from the day that the page showed on which it was asked for."""
        fields = fields_of(arguments)
        at = moment_of(day, fields, dt.datetime.now(dt.UTC))
        try:
            shown = show(day, fields, at)
        except TelemetryError as error:
            wrong = mistakes(day, fields, at, error)
            if not wrong:
                raise
            self._form(document, replace(choice, page=form_page(fields)), day, arguments, wrong)
            return
        choice = replace(choice, event=marked_run(fields))
        back, answered = asked_on(fields)
        known = [clean_text(log.name) for log in new_logs(day)] if back == ENTER else []  # who enters one knows
        filling = {"shown": shown, "file": day.path.name, "notice": notice_of(day, fields), "version": STANDS}
        filling |= {"back": back, "answered": answered, "known": known}
        self._put(document, choice, template_of(shown), shown.title, filling)

    def _waiting(self, document: Document, choice: Choice, shelf: Shelf, version: int) -> None:
        if shelf.state == "failed":
            self._trouble(document, choice, shelf.trouble, version, shelf.problems)
            return
        self._put(document, choice, "waiting.html", "Reading the logs", {"version": version})

    def _day(self, document: Document, choice: Choice, shelf: Shelf, version: int, read: ReadDay) -> None:
        whole = read.whole
        baseline = whole.comparison.baseline if whole.comparison is not None else None
        choice = choice.within(read.day, whole.sections.count)
        seen = read.look(choice.selection(read.day, baseline))
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
            styles=styles_of(read.day, seen, baseline, setups_recorded(read.analysis)),
            along=lambda: read.along(seen),
            bench=read.bench,
            other_laps=self._library.other_laps(shelf.name),
            on_paper=read.paper.ask,
            ridden_on_paper=read.paper.known,
        )
        question = asked(view)
        page = question.answer(view)
        self._put(
            document,
            choice,
            page.template,
            f"{question.title} {read.day.title}",
            {
                **page.facts,
                "panels": _served(document, page),
                "finding": page.finding,
                "firm": page.firm,
                "question": question,
                "questions": questions_for(view),
                "chooser": chooser_of(view),
                "explored": seen.explored,
                "day": read.day,
                "circumstances": circumstances(read.analysis),
                "squares": squares(read.analysis, view.styles, view.comparison),
                "styles": tuple(view.styles.values()),
                "version": version,
                "several_days": len(self._library.shelves()) > 1,
                "mending": shelf.trouble,
            },
        )
        if page.live is not None:
            page.live(document)

    def _trouble(
        self, document: Document, choice: Choice, line: str, version: int | None, problems: tuple[str, ...] = ()
    ) -> None:
        document.clear()
        filling = {"line": line, "problems": problems, "version": version, "to_whole": choice != Choice(day=choice.day)}
        self._put(document, choice, "trouble.html", "This can't be shown", filling)

    def _put(self, document: Document, choice: Choice, template: str, title: str, filling: Filling) -> None:
        document.title = title
        document.template = environment().get_template(template)
        document.template_variables.update(page_words(choice, drawn=bool(document.roots), **filling))


def _served(document: Document, page: Page) -> dict[str, list[Placed]]:
    """Add a page's panels to its document; return them by group."""
    with validate(False):  # noqa: FBT003 - the library's own switch; tests draw with it on
        return {name: served(document, group) for name, group in page.panels.items()}
