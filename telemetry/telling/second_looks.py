"""What is told beside the verdicts, in sentences: drift, equal ground speed, who differs from whom."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from telemetry.model.catalogue import SPECS
from telemetry.model.finding import Place
from telemetry.model.second_looks import Drift, EqualSpeed, PairDifference, SecondLooks
from telemetry.words import counted, difference_unit, figure, lower_first

from .forces import FORCES_TITLE, force_sentences
from .names import named
from .values import places_of

Row = tuple[str, str, Place]
NO_DRIFT = "that is no evidence of none: the order ridden is the protection"
MOST_LINES = 8


def drift_sentences(drifts: Sequence[Drift], labels: Mapping[str, str]) -> tuple[str, ...]:
    """Return a sentence for each measure whose drift stands among all looked at, and one for all others."""
    lines = []
    for item in (item for item in drifts if item.stands):
        places = _places(item.measure, item.unit)
        told = (item.slope, item.low, item.high)
        slope, low, high = (figure(value, places, signed=True) for value in told if value is not None)
        lines.append(
            f"{named(item.measure, item.end)} drifted {slope} {item.unit} a run (90 % interval {low} to {high}); "
            f"{labels[item.candidate]} came {figure(abs(item.order_shift), 1)} places "
            f"{'later' if item.order_shift >= 0 else 'earlier'} on average, so it could have moved the difference by "
            f"{figure(item.could_move, places)} {item.unit} at most"
        )
    quiet = len(drifts) - len(lines)
    if quiet:
        lines.append(f"No drift seen in {counted(quiet, 'measure')}: {NO_DRIFT}")
    return tuple(lines)


def equal_speed_sentences(
    rows: Sequence[EqualSpeed], wanted: Collection[Row], labels: Mapping[str, str]
) -> tuple[str, ...]:
    """Return a sentence for each wanted (candidate, measure, end) as it would be at equal ground speed."""
    lines = []
    for item in rows:
        if (item.candidate, item.measure, item.end) not in wanted:
            continue
        places = _places(item.measure, item.unit)
        seen, equal = (figure(value, places, signed=True) for value in (item.difference, item.at_equal_speed))
        faster = figure(item.speed_difference_percent, 1, signed=True)
        lines.append(
            f"{named(item.measure, item.end)}, {labels[item.candidate]} ridden {faster} % in ground speed: {equal} "
            f"{item.unit} at equal speed instead of {seen}; a second line only, for the setup may be why"
        )
    return tuple(lines)


def pair_sentences(rows: Sequence[PairDifference], labels: Mapping[str, str]) -> tuple[str, ...]:
    """Return a sentence for each pair of setups: in what they differ, with the interval; or that nothing was seen."""
    lines = []
    for first, second in dict.fromkeys((item.first, item.second) for item in rows):
        pair = f"{labels[second]} against {labels[first]}"
        own = [item for item in rows if (item.first, item.second) == (first, second)]
        differing = [_differs(item) for item in own if item.differs]
        shown = "; ".join(differing[:MOST_LINES])
        more = f"; and {len(differing) - MOST_LINES} more" if len(differing) > MOST_LINES else ""
        judged = sum(item.differs is not None for item in own)
        lines.append(f"{pair}: {shown}{more}" if shown else f"{pair}: no difference seen in {judged} measures judged")
    return tuple(lines)


def _differs(item: PairDifference) -> str:
    spec = SPECS[item.measure]
    places = max(places_of(spec.name), 1) if spec.scale == "raw" else places_of(spec.name)
    ends = [figure(value, places, signed=True) for value in (item.difference, item.low, item.high) if value is not None]
    between = f", between {ends[1]} and {ends[2]}" if len(ends) == 3 else ""
    return f"{lower_first(named(item.measure, item.end))} {ends[0]} {difference_unit(item.unit)}{between}"


def _places(measure: str, unit: str) -> int:
    return 1 if unit == "%" else max(places_of(measure), 1)


def second_sentences(
    second: SecondLooks, wanted: Collection[Row], labels: Mapping[str, str]
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return every second look with its title, those that say nothing left out.

    Parameters
    ----------
    second : SecondLooks
    wanted : collection of (candidate, measure, end)
        Rows that are told at equal ground speed: the changed ones and the focus.
    labels : mapping of setup to its label
    """
    every = (
        ("Drift through the day", drift_sentences(second.drift, labels)),
        ("At equal ground speed", equal_speed_sentences(second.equal_speed, wanted, labels)),
        ("Who differs from whom", pair_sentences(second.pairs, labels)),
        (FORCES_TITLE, force_sentences(second.forces, labels)),
    )
    return tuple((title, lines) for title, lines in every if lines)
