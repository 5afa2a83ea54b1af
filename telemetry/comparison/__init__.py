"""Like for like: runs as replicates, one family of tests, three verdicts."""

from telemetry.statistics.family import FALSE_DISCOVERY_RATE

from .across_days import days_together
from .fairness import fairness, gravest_first, spread_not_judged, times_put_on, value_findings
from .forces import force_differences
from .kind_ranges import kind_rows
from .mixed import mixed_difference
from .second_looks import second_looks
from .sections import distance_not_alike, marks_not_alike, presses_not_alike, section_count, travel_not_alike
from .verdict import Rules, verdicts, without_verdicts

__all__ = [
    "FALSE_DISCOVERY_RATE",
    "Rules",
    "days_together",
    "distance_not_alike",
    "fairness",
    "force_differences",
    "gravest_first",
    "kind_rows",
    "marks_not_alike",
    "mixed_difference",
    "presses_not_alike",
    "second_looks",
    "section_count",
    "spread_not_judged",
    "times_put_on",
    "travel_not_alike",
    "value_findings",
    "verdicts",
    "without_verdicts",
]
