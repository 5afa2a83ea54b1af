"""Before riding: which order, how many runs, and what such a day can see."""

from .day_plan import plan_day

__all__ = ["plan_day"]
