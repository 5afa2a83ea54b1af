"""What speaks against a comparison being like for like."""

from .gathering import fairness
from .installations import times_put_on

__all__ = ["fairness", "times_put_on"]
