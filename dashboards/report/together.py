"""The page of one change on several days: stands alone, opens from disk, prints."""

from __future__ import annotations

from markupsafe import Markup

from dashboards.figures.forest import forest
from dashboards.policy import standing_alone
from dashboards.templating import environment, own_text
from telemetry import __version__
from telemetry.model.together import DaysTogether
from telemetry.telling.results import sign_of
from telemetry.telling.together import carrying, days_table, remarks, rows_table, when_in_words

MOST_FIGURES = 6


def render_together(found: DaysTogether) -> str:
    """Return the page as self-contained HTML; it asks no network for anything. Every name from a file is text.

    Parameters
    ----------
    found : DaysTogether
    """
    rows = carrying(found)[:MOST_FIGURES]
    behaviour = Markup("<script>{}</script>").format(own_text("wide.js"))
    return (
        environment()
        .get_template("forest.html")
        .render(
            headline=found.headline,
            fair=found.fair,
            circumstances=when_in_words(found),
            sentences=[(sign_of(row), row.sentence) for row in rows],
            forests=[forest(found, row) for row in rows],
            rows=rows_table(found),
            days=days_table(found),
            remarks=tuple(remarks(found)),
            style=own_text("base.css") + own_text("paper.css"),
            version=__version__,
            behaviour=behaviour,
            policy=standing_alone((behaviour,)),
        )
    )
