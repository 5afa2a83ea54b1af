"""Expected above measured, drawn: both on the axis of the verdicts."""

from __future__ import annotations

from dataclasses import replace

import pytest

from dashboards.figures.expected import expected_figure, one_is
from tests.expected_rows import expected_row


def test_box_and_mark_stand_where_their_changes_are() -> None:
    row = expected_row("dynamic_sag", "front", (1.0, 0.5), (-1.0, 0.25), agreement="disagrees")
    (scale,) = expected_figure([row], {("dynamic_sag", "front"): "changed"})
    (drawn,) = scale.rows
    assert scale.band == pytest.approx((25.0, 75.0))  # the axis ends at 2
    assert (drawn.box.at, drawn.box.start, drawn.box.width) == pytest.approx((75.0, 62.5, 25.0))
    assert drawn.mark is not None
    assert (drawn.mark.at, *(drawn.mark.thick or ())) == pytest.approx((25.0, 18.75, 31.25))
    assert (drawn.mark.shape, drawn.bold, drawn.word) == ("disc", True, "disagrees")


def test_what_leaves_the_panel_has_an_arrow_and_what_is_larger_a_scale_of_its_own() -> None:
    near = expected_row("dynamic_sag", "front", (1.0, 9.0))
    far = expected_row("dynamic_sag", "rear", (6.0, 0.5))
    usual, wide = expected_figure([near, far], {})
    assert usual.rows[0].box.more_left
    assert usual.rows[0].box.more_right
    assert (usual.title, wide.reach) == ("", 10.0)
    assert not wide.rows[0].box.more_right
    assert "to a smaller scale" in wide.title


def test_a_row_that_nobody_rode_has_no_mark() -> None:
    (scale,) = expected_figure([expected_row("packing", "rear", (0.0, 0.2))], {})
    assert scale.rows[0].mark is None
    assert scale.rows[0].word == "not measured"


def test_where_too_few_runs_leave_no_interval_the_row_says_that() -> None:
    row = replace(expected_row("packing", "rear", (0.0, 0.2)), measured=1.3, agreement="can't tell")
    (scale,) = expected_figure([row], {})
    assert scale.rows[0].mark is None
    assert scale.rows[0].word == "too few runs"


def test_one_is_said_in_the_unit_of_the_row() -> None:
    assert one_is(expected_row("dynamic_sag", "front", (1.0, 0.5))) == "1 = 2 points"
    assert one_is(expected_row("rebound_speed_10_per_min", "front", (1.0, 0.5))) == "1 = 10 %"


def test_of_one_run_of_each_nothing_reads_as_judged() -> None:
    """A narrow range of one pair beside the box looks like a disagreement: each place says that it is none."""
    row = expected_row(
        "travel_p95", "front", (1.5, 0.2), (0.4, 0.1), agreement="can't tell", measured_level=0.05, of_these_runs=True
    )
    ((own,),) = [scale.rows for scale in expected_figure([row], {})]
    assert (own.word, own.bold) == ("not judged", False)
    assert "(95 %, these runs alone: " in own.sentence
    assert own.sentence.endswith("): not judged.")
    assert row.to_dict()["agreement"] == "can't tell"
