"""What a change should have done, gathered: figure, sentences and tables."""

from __future__ import annotations

from collections.abc import Mapping

from dashboards.figures.expected import expected_figure
from dashboards.theme import SetupStyle
from telemetry.model.prediction import Predicted
from telemetry.sheet import Table
from telemetry.telling.prediction import back_words, lead, main_table, next_lines, rests_on, widths_table


def expected_parts(predicted: Predicted, styles: Mapping[str, SetupStyle]) -> dict[str, object]:
    """Return what the section of what should have been is filled with.

    Parameters
    ----------
    predicted : Predicted
    styles : mapping of setup to SetupStyle
        A candidate that wasn't ridden has no colour, and no disc.
    """
    style = styles.get(predicted.candidate or "")
    lines = next_lines(predicted)
    tables = (main_table(predicted), widths_table(predicted)) if predicted.predictions else ()
    return {
        "lead": lead(predicted),
        "back": back_words(predicted) if predicted.predictions else "",
        "figure": expected_figure(predicted),
        "token": "ink" if style is None else style.token,
        "disagreeing": [row.sentence for row in predicted.predictions if row.agreement == "disagrees"],
        "tables": (*tables, *(line for line in lines if isinstance(line, Table))),
        "lines": (*(line for line in lines if isinstance(line, str)), *rests_on(predicted)),
    }
