"""Before riding: which order, how many runs, and what such a day can see."""

from .basis import MOST_RUNS
from .day_plan import day_orders, day_size, what_is_seen
from .plan_words import PREPARATION, advice, band, change_in_words, costs, hours, row_name

__all__ = [
    "MOST_RUNS",
    "PREPARATION",
    "advice",
    "band",
    "change_in_words",
    "costs",
    "day_orders",
    "day_size",
    "hours",
    "row_name",
    "what_is_seen",
]
