"""A plan in words: what to ride and why, what one way or a second day costs, what to do before; and its tables."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from telemetry.model.plan import FEWEST_TO_DECIDE, MOST_RUNS, Plan, Price, RidingOrder, Sees, Work
from telemetry.sheet import ABSENT, Table, table
from telemetry.words import counted, figure, upper_first

from .earlier_days import spread_in_words
from .names import label, short_name

MOST_NAMED = 3
SHOWN_RUNS = (3, 4, 6, 10)
LIFTED = (
    "Both wheels lifted for 5 s, nobody aboard: before the first run, and again after every remounting and every "
    "opening of a part."
)
AT_REST = (
    "A still recording: 10 s upright on level ground, nobody touching the bike; before the first run, and again after "
    "every remounting of a sensor."
)
PREPARATION: tuple[str, ...] = (
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
    LIFTED,
    "One sighting run, which isn't counted, then 5 min of riding to warm dampers and tyres.",
    "Three pushes at the start and at the end of every run: stand still, push both ends three times, stand still.",
    (
        "Name up to three measures (focus), their smallest change and the runs of each (planned_runs) before the first "
        "run; `telemetry check` after each."
    ),
)
"""Before riding and between the runs; common practice, no source."""


def hours(minutes: float) -> str:
    """Return a length of time: ``45 min``, ``3 h 05 min``."""
    whole = round(minutes)
    return f"{whole} min" if whole < 60 else f"{whole // 60} h {whole % 60:02d} min"


def _name(row: Sees) -> str:
    return short_name(row.spec.name, row.end)


def change_in_words(row: Sees, on_scale: float | None, lacking: str = ABSENT) -> str:
    """Return a change on a row's scale as people read it: points or mm, %, or a factor; else `lacking`."""
    if on_scale is None:
        return lacking
    if row.spec.scale == "raw":
        return f"{figure(on_scale, 1)} {'points' if row.spec.unit.startswith('%') else 'mm'}"
    times = math.exp(on_scale)
    return f"x{figure(times, 1)}" if row.spec.scale == "count" else f"{figure(100 * (times - 1), 0)} %"


def runs_in_words(least: int | None, most: int | None) -> str:
    """Return runs needed with their upper figure: ``4``, ``4 to 9``, ``4 to over 30``, ``over 30``."""
    if least is None:
        return f"over {MOST_RUNS}"
    if most is None:
        return f"{least} to over {MOST_RUNS}"
    return str(least) if least == most else f"{least} to {most}"


def _some(rows: Sequence[Sees]) -> str:
    return ", ".join(map(_name, rows[:MOST_NAMED])) + (" and others" if len(rows) > MOST_NAMED else "")


def _sized(plan: Plan) -> str:
    """Return how many runs, and by what the day is sized."""
    size = plan.size
    if not plan.sees:
        return "How many runs it takes can't be told: no measure has a spread yet."
    if plan.lacking and not any(row.focus for row in plan.sees):
        return "How many runs it takes can't be told: none of the measures in focus has a spread yet."
    what = _some(size.rows) if size.asked else f"half of the {len(size.rows)} measures that can be planned"
    if size.runs_each is None:
        return f"More than {MOST_RUNS} runs of each for {what}: a longer trail or a larger change may settle it sooner."
    text = f"{runs_in_words(size.runs_each, size.runs_each_upper)} runs of each for {what}"
    if size.runs_each != size.runs_each_upper:
        text += " (the upper figure because a spread from few runs is itself uncertain)"
    hint = "" if size.asked else " Name a focus before riding: fewer runs decide fewer measures."
    return (
        f"{text}: an 80 % chance of “changed” at the smallest change, and of “unchanged” where nothing changed.{hint}"
    )


def _defaults(plan: Plan) -> list[str]:
    guessed = any(row.spread_from == "default" for row in plan.sees)
    told = "How far runs scatter isn't known yet: planned with default spreads (own choice). Ride, then plan again."
    return [told] if guessed else []


def _lent(plan: Plan) -> list[str]:
    """Return what earlier days lend, and how many runs that saves."""
    words, size = spread_in_words(plan.earlier), plan.size
    if not words:
        return []
    if plan.earlier.degrees_of_freedom and size.runs_each is not None:
        words += f". {_saved(size.runs_each, size.runs_each_unlent)}"
    return [f"{words}."]


def _saved(needed: int, unlent: int | None) -> str:
    if unlent is None:
        return f"Without them it would take over {MOST_RUNS} of each, not {needed}"
    if unlent <= needed:
        return "That saves no run here"
    return f"That saves {counted(unlent - needed, 'run')} of each: without them it would take {unlent}"


