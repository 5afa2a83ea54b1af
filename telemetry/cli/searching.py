"""Options that say which kept days are meant."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from telemetry.library import Wanted

_Command = TypeVar("_Command", bound=Callable[..., Any])


class _Date(click.DateTime):
    """A date as days state it."""

    def __init__(self) -> None:
        super().__init__(["%Y-%m-%d"])

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the date; refuse what is none in plain words."""
        try:
            return super().convert(value, param, ctx)
        except click.BadParameter:
            self.fail(f"{value!r} is no date; write it as 2026-05-16", param, ctx)


DATE = _Date()
BY_WHAT_WAS_RIDDEN = (
    click.option("--bike", default="", help="Part of the bike's name."),
    click.option("--customer", default="", help="Part of the customer's name, or of their words for the bike."),
    click.option("--trail", default="", help="Part of the trail's name."),
    click.option(
        "--setting",
        "settings",
        metavar="KEY=VALUE",
        multiple=True,
        help="In force in a setup, such as front.rebound=9; may be repeated: all in one setup.",
    ),
    click.option("--from", "since", metavar="DATE", type=DATE, help="First date: 2026-05-16."),
    click.option("--to", "until", metavar="DATE", type=DATE, help="Last date."),
)
OPTIONS = (
    *BY_WHAT_WAS_RIDDEN,
    click.option(
        "--verdict",
        default="",
        metavar="VERDICT",
        help="changed, unchanged or undecided (of the focus, where one was named); or MEASURE:END=changed.",
    ),
)


def searching(command: _Command) -> _Command:
    """Give a command the options of a search, and its words."""
    for option in reversed(OPTIONS):
        command = option(command)
    return click.argument("words", nargs=-1)(command)


def unseen(command: _Command) -> _Command:
    """Give a command the options of a search that looks at no result: days chosen by it would tell the choice."""
    for option in reversed(BY_WHAT_WAS_RIDDEN):
        command = option(command)
    return command


def wanted_of(asked: dict[str, Any]) -> Wanted:
    """Return what is looked for, out of what a command was given."""
    from telemetry.library import Wanted

    def written(date: datetime | None) -> str:
        return "" if date is None else date.date().isoformat()

    plain = {key: asked[key] for key in ("bike", "customer", "trail", "settings", "verdict") if key in asked}
    return Wanted(
        words=" ".join(asked.get("words", ())), since=written(asked["since"]), until=written(asked["until"]), **plain
    )
