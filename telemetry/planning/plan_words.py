"""A plan in words: what to ride and why, what one way or a second day costs, what to do before."""

from __future__ import annotations

import math
from collections.abc import Sequence

from telemetry.model.catalogue import SPECS
from telemetry.model.finding import Place
from telemetry.model.plan import NotPlanned, RidingOrder, Sees, Work
from telemetry.statistics.order_ridden import change_overs
from telemetry.statistics.runs_needed import fewest
from telemetry.words import counted, figure

from .basis import MOST_RUNS
from .day_plan import Size, asked_rows
from .design import Certainty, certainty
from .orders import FEWEST_ONE_WAY, FEWEST_TO_DECIDE, blocks, one_way, over_two_days, rounds

MOST_EXAMPLES = 3
NAMED_FIRST = ("dynamic_sag", "hit_depth_p95", "compression_speed_p95")
PREPARATION = (
    (
        "Open both alike: where parts are opened for one setup, open, drain, grease, refill and bleed the other the "
        "same way, also where nothing is changed in it. Else the opening itself is what is tested."
    ),
    (
        "Before opening: let air out in small steps while cycling the part. An end that stays pulled down may hold "
        "trapped pressure: don't open it, its maker's service must."
    ),
    (
        "Adjusters to the middle of their range, so that there is somewhere to go; the same clicks in all setups, "
        "but for what is tested."
    ),
    (
        "Pressures after that, in steps, cycling so that both chambers level; no “just checking” between runs of one "
        "setup, for a pump refills its own hose. The maker's pressure limits, torques and instructions hold."
    ),
    "Axle, pinch and caliper bolts to torque, brake lever pumped, first run slow; local trail rules hold.",
    (
        "Both wheels lifted for 5 s, nobody aboard: before the first run, and again after every remounting and every "
        "opening of a part."
    ),
    "One sighting run, which isn't counted, then 5 min of riding to warm dampers and tyres.",
    "Three pushes at the start and at the end of every run: stand still, push both ends three times, stand still.",
    "Name up to three measures (focus) and their smallest change before the first run; `telemetry check` after each.",
)
"""Before riding and between the runs; common practice, no source."""


def hours(minutes: float) -> str:
    """Return a length of time: ``45 min``, ``3 h 05 min``."""
    whole = round(minutes)
    return f"{whole} min" if whole < 60 else f"{whole // 60} h {whole % 60:02d} min"


def _named(measure: str, end: Place) -> str:
    label = SPECS[measure].label
    return label if end == "both" else f"{end.capitalize()} {label[0].lower()}{label[1:]}"


def row_name(row: Sees) -> str:
    """Return end and measure: ``front dynamic sag``."""
    name = _named(row.spec.name, row.end)
    return name[0].lower() + name[1:]


def change_in_words(row: Sees, on_scale: float) -> str:
    """Return a change on a row's scale as people read it: points or mm, %, or a factor."""
    if row.spec.scale == "raw":
        unit = "points" if row.spec.unit.startswith("%") else "mm"
        return f"{figure(on_scale, 1)} {unit}"
    times = math.exp(on_scale)
    return f"x{figure(times, 1)}" if row.spec.scale == "count" else f"{figure(100 * (times - 1), 0)} %"


def band(least: int | None, most: int | None) -> str:
    """Return runs needed with their band: ``4``, ``4 to 9``, ``4 to over 30``, ``over 30``."""
    if least is None:
        return f"over {MOST_RUNS}"
    if most is None:
        return f"{least} to over {MOST_RUNS}"
    return str(least) if least == most else f"{least} to {most}"


