"""What people read: plain sentences and the values of tables, made from results."""

from .names import ENDS, PLACES, TITLES, label, named
from .results import difference_in_words, sentence, sign_of, with_sentences
from .summary import summary_of, with_words
from .values import naming, title_of, value_in_words

__all__ = [
    "ENDS",
    "PLACES",
    "TITLES",
    "difference_in_words",
    "label",
    "named",
    "naming",
    "sentence",
    "sign_of",
    "summary_of",
    "title_of",
    "value_in_words",
    "with_sentences",
    "with_words",
]
