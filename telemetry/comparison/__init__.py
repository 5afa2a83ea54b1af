"""Like for like: runs as replicates, one family of tests, three verdicts, plain words."""

from .fairness import fairness
from .second_looks import second_looks
from .second_words import second_sentences
from .sections import distance_not_alike, marks_not_alike, presses_not_alike, section_count, travel_not_alike
from .verdict import verdicts
from .withholding import without_verdicts
from .words import difference_in_words, sentence, sign_of, summary, values_in_words, verdict_in_words

__all__ = [
    "difference_in_words",
    "distance_not_alike",
    "fairness",
    "marks_not_alike",
    "presses_not_alike",
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
    "without_verdicts",
]
