"""Like for like: runs as replicates, one family of tests, three verdicts, plain words."""

from .day_plan import day_orders, day_size, what_is_seen
from .fairness import fairness
from .plan_words import advice, band, change_in_words, costs, hours, row_name
from .preparation import PREPARATION
from .second_looks import second_looks
from .second_words import second_sentences
from .sections import distance_not_alike, marks_not_alike, presses_not_alike, section_count, travel_not_alike
from .verdict import verdicts
from .withholding import without_verdicts
from .words import difference_in_words, sentence, sign_of, summary, values_in_words, verdict_in_words

__all__ = [
    "PREPARATION",
    "advice",
    "band",
    "change_in_words",
    "costs",
    "day_orders",
    "day_size",
    "difference_in_words",
    "distance_not_alike",
    "fairness",
    "hours",
    "marks_not_alike",
    "presses_not_alike",
    "row_name",
    "second_looks",
    "second_sentences",
    "section_count",
    "sentence",
    "sign_of",
    "summary",
    "travel_not_alike",
    "values_in_words",
    "verdict_in_words",
    "verdicts",
    "what_is_seen",
    "without_verdicts",
]
