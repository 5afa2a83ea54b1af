"""The figure of one change over several days, and its page."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from dashboards.figures.forest import MOST_DRAWN, forest
from dashboards.report import render_together
from telemetry.comparison import days_together
from telemetry.model.together import Change, DaysRow, DaysTogether, DayTogether
from telemetry.telling.together import with_words


def over(d: list[float], *, bike: str = "Mule", opened: tuple[str, ...] = (), se: float = 0.2) -> DaysTogether:
    """Return days on which front sag differed so, each with the same standard error."""
    count, even = len(d), np.ones(len(d))
    names = [f"2026-06-{place:02d}-abcdef" for place in range(1, count + 1)]
    row = DaysRow(
        measure="dynamic_sag",
        end="front",
        unit="%",
        scale="raw",
        focus=False,
        margin=2.0,
        days=tuple(range(count)),
        d=np.array(d),
        se=se * even,
        nu=1e9 * even,
        reach=even,
        floor_se=np.nan * even,
        floor_nu=np.nan * even,
    )
    rows, families = days_together([row], names)
    change = Change(
        key="lower_leg_oil_each_ml",
        end="front",
        words="lower-leg oil",
        unit="ml",
        more=False,
        between=("", ""),
        least=10.0,
        most=12.0,
        taken_as=None,
    )
    days = tuple(
        DayTogether(day=name, date=name[:10], bike=f"{bike} {place}", setup="b", against="a", size=-12.0, open=opened)
        for place, name in enumerate(names)
    )
    found = DaysTogether(
        change=change,
        days=days,
        left_out=(),
        definitions=2,
        cutoff_hz=60.0,
        rows=rows,
        refused=(),
        families=families,
    )
    return with_words(found)


def test_every_line_stands_where_its_interval_does() -> None:
    found = over([3.0, 4.0, 5.0])
    (row,) = found.rows
    drawn = forest(found, row)
    assert drawn.one_is == "1 = 2 points"

    def on_axis(percent: float) -> float:
        return (percent / 50 - 1) * drawn.reach

    for line, d in zip(drawn.days, (3.0, 4.0, 5.0), strict=True):
        mark = line.cell.mark
        assert mark is not None
        assert mark.shape == "stroke"
        assert mark.thin is not None
        assert on_axis(mark.at) == pytest.approx(d / 2)
        assert [on_axis(end) for end in mark.thin] == pytest.approx([(d - 0.392) / 2, (d + 0.392) / 2], abs=1e-3)
    mean, following = drawn.together
    assert mean.cell.mark is not None
    assert mean.cell.mark.shape == "disc"
    assert on_axis(mean.cell.mark.at) == pytest.approx(2.0)
    assert (mean.number, mean.beneath) == ("+4.0 points", "changed")
    assert following.label == "A next bike"
    assert following.box is not None
    assert following.box.more_right  # t of one degree of freedom
    assert following.box.more_left


def test_two_days_have_neither_mean_nor_a_next_one() -> None:
    found = over([3.0, 4.0])
    drawn = forest(found, found.rows[0])
    assert [len(drawn.days), len(drawn.together)] == [2, 0]


def test_of_very_many_days_the_first_are_drawn_and_the_others_are_said() -> None:
    found = over([4.0 + 0.01 * place for place in range(MOST_DRAWN + 5)])
    assert forest(found, found.rows[0]).undrawn == 5
    assert "5 more days aren’t drawn" in render_together(found)


def test_a_difference_far_beyond_has_a_scale_of_its_own() -> None:
    found = over([30.0, 31.0, 32.0])
    drawn = forest(found, found.rows[0])
    assert drawn.reach >= 16
    assert drawn.title
    assert not any(line.cell.mark is None or line.cell.mark.more_right for line in drawn.days)


def test_the_page_stands_alone_and_runs_nothing_from_a_name() -> None:
    page = render_together(over([3.0, 4.0, 5.0], bike="<script>alert(1)</script>"))
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page
    assert not re.search(r'(?:src|href)="http', page)
    assert "default-src &#39;none&#39;" in page
    assert page.count('role="img"') == 5  # three days, the mean, the next
    assert "What did it do on all of them?" in page


def test_where_something_is_open_the_page_names_no_cause() -> None:
    page = render_together(over([3.0, 4.0, 5.0], opened=("put_on_once",)))
    assert "What differs on all of them?" in page
    assert "What did it do" not in page
    assert "leave something open (put_on_once): no cause is named" in page


def test_the_command_writes_it_beside_its_answer(tmp_path: Path) -> None:
    from tests.cli.run_here import commanded

    done = commanded("together", "--change", "front.rebound", "--library", tmp_path, "--out", tmp_path / "no.html")
    assert done.returncode == 2
    assert not (tmp_path / "no.html").exists()
