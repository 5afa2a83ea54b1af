"""What speaks against a comparison being like for like."""

from .gathering import fairness, gravest_first
from .installations import times_put_on
from .of_values import value_findings
from .stated import spread_not_judged

__all__ = ["fairness", "gravest_first", "spread_not_judged", "times_put_on", "value_findings"]
