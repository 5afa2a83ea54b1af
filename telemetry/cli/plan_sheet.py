"""What `plan` prints for people: what to ride first, then orders, what each measure can show, costs, preparation."""

from __future__ import annotations

from telemetry.model.catalogue import FAMILY
from telemetry.model.plan import Plan, Sees
from telemetry.pipeline import band, change_in_words, hours
from telemetry.telling.measured import not_measured
from telemetry.telling.names import label
from telemetry.telling.table import ABSENT, table

from .tables import say, say_groups, show

SHOWN = (3, 4, 6, 10)


def plan_sheet(plan: Plan) -> None:
    """Print a plan."""
    names = [plan.baseline, *plan.candidates]
    key = ", ".join(f"{chr(ord('A') + place)} {plan.day.setups[name].label}" for place, name in enumerate(names))
    say(f"{plan.day.title}: {key}")
    for line in plan.advice:
        say(line, indent=2)
    say()
    _orders(plan)
    _measures(plan)
    _absent(plan)
    say("What certainty costs")
    for line in plan.costs:
        say(line, indent=2)
    say()
    say("Before riding, and between the runs")
    for line in plan.preparation:
        say(f"· {line}", indent=2)


def _orders(plan: Plan) -> None:
    rows = [
        [
            order.letters + (" <- this one" if order.setups == plan.order.setups else ""),
            f"{order.runs_each} of each",
            str(order.change_overs),
            "not known" if order.minutes is None else hours(order.minutes),
            order.cancels,
        ]
        for order in plan.orders
    ]
    columns = ["order", "runs", "change-overs", "length of the day", "cancels"]
    show(table(columns, rows, title="Orders"))


def _seen(row: Sees, runs_each: int) -> str:
    change = next(item.on_scale for item in row.detectable if item.runs_each == runs_each)
    return ABSENT if change is None else change_in_words(row, change)


def _name(row: Sees) -> str:
    return label(row.spec.name, row.end) + (" (focus)" if row.focus else "")


def _measures(plan: Plan) -> None:
    """Print two tables, for one would be too wide: runs needed and from what; what so many runs see."""
    if not plan.sees:
        return
    needed = [
        [_name(row), row.entered, band(row.runs_each, row.runs_each_upper), row.spread_words, row.spread_where]
        for row in plan.sees
    ]
    columns = ["measure", "smallest change", "runs of each", "spread", "from"]
    show(table(columns, needed, title="Runs needed"))
    known = {item.runs_each for item in plan.sees[0].detectable}
    shown = sorted({*SHOWN, *({plan.order.runs_each} & known)})
    seen = [[_name(row), *(_seen(row, each) for each in shown)] for row in plan.sees]
    title = "The change that so many runs of each see in four days of five"
    show(table(["measure", *(str(each) for each in shown)], seen, title=title))


def _absent(plan: Plan) -> None:
    if plan.absent:
        say_groups("Not planned", not_measured(plan.absent, FAMILY))
        say()
