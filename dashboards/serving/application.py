"""One request, one page: the link's choice, the day it names, the question it asks."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping
from contextlib import contextmanager

from bokeh.application.application import SessionContext
from bokeh.application.handlers import Handler
from bokeh.core.property.validation import validate
from bokeh.document import Document

from dashboards.content.sitting import setups_recorded
from dashboards.content.strip import squares
from dashboards.content.styles import styles_of
from dashboards.figures.drawn import Drawn
from dashboards.pages.choice import Choice
from dashboards.pages.chooser import chooser_of
from dashboards.pages.fields import Arguments
from dashboards.pages.questions import asked, questions_for
from dashboards.pages.view import DayLinks, View
from dashboards.placing import Placed, served
from dashboards.templating import environment, page_words
from dashboards.theme import MOST_SETUPS
from telemetry.errors import CallError, TelemetryError
from telemetry.telling.day import circumstances

from .aside import Aside
from .complaints import complain, every_problem
from .read_day import ReadDay
from .shelves import Shelf, Shelves

Filling = Mapping[str, object]
STANDS = None
"""The version of a page that never loads again by itself: what is shown on it is what its button writes."""


class Pages(Handler, ABC):
    """Fills the documents that browsers ask for, aside: the loop goes on while a page is made.

    Parameters
    ----------
    shelves : Shelves
    aside : Aside
        One thread: the library that draws isn't made for several.
    """

    def __init__(self, shelves: Shelves, aside: Aside) -> None:
        super().__init__()
        self._shelves, self._aside = shelves, aside

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
        """Return the choice with its day, where one is meant that isn't named."""
        return choice

    def _version(self, choice: Choice) -> int | None:
        """Return which reading the page will be of; None for one that never loads again by itself."""
        shelf = None if choice.day is None else self._shelves.known(choice.day)
        return 0 if shelf is None else shelf.version

    @abstractmethod
    def _fill(self, document: Document, choice: Choice, version: int | None, arguments: Arguments) -> None:
        """Fill a new document with what is asked.

        Raises
        ------
        TelemetryError
            Whose line the page shows instead.
        """

    @abstractmethod
    def _links(self, read: ReadDay) -> DayLinks:
        """Return where a page of a day leads to besides, and whether anything may be written from it."""

    def _read(self, document: Document, choice: Choice, shelf: Shelf, version: int | None) -> None:
        """Show a day; that it is being read, where it isn't yet."""
        if shelf.read is None:
            self._waiting(document, choice, shelf, version)
        else:
            self._day(document, choice, shelf, version, shelf.read)

    def _waiting(self, document: Document, choice: Choice, shelf: Shelf, version: int | None) -> None:
        if shelf.state == "failed":
            self._trouble(document, choice, shelf.trouble, version, shelf.problems)
            return
        self._put(document, choice, "waiting.html", "Reading the logs", {"version": version})

    def _day(self, document: Document, choice: Choice, shelf: Shelf, version: int | None, read: ReadDay) -> None:
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
            other_laps=lambda: self._shelves.other_laps(shelf.name),
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
                "panels": placed_panels(document, page.panels),
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
                "links": self._links(read),
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


def placed_panels(document: Document, panels: Mapping[str, tuple[Drawn, ...]]) -> dict[str, list[Placed]]:
    """Add panels to their document; return them by group, as its page embeds them."""
    with unchecked(), document.models.freeze():  # all groups at once: each by itself would look through all again
        return {name: served(document, group) for name, group in panels.items()}


@contextmanager
def unchecked() -> Iterator[None]:
    """Leave out the library's checks of every value that is drawn; tests draw with them on."""
    with validate(False):  # noqa: FBT003 - the library's own switch
        yield
