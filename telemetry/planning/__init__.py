"""Before riding: which order, how many runs, and what such a day can see."""

from .day_plan import plan_day
from .spread import by_setup, pooled_spread

__all__ = ["by_setup", "plan_day", "pooled_spread"]
