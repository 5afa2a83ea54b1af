"""A folder's ride days: their list, their pages, and what is asked to be written back."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from bokeh.document import Document

from dashboards.pages.choice import Choice
from dashboards.pages.day_list import day_rows
from dashboards.pages.entering import PAGE as ENTER
from dashboards.pages.fields import Arguments, Mistakes, fields_of, one_of
from dashboards.pages.forms import FORMS, form_of
from dashboards.pages.marking import marked_run
from dashboards.pages.view import DayLinks
from dashboards.pages.writing import PAGE as WRITE
from dashboards.pages.writing import asked_on, form_page, mistakes, moment_of, notice_of, show, template_of
from telemetry.errors import TelemetryError, clean_text
from telemetry.files import readable_name
from telemetry.model.day import RideDay
from telemetry.pipeline import new_logs

from .application import STANDS, Pages
from .aside import Aside
from .library import Library
from .read_day import ReadDay
from .shelves import Shelf


class FolderPages(Pages):
    """Fills documents with pages of a folder's days.

    Parameters
    ----------
    library : Library
    aside : Aside
    """

    def __init__(self, library: Library, aside: Aside) -> None:
        super().__init__(library, aside)
        self._library = library

    def _placed(self, choice: Choice) -> Choice:
        """Return the choice with its day: the only one there is where none is named."""
        shelves = self._library.shelves()
        return replace(choice, day=shelves[0].name) if choice.day is None and len(shelves) == 1 else choice

    def _version(self, choice: Choice) -> int | None:
        """Return which reading the page will be of: of its day, or of the list."""
        if choice.day is None:
            return self._library.version()
        return super()._version(choice)

    def _fill(self, document: Document, choice: Choice, version: int | None, arguments: Arguments) -> None:
        if choice.day is None:
            self._list(document, choice, version)
            return
        shelf = self._library.shelf(choice.day)
        if choice.page in FORMS:
            self._form(document, choice, self._library.day_now(choice.day), arguments)
            return
        asked_from = self._asked_from(shelf, arguments) if choice.page == WRITE else None
        if asked_from is not None:
            self._proposal(document, choice, asked_from, arguments)
        elif choice.page == WRITE:
            self._waiting(document, choice, shelf, version)
        else:
            self._read(document, choice, shelf, version)

    def _list(self, document: Document, choice: Choice, version: int | None) -> None:
        """Show the list of all days."""
        rows, folder = day_rows(self._library.shelves()), readable_name(self._library.folder.resolve().name)
        known = self._library.is_looked_through
        filling = {"rows": rows, "folder": folder, "known": known, "version": version}
        self._put(document, choice, "day_list.html", "Ride days", filling)

    def _links(self, read: ReadDay) -> DayLinks:  # noqa: ARG002 - kept days ask it
        return DayLinks(every_day="All ride days" if self._library.has_several else "")

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
        filling = {**form.facts, "day": day, "several_days": self._library.has_several, "version": STANDS}
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
