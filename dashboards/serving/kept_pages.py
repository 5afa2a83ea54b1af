"""A library's pages: the list of kept days, a bike over time, a rider's laps, and each kept day as any other."""

from __future__ import annotations

from bokeh.document import Document

from dashboards.pages import bike_past, laps_past, shelf_list
from dashboards.pages.choice import Choice
from dashboards.pages.fields import Arguments
from dashboards.pages.forms import FORMS
from dashboards.pages.questions import MARK
from dashboards.pages.shelf_link import BIKE, LAPS, Asked, bike_link, laps_link
from dashboards.pages.view import DayLinks
from dashboards.pages.writing import PAGE as WRITE
from telemetry import library
from telemetry.errors import CallError
from telemetry.files import readable_name
from telemetry.library import Catalogue
from telemetry.pipeline import bikes_like, laps_kept

from .application import STANDS, Filling, Pages, placed_panels, unchecked
from .aside import Aside
from .kept import KeptDays
from .read_day import ReadDay

NOT_CHANGED = frozenset({*FORMS, MARK.name, WRITE})
"""Pages that a kept day doesn't have: they ask for what would be written into it."""


class KeptPages(Pages):
    """Fills documents with pages of a library; the catalogue is asked for each, and nothing of it remembered.

    Parameters
    ----------
    days : KeptDays
    aside : Aside
    """

    def __init__(self, days: KeptDays, aside: Aside) -> None:
        super().__init__(days, aside)
        self._days = days

    def _fill(self, document: Document, choice: Choice, version: int | None, arguments: Arguments) -> None:
        if choice.day is None:
            asked = Asked.of(arguments)
            with library.reading(self._days.folder) as catalogue:
                self._look_up(document, catalogue, asked)
            return
        if choice.page in NOT_CHANGED:
            remedy = "change it in its own folder, and `telemetry keep` it again"
            raise CallError("this link", "a form of a kept day", "a day that may be changed", remedy)
        self._read(document, choice, self._days.shelf(choice.day), version)

    def _look_up(self, document: Document, catalogue: Catalogue, asked: Asked) -> None:
        """Show what is asked of the library as a whole."""
        if asked.page == BIKE:
            self._bike(document, catalogue, asked)
        elif asked.page == LAPS:
            self._laps(document, catalogue, asked)
        else:
            count, days = library.page_of(catalogue, asked.wanted, skip=asked.skip, most=shelf_list.AT_A_TIME)
            whose = readable_name(self._days.folder.name)
            facts = shelf_list.list_facts(asked, count, days, whose)
            self._show(document, "shelf_list.html", "Kept days", facts)

    def _bike(self, document: Document, catalogue: Catalogue, asked: Asked) -> None:
        if not asked.bike:
            raise CallError("this link", "no bike", "a bike's name", "choose one in the list")
        past = library.past_of(catalogue, bike=asked.bike, trail=asked.trail, skip=asked.skip, most=bike_past.AT_A_TIME)
        with unchecked():
            page = bike_past.bike_page(asked, past, bikes_like(past.days[-1].bike, catalogue) if past.days else None)
        facts = {"question": bike_past.TITLE, "bike": page.bike, "finding": page.finding, **page.facts}
        self._drawn(document, "bike_past.html", f"{bike_past.TITLE} {page.bike}", page.shown, facts)

    def _laps(self, document: Document, catalogue: Catalogue, asked: Asked) -> None:
        if not (asked.bike and asked.trail):
            raise CallError("this link", "no bike, or no trail", "the names of both", "choose them on a bike's page")
        past = library.past_of(catalogue, bike=asked.bike, trail=asked.trail, skip=asked.skip, most=laps_past.AT_A_TIME)
        bikes = library.past_of(catalogue, trail=asked.trail, most=0).bikes
        laps = [lap for day in past.days for lap in laps_kept(day)]
        with unchecked():
            page = laps_past.laps_page(asked, past, bikes, laps)
        facts = {"question": laps_past.TITLE, "finding": page.finding, **page.facts}
        self._drawn(document, "laps_past.html", f"{laps_past.TITLE} {asked.trail}", page.shown, facts)

    def _drawn(
        self, document: Document, template: str, title: str, shown: tuple[bike_past.OverTime, ...], facts: Filling
    ) -> None:
        panels = placed_panels(document, {own.name: own.panels for own in shown})
        self._show(document, template, title, {"shown": shown, "panels": panels, **facts})

    def _show(self, document: Document, template: str, title: str, facts: Filling) -> None:
        self._put(document, Choice(), template, title, {"version": STANDS, **facts})

    def _trouble(
        self, document: Document, choice: Choice, line: str, version: int | None, problems: tuple[str, ...] = ()
    ) -> None:
        """Say what is wrong; nothing that could be mended here is looked after."""
        del version
        super()._trouble(document, choice, line, STANDS, problems)

    def _links(self, read: ReadDay) -> DayLinks:
        day = read.day
        more = [(f"{day.bike.name} over time", bike_link(day.bike.name))] if day.bike.name else []
        if day.bike.name and day.trail:
            riders = {run.rider or day.rider for run in day.runs}
            rider = riders.pop() if len(riders) == 1 else None
            more.append(("The laps of this trail", laps_link(day.trail, day.bike.name, rider)))
        return DayLinks(every_day="All kept days", more=tuple(more), writes=False)