def _sized(rows: Sequence[Sees], size: Size, lacking: Sequence[NotPlanned]) -> str:
    """Return how many runs, and by what the day is sized."""
    asked, named = asked_rows(rows)
    if not rows:
        return "How many runs it takes can't be told: no measure has a spread yet."
    if lacking and not any(row.focus for row in rows):
        return "How many runs it takes can't be told: none of the measures in focus has a spread yet."
    names = ", ".join(row_name(row) for row in asked[:MOST_EXAMPLES]) + (" and others" if len(asked) > 3 else "")
    what = names if named else f"half of the {len(asked)} measures that can be planned"
    if size.runs_each is None:
        return f"More than {MOST_RUNS} runs of each for {what}: a longer trail or a larger change may settle it sooner."
    text = f"{band(size.runs_each, size.runs_each_upper)} runs of each for {what}"
    if size.runs_each != size.runs_each_upper:
        text += " (the upper figure because a spread from few runs is itself uncertain)"
    hint = "" if named else " Name a focus before riding: fewer runs decide fewer measures."
    return (
        f"{text}: an 80 % chance of “changed” at the smallest change, and of “unchanged” where nothing changed.{hint}"
    )


def _length(order: RidingOrder, work: Work) -> str:
    if order.minutes is None:
        return f"How long the day takes can't be told: state {', '.join(work.lacking)} in [plan]."
    source = " (minutes of a run: the riding time of this day's runs)" if work.from_runs else ""
    before = (work.run_min or 0) + (work.return_min or 0) + 5
    return f"That takes {hours(order.minutes)}{source}, and {hours(before)} before it for sighting run and warm-up."


def advice(
    rows: Sequence[Sees],
    size: Size,
    order: RidingOrder,
    work: Work,
    *,
    lacking: Sequence[NotPlanned],
    runs: int | None,
) -> tuple[str, ...]:
    """Return what to ride and why.

    Parameters
    ----------
    rows : sequence of Sees
    size : Size
    order : RidingOrder
    work : Work
    lacking : sequence of NotPlanned
        Measures in focus that can't be planned.
    runs : int or None
        Runs of each that can be afforded.
    """
    changes = counted(order.change_overs, "change-over")
    whose = "With what can be afforded ride" if runs is not None else "Ride"
    fitted = ", which is fitted out from 4 of each on" if " but for " in order.cancels and order.runs_each > 3 else ""
    ride = f"{whose} {order.runs_each} of each: {order.letters}; {changes}, it cancels {order.cancels}{fitted}."
    lines = [_sized(rows, size, lacking)]
    lines.extend(
        f"{_named(item.measure, item.end)} is in focus but can't be planned: {item.reason}." for item in lacking
    )
    lines.append(ride)
    why = _why(order, size, work)
    lines.extend([why] if why else [])
    if runs is None and (size.runs_each or FEWEST_TO_DECIDE) < FEWEST_TO_DECIDE:
        lines.append(f"Fewer than {FEWEST_TO_DECIDE} of each are a screening only.")
    if order.runs_each < FEWEST_TO_DECIDE:
        lines.append("Two of each are a screening only: a first look, which can't tell much from luck.")
    if runs is not None:
        lines.extend(_affordable(rows, runs))
    lines.append(_length(order, work))
    return tuple(lines)


def _why(order: RidingOrder, size: Size, work: Work) -> str:
    """Return why this order and not the other of its kind; empty where there is none."""
    if order.runs_each < FEWEST_ONE_WAY:
        return ""
    weighed = " (a change-over counted as long as a run with its return)" if work.lacking else ""
    if size.runs_each is not None and max(size.runs_each, FEWEST_TO_DECIDE) < order.runs_each:
        return f"More runs than needed, but with fewer change-overs they take no longer{weighed}."
    if order.change_overs < change_overs(rounds(order.runs_each, len(set(order.setups)))):
        return f"Orders with more change-overs would take longer by more than one more run of each{weighed}."
    return f"It meets more of the drift, and its change-overs take no longer than one more run of each{weighed}."


def _affordable(rows: Sequence[Sees], runs: int) -> list[str]:
    asked, _ = asked_rows(rows)
    settled = [row for row in rows if row.runs_each is not None and row.runs_each <= runs]
    lines = [f"With {runs} of each {len(settled)} of {counted(len(rows), 'measure')} have both chances."]
    for row in _examples(asked):
        change = next(item.on_scale for item in row.detectable if item.runs_each == runs)
        seen = "no change of this kind" if change is None else change_in_words(row, change)
        lines.append(f"{runs} of each see of {row_name(row)}: {seen}; the smallest change is {row.entered}.")
    return lines


