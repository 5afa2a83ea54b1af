"""Pages that ask: they need the day's file alone, not its logs, and stand while they are filled in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from telemetry.errors import clean_text
from telemetry.model.day import RideDay
from telemetry.pipeline import new_logs

from . import entering, settings
from .fields import Arguments, Mistakes, fields_of, one_of
from .new_logs import waiting


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """What a page that asks is made of."""

    template: str
    title: str
    facts: Mapping[str, object]


def form_of(day: RideDay, page: str, arguments: Arguments, wrong: Mistakes | None = None) -> Form:
    """Return a page that asks.

    Parameters
    ----------
    day : RideDay
    page : str
        One of `FORMS`.
    arguments : mapping
        What was answered before.
    wrong : mapping, optional
        What is wrong with it, by field.

    Raises
    ------
    CallError
    """
    return FORMS[page](day, arguments, wrong or {})


def _entering(day: RideDay, arguments: Arguments, wrong: Mistakes) -> Form:
    known = [clean_text(log.name) for log in new_logs(day)]
    if not one_of(arguments, "name") or not day.setups:
        logs, unreadable = waiting(day)
        facts = {"logs": logs, "unreadable": unreadable, "known": known}
        return Form(template="enter_list.html", title="New logs", facts=facts)
    shown = entering.screen(day, fields_of(arguments), one_of(arguments, "step"), wrong)
    return Form(template="enter.html", title=shown.title, facts={"screen": shown, "known": known})


def _settings(day: RideDay, arguments: Arguments, wrong: Mistakes) -> Form:
    fields = fields_of(arguments)
    back, answered = settings.back_from(fields)
    log = clean_text(one_of(arguments, "name"))
    way = {"back": back, "answered": answered, "log": log, "known": [log] if log else []}
    if not one_of(arguments, "place"):
        facts = {
            **way,
            "tables": settings.tables(day),
            "setups": settings.rows(day),
            "columns": [setup.label for setup in day.setups.values()],
            "asks": settings.new_setup(day),
            "keeps": settings.of_log(fields),
        }
        return Form(template="set.html", title="What is set?", facts=facts)
    form = settings.setup_form(day, fields, wrong, one_of(arguments, "add"))
    return Form(template="set_form.html", title=form.title, facts={**way, "form": form})


FORMS: Mapping[str, Callable[[RideDay, Arguments, Mistakes], Form]] = {
    entering.PAGE: _entering,
    settings.PAGE: _settings,
}