def _ride(plan: Plan) -> str:
    order = plan.order
    whose = {"": "Ride", "runs": "With what can be afforded ride", "day": "The longest day takes"}[plan.limit]
    fitted = ", which is fitted out from 4 of each on" if " but for " in order.cancels and order.runs_each > 3 else ""
    how = "one way" if plan.one_way else "in rounds"
    changes = counted(order.change_overs, "change-over")
    cancels = "" if plan.one_way else f", it cancels {order.cancels}{fitted}"
    return f"{whose} {order.runs_each} of each {how}: {order.letters}; {changes}{cancels}."


def _too_long(plan: Plan) -> list[str]:
    """Return that not even the shortest order fits into the longest day."""
    order, longest = plan.order, plan.work.day_min
    if plan.limit != "day" or longest is None or order.minutes is None or plan.work.fits(order):
        return []
    whole = hours(order.minutes + plan.work.before_min)
    return [f"Not even that fits into {hours(longest)} (day_min): it takes {whole} with sighting run and warm-up."]


def put_on_in_words(order: RidingOrder) -> str:
    """Return what an order can't tell because a setup is put on a single time; empty where none is."""
    if not order.put_on_once:
        return ""
    names = " and ".join(order.put_on_once)
    verb, whose = ("is", "that one setting") if len(order.put_on_once) == 1 else ("are each", "those settings")
    return f"{names} {verb} put on once: the error of {whose} stands in the difference"


def _weighed(plan: Plan) -> list[str]:
    """Return what blocks of as many runs would save, and what they can't tell."""
    order = plan.order
    same = [other for other in plan.orders if other.runs_each == order.runs_each and other.put_on_once]
    if not same or order.put_on_once:
        return []
    quick = min(same, key=lambda other: other.change_overs)
    saved = counted(order.change_overs - quick.change_overs, "change-over")
    if order.minutes is not None and quick.minutes is not None:
        saved = f"{saved}, {hours(order.minutes - quick.minutes)}"
    return [f"Blocks, {quick.letters}, save {saved}, but {put_on_in_words(quick)}."]


def _one_way(plan: Plan) -> list[str]:
    if not plan.one_way:
        return []
    beyond = "The drift of the day is always fitted and can't be told apart beyond a straight line"
    return [
        "The change can't be undone (can_be_undone = false): all A, then all B, at least 4 + 4.",
        f"{beyond}; {put_on_in_words(plan.order)}.",
    ]


def _screening(plan: Plan) -> list[str]:
    lines = []
    if not plan.limit and (plan.runs_each or FEWEST_TO_DECIDE) < FEWEST_TO_DECIDE:
        lines.append(f"Fewer than {FEWEST_TO_DECIDE} of each are a screening only.")
    if plan.order.runs_each < FEWEST_TO_DECIDE:
        lines.append("Two of each are a screening only: a first look, which can't tell much from luck.")
    return lines


def _affordable(plan: Plan) -> list[str]:
    """Return what as many runs decide and what not, where they are limited by what can be afforded."""
    runs = plan.order.runs_each
    if not plan.limit:
        return []
    settled = [row for row in plan.sees if plan.decided(row)]
    names = f": {_some(settled)}" if settled else ""
    lines = [f"With {runs} of each {len(settled)} of {counted(len(plan.sees), 'measure')} have both chances{names}."]
    others = [row for row in plan.sees if not plan.decided(row) and row.decided_alone(runs)]
    if others:
        lines.append(f"Named as the only focus, {runs} of each would also decide: {_some(others)}.")
    for row in plan.examples:
        seen = change_in_words(row, row.seen_by(runs), "no change of this kind")
        lines.append(f"{runs} of each see of {_name(row)}: {seen}; the smallest change is {row.entered}.")
    return lines


def _infeasible(plan: Plan) -> list[str]:
    """Return which measures in focus can't be met, and what they would take."""
    if not plan.limit and plan.runs_each is not None:
        return []
    where = {"": f"in {MOST_RUNS} runs of each", "runs": "with so many", "day": "in such a day"}[plan.limit]
    return [
        f"{upper_first(_name(row))} is in focus but infeasible {where}: it takes "
        f"{runs_in_words(row.runs_each, row.runs_each_upper)} of each. Name what can be decided, or a larger change."
        for row in plan.infeasible
    ]


def _looks(plan: Plan) -> list[str]:
    """Return what to state of the runs planned, where what is stated isn't what is to be ridden."""
    planned, runs = plan.day.comparison.planned_runs, plan.order.runs_each
    if runs in planned:
        return []
    if not planned:
        return [f"State planned_runs = {runs} in [comparison] before riding: with fewer the answer is “so far”."]
    stated = " and ".join(map(str, planned))
    return [f"[comparison] planned_runs says {stated} of each: ride as many, or state {runs} before riding."]


def _length(minutes: float | None, work: Work) -> str:
    if minutes is None:
        return f"How long the day takes can't be told: state {', '.join(work.lacking)} in [plan]."
    source = " (minutes of a run: the riding time of this day's runs)" if work.from_runs else ""
    return f"That takes {hours(minutes)}{source}, and {hours(work.before_min)} before it for sighting run and warm-up."


