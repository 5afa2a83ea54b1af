"""Before riding: which order, how many runs, and what such a day can see."""

from telemetry.statistics.earlier_days import Borrowed, DaySpread, borrowed

from .day_plan import plan_day
from .proof import runs_to_show
from .rows import PlanRow
from .spread import by_setup, pooled_spread

__all__ = ["Borrowed", "DaySpread", "PlanRow", "borrowed", "by_setup", "plan_day", "pooled_spread", "runs_to_show"]
