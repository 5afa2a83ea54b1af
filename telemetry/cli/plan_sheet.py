"""How a plan is laid out on a terminal: what to ride, orders, what each measure can show, costs, preparation."""

from __future__ import annotations

from telemetry.model.catalogue import FAMILY
from telemetry.model.plan import Plan
from telemetry.telling.measured import not_measured
from telemetry.telling.plan import order_table, plan_title, sees_tables

from .tables import say, say_groups, show


def plan_sheet(plan: Plan) -> None:
    """Print a plan."""
    say(plan_title(plan))
    for line in plan.advice:
        say(line, indent=2)
    say()
    for found in (order_table(plan), *sees_tables(plan)):
        show(found)
    if plan.absent:
        say_groups("Not planned", not_measured(plan.absent, FAMILY))
        say()
    say("What certainty costs")
    for line in plan.costs:
        say(line, indent=2)
    say()
    say("Before riding, and between the runs")
    for line in plan.preparation:
        say(f"· {line}", indent=2)
