"""Before riding: which order, how many runs, and what such a day can see."""

from .day_plan import day_orders, day_size, what_is_seen
from .plan_words import advice, band, change_in_words, costs, hours, row_name
from .preparation import PREPARATION

__all__ = [
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
