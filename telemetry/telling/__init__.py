"""What people read: plain sentences and the values of tables, made from results; others lay them out."""

from .day import circumstances, cleaning, cleaning_steps, date_in_words, naming, setting_tables
from .fairness import compared_over, fair_in_words, on_paper
from .lap import LapWords, lap_in_words
from .logs import (
    SIGNS,
    LogVerdict,
    finding_line,
    not_shown,
    recording_verdicts,
    run_verdicts,
    trust_in_words,
    verdicts_in_short,
)
from .measured import (
    RunValues,
    absences,
    measure_tables,
    not_measured,
    recorded,
    section_times,
    value_table,
    values_in_short,
)
from .names import ENDS, PLACES, TITLES, at_the, label, named
from .results import difference_in_words, results_in_words, sentence, sign_of, with_sentences
from .summary import summary_of, with_words
from .table import ABSENT, Group, Table, table
from .trail import (
    EventWords,
    deepest_in_words,
    deepest_of_each_end,
    depth_in_words,
    event_in_words,
    event_table,
    speed_in_words,
)

__all__ = [
    "ABSENT",
    "ENDS",
    "PLACES",
    "SIGNS",
    "TITLES",
    "EventWords",
    "Group",
    "LapWords",
    "LogVerdict",
    "RunValues",
    "Table",
    "absences",
    "at_the",
    "circumstances",
    "cleaning",
    "cleaning_steps",
    "compared_over",
    "date_in_words",
    "deepest_in_words",
    "deepest_of_each_end",
    "depth_in_words",
    "difference_in_words",
    "event_in_words",
    "event_table",
    "fair_in_words",
    "finding_line",
    "label",
    "lap_in_words",
    "measure_tables",
    "named",
    "naming",
    "not_measured",
    "not_shown",
    "on_paper",
    "recorded",
    "recording_verdicts",
    "results_in_words",
    "run_verdicts",
    "section_times",
    "sentence",
    "setting_tables",
    "sign_of",
    "speed_in_words",
    "summary_of",
    "table",
    "trust_in_words",
    "value_table",
    "values_in_short",
    "verdicts_in_short",
    "with_sentences",
    "with_words",
]
