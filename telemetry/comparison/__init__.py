"""Like for like: runs as replicates, one family of tests, three verdicts, plain words."""

from .fairness import fairness, without_verdicts
from .sections import distance_not_alike, marks_not_alike, section_count, travel_not_alike
from .verdict import verdicts
from .words import difference_in_words, sentence, sign_of, summary, values_in_words, verdict_in_words

__all__ = [
    "difference_in_words",
    "distance_not_alike",
    "fairness",
    "marks_not_alike",
    "section_count",
    "sentence",
    "sign_of",
    "summary",
    "travel_not_alike",
    "values_in_words",
    "verdict_in_words",
    "verdicts",
    "without_verdicts",
]
