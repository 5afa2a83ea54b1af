"""Every reason that the comparison gives is known to the customer's page."""

from __future__ import annotations

import pytest

from telemetry.comparison import judging, values, verdict
from telemetry.languages import language
from telemetry.pipeline import comparing
from telemetry.statistics.difference import DOES_NOT_VARY
from telemetry.statistics.looks import look_at
from telemetry.telling.reasons import FOR_THE_SHOP, FORMS, parts_of, reason_in

REASONS = (
    judging.ORDER_REASON,
    judging.DAY_REASON,
    judging.SECTIONS_REASON,
    judging.ONE_RUN_REASON,
    judging.ONE_WAY_NOTE,
    judging.uneven_reason(2, 5),
    judging.few_events_reason(3),
    values.FEW_RUNS_REASON,
    verdict.TOO_SMALL_NOTE,
    verdict.MAY_BE_LESS_NOTE,
    verdict.NO_MORE_NOTE,
    verdict.NOT_BACK_NOTE,
    DOES_NOT_VARY,
    look_at([3, 6], 2).so_far,
    look_at([1], 0).so_far,
    look_at([3, 6], 7).so_far,
    comparing.CHOSEN_LATE,
    comparing.CHOSEN_UNKNOWN,
)


@pytest.mark.parametrize("reason", REASONS)
def test_each_is_known_by_its_own_form(reason: str) -> None:
    assert reason
    english, german = language("en"), language("de")
    assert parts_of(f"{verdict.MAY_BE_LESS_NOTE}; {reason}") == [verdict.MAY_BE_LESS_NOTE, reason]
    assert reason_in(reason, english) != english.say("reason.other")
    assert reason_in(reason, german) not in {reason, german.say("reason.other")}


def test_no_form_is_left_over() -> None:
    assert all(any(form.fullmatch(reason) for reason in REASONS) for form in FORMS.values())


def test_what_only_who_measures_asks_about_is_known_by_its_beginning() -> None:
    assert judging.NO_FLOOR_NOTE.startswith(FOR_THE_SHOP)


def test_figures_stay_and_what_is_unknown_is_said_plainly() -> None:
    german = language("de")
    assert reason_in(judging.few_events_reason(3), german).startswith("3 Ereignisse in allem, mindestens ")
    assert reason_in("day_differs: b and a were ridden on different days", german) == german.say("reason.withheld")
    assert reason_in("something nobody thought of", german) == german.say("reason.other")
