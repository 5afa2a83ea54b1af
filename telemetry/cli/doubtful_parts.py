"""Parts that can't be, told beside an answer that doesn't rest on them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from telemetry.errors import RideDayError

if TYPE_CHECKING:
    from telemetry.model.day import RideDay


def warn_of_parts(day: RideDay) -> None:
    """Say on standard error that figures of parts contradict each other, as `check` refuses them."""
    from telemetry import pipeline
    from telemetry.model.parts_stated import states_figures

    if not states_figures(day):
        return
    try:
        pipeline.require_parts_agree(day)
    except RideDayError as error:
        told = "Measured all the same; check, bench and predict refuse it, and a report leaves its parts out"
        click.echo(f"telemetry: {error}. {told}", err=True)