def _examples(rows: Sequence[Sees]) -> list[Sees]:
    """Return the rows that words are said of: the most telling first, at most three."""
    known = sorted(
        rows, key=lambda row: NAMED_FIRST.index(row.spec.name) if row.spec.name in NAMED_FIRST else len(NAMED_FIRST)
    )
    return known[:MOST_EXAMPLES]


def _compared(rows: Sequence[Sees], plain: Certainty, costly: Certainty, each: int) -> str:
    """Return the detectable change of some rows ridden plainly and ridden at a cost."""
    parts = []
    for row in rows:
        there = next((item.on_scale for item in row.detectable if item.runs_each == each), None)
        if there is not None:
            dearer = there * costly.detectable(row.level) / plain.detectable(row.level)
            parts.append(f"{row_name(row)} {change_in_words(row, dearer)} against {change_in_words(row, there)}")
    return "; ".join(parts)


def _one_way_runs(row: Sees) -> int | None:
    """Return the runs of each that see a row's smallest change ridden one way."""
    base = certainty((rounds(FEWEST_ONE_WAY),))
    known = next((item.on_scale for item in row.detectable if item.runs_each == FEWEST_ONE_WAY), None)
    if base is None or known is None:
        return None
    s = known / base.detectable(row.level)

    def enough(each: int) -> bool:
        found = certainty((one_way(each),)) if each >= FEWEST_ONE_WAY else None
        return found is not None and s * found.detectable(row.level) <= row.margin

    return fewest(enough, 4 * MOST_RUNS)


def costs(rows: Sequence[Sees], runs_each: int) -> tuple[str, ...]:
    """Return what a one-way change and a second day cost in certainty, in words with figures.

    Parameters
    ----------
    rows : sequence of Sees
    runs_each : int
        Runs of each of the plan.
    """
    asked, _ = asked_rows(rows)
    shown = _examples([row for row in asked if row.spec.scale != "count"])
    return (_one_way_cost(shown, runs_each), _two_days_cost(shown, runs_each))


def _plain(each: int) -> Certainty | None:
    return certainty((blocks(each) if each % 2 == 0 else rounds(each),))


def _one_way_cost(rows: Sequence[Sees], runs_each: int) -> str:
    each = max(FEWEST_ONE_WAY, runs_each)
    plain, costly = _plain(each), certainty((one_way(each),))
    if plain is None or costly is None:
        raise ValueError("four runs of each and more always tell setup from order")
    text = (
        "A change that can't be undone is ridden one way: all A, then all B, at least 4 + 4. The drift of the day is "
        f"always fitted and can't be told apart beyond that; the same {each} + {each} runs see only a change "
        f"{figure(costly.detectable(0.05) / plain.detectable(0.05), 1)} times as large"
    )
    figures = _compared(rows, plain, costly, each)
    more = "; ".join(
        f"{row_name(row)} {band(found, found)} of each"
        for row in rows
        if (found := _one_way_runs(row)) is not None and found <= MOST_RUNS
    )
    parts = [f"{text}: {figures}" if figures else text]
    if more:
        parts.append(f"The smallest change would take, one way, {more}")
    parts.append("Rare events get no verdict ridden one way")
    return ". ".join(parts) + "."


def _two_days_cost(rows: Sequence[Sees], runs_each: int) -> str:
    each = max(FEWEST_TO_DECIDE, runs_each)
    plain, costly = certainty((rounds(each),)), certainty(over_two_days(each))
    if plain is None or costly is None:
        raise ValueError("every setup on both days tells setup from day")
    text = (
        "With no setup ridden on both days there is no verdict: bring the old part or its settings and ride it on the "
        f"second day too. {each} of each shared between two days then see nearly as much"
    )
    figures = _compared(rows, plain, costly, each)
    return f"{text}: {figures}." if figures else f"{text}."
