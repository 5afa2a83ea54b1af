"""An expected and a measured change as people read them: in points or mm, or in percent where a row is compared so."""

from __future__ import annotations

from typing import TypeAlias

from telemetry.model.prediction import LEVEL, Prediction
from telemetry.sheet import ABSENT
from telemetry.words import difference_unit, figure, shown_unit

from .results import WIDEST_RATIO, sure_in_words

FINE = 0.3
"""An interval narrower than that is told with two decimals, and the change in it; own choice."""
WIDE, FEW_RUNS = "wide open", "too few runs"
"""In place of an interval that says nothing: of an expected change, of a measured one."""
THESE_RUNS = "these runs alone"
"""Of what an interval holds where a setup has one run: no other runs, so nothing stands against the expected."""
NOT_JUDGED = "not judged"
Ends: TypeAlias = tuple[float | None, float | None]


def _places(row: Prediction, ends: Ends) -> int:
    """Return with how many decimals a change and its interval are told: the same for all three."""
    low, high = ends
    fine = row.percent is None and low is not None and high is not None and abs(high - low) < FINE
    return 2 if fine else 1


def _amount(row: Prediction, value: float | None, percent: float | None, ends: Ends) -> str:
    """Return a change as people read it: in points or mm, or in percent where a row is compared so."""
    own = percent if row.percent is not None else value
    if value is None or own is None:
        return ABSENT
    return f"{figure(own, _places(row, ends), signed=True)} {unit_of(row)}".strip()


def says_nothing(percent: tuple[float, ...] | None) -> bool:
    """Tell whether an interval in percent spans a factor that says nothing, as a comparison tells it."""
    return percent is not None and 100 + percent[-1] > WIDEST_RATIO * (100 + percent[-2])


def _range(row: Prediction, ends: Ends, percent: Ends | None, wide: str) -> str:
    low, high = ends if percent is None else percent
    if low is None or high is None:
        return ABSENT
    if percent is not None and says_nothing((low, high)):
        return wide
    places = _places(row, ends)
    return f"{figure(low, places, signed=True)} to {figure(high, places, signed=True)}"


def unit_of(row: Prediction) -> str:
    """Return in what a row's changes are told: points, mm, or percent of the baseline."""
    return "%" if row.percent is not None else shown_unit(difference_unit(row.unit))


def expected_words(row: Prediction) -> str:
    """Return the expected change: "+2.6 points"."""
    return _amount(row, row.expected, None if row.percent is None else row.percent[0], (row.low, row.high))


def expected_range(row: Prediction) -> str:
    """Return its 90 % interval: "+1.2 to +4.0"."""
    return _range(row, (row.low, row.high), None if row.percent is None else row.percent[1:], WIDE)


def measured_words(row: Prediction) -> str:
    """Return the measured change, or a dash."""
    percent = None if row.measured_percent is None else row.measured_percent[0]
    return _amount(row, row.measured, percent, (row.measured_low, row.measured_high))


def agreement_word(row: Prediction) -> str:
    """Return how expected and measured go together; of a single run that it isn't judged; empty: not measured."""
    return NOT_JUDGED if row.of_these_runs else row.agreement or ""


def measured_sure(row: Prediction) -> str:
    """Return how sure the measured interval is: "90 %", of a single run "95 %, these runs alone"."""
    sure = sure_in_words(LEVEL if row.measured_level is None else row.measured_level)
    return f"{sure}, {THESE_RUNS}" if row.of_these_runs else sure


def measured_range(row: Prediction) -> str:
    """Return its interval, that there are too few runs for one, or a dash."""
    if row.measured is not None and row.measured_low is None:
        return FEW_RUNS
    ends = None if row.measured_percent is None else row.measured_percent[1:]
    return _range(row, (row.measured_low, row.measured_high), ends, FEW_RUNS)
