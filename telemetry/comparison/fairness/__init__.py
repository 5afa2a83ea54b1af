"""What speaks against a comparison being like for like."""

from .gathering import fairness

__all__ = ["fairness"]