def advice(plan: Plan) -> tuple[str, ...]:
    """Return what to ride and why."""
    lacking = [
        f"{upper_first(short_name(item.measure, item.end))} is in focus but can't be planned: {item.reason}."
        for item in plan.lacking
    ]
    return (
        _sized(plan),
        *_defaults(plan),
        *_lent(plan),
        *lacking,
        *_infeasible(plan),
        _ride(plan),
        *_one_way(plan),
        *_weighed(plan),
        *_screening(plan),
        *_affordable(plan),
        _length(plan.order.minutes, plan.work),
        *_too_long(plan),
        *_looks(plan),
    )


def _compared(price: Price) -> str:
    """Return what some rows see at a price and ridden plainly, after a colon; empty where none is known."""
    parts = [
        f"{_name(item.row)} {change_in_words(item.row, item.dearly)} against {change_in_words(item.row, item.plainly)}"
        for item in price.rows
    ]
    return f": {'; '.join(parts)}" if parts else ""


def costs(one_way: Price, two_days: Price) -> tuple[str, str]:
    """Return what a one-way change and a second day cost in certainty, in words with figures."""
    each = one_way.runs_each
    needs = "; ".join(f"{_name(row)} {needed} of each" for row, needed in one_way.needs)
    smallest = f"The smallest change would take, one way, {needs}. " if needs else ""
    return (
        (
            "A change that can't be undone is ridden one way: all A, then all B, at least 4 + 4. The drift of the day "
            f"is always fitted and can't be told apart beyond that; the same {each} + {each} runs see only a change "
            f"{figure(one_way.times, 1)} times as large{_compared(one_way)}. {smallest}Rare events get no verdict "
            "ridden one way."
        ),
        (
            "With no setup ridden on both days there is no verdict: bring the old part or its settings and ride it on "
            f"the second day too. {two_days.runs_each} of each shared between two days then see nearly as much"
            f"{_compared(two_days)}."
        ),
    )


def with_advice(plan: Plan) -> Plan:
    """Return a plan with its words."""
    preparation = PREPARATION
    if plan.day.only_acceleration:
        preparation = tuple(AT_REST if line == LIFTED else line for line in PREPARATION)
    return replace(plan, advice=advice(plan), costs=costs(*plan.prices) if plan.prices else (), preparation=preparation)


def letters_in_words(plan: Plan) -> str:
    """Return which letter stands for which setup."""
    names = [plan.baseline, *plan.candidates]
    return ", ".join(f"{chr(ord('A') + place)} {plan.day.setups[name].label}" for place, name in enumerate(names))


def plan_title(plan: Plan) -> str:
    """Return the day's title, and which letter stands for which setup."""
    return f"{plan.day.title}: {letters_in_words(plan)}"


def order_table(plan: Plan) -> Table:
    """Return the orders to choose from, the one to ride pointed at."""
    rows = [
        [
            order.letters + (" <- this one" if order.setups == plan.order.setups else ""),
            f"{order.runs_each} of each",
            str(order.change_overs),
            "not known" if order.minutes is None else hours(order.minutes),
            order.cancels,
            f"{', '.join(order.put_on_once)}: the error of one setting stays in" if order.put_on_once else ABSENT,
        ]
        for order in plan.orders
    ]
    columns = ["order", "runs", "change-overs", "length of the day", "cancels", "put on once"]
    return table(columns, rows, title="Orders")


def needed_cells(row: Sees) -> list[str]:
    """Return a row's smallest change, and the runs of each that it takes."""
    return [row.entered, runs_in_words(row.runs_each, row.runs_each_upper)]


def seen_cells(row: Sees, runs: Sequence[int]) -> list[str]:
    """Return the change that each of these numbers of runs sees of a row."""
    return [change_in_words(row, row.seen_by(each)) for each in runs]


def sees_tables(plan: Plan) -> tuple[Table, ...]:
    """Return two tables, for one would be too wide: runs needed and from what; what so many runs see."""
    if not plan.sees:
        return ()
    names = [label(row.spec.name, row.end) + (" (focus)" if row.focus else "") for row in plan.sees]
    known = {item.runs_each for item in plan.sees[0].detectable}
    shown = sorted({*SHOWN_RUNS, *({plan.order.runs_each} & known)})
    needed = [
        [name, *needed_cells(row), row.spread_words, row.spread_where]
        for name, row in zip(names, plan.sees, strict=True)
    ]
    seen = [[name, *seen_cells(row, shown)] for name, row in zip(names, plan.sees, strict=True)]
    return (
        table(["measure", "smallest change", "runs of each", "spread", "from"], needed, title="Runs needed"),
        table(
            ["measure", *map(str, shown)], seen, title="The change that so many runs of each see in four days of five"
        ),
    )
