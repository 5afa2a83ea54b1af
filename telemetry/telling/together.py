"""One change on several days in words: the finding, how sure, how far days differ, what stands apart and why."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from telemetry.model.catalogue import SPECS
from telemetry.model.interval import Interval
from telemetry.model.setup_keys import SPECS as KEYS
from telemetry.model.together import DaysTogether, OfDay, TogetherRow
from telemetry.sheet import ABSENT, Sheet, Table, table
from telemetry.words import counted, decimals, figure, shortlist, upper_first, with_end

from .names import PLACES, TITLES, named, short_name
from .results import WIDEST_RATIO, sign_of, sure_in_words

MOST_IN_HEADLINE = 3
DIFFER = 0.05
"""Chance below which days that scatter so far are said to differ; common practice, no source."""
MOST_SPREAD_PCT = 100.0
"""A spread from day to day that may be larger says nothing; own choice."""
MOST_LINES, MOST_BY_DAY = 6, 2
"""Rows of a sheet in a sentence, and those told day by day; own choices."""
MOST_DAYS_NAMED = 12
MOST_LEFT_TOLD = 12


def with_words(found: DaysTogether) -> DaysTogether:
    """Return the same, with its headline and each row's sentence."""
    rows = tuple(replace(row, sentence=sentence(found, row)) for row in found.rows)
    return replace(found, rows=rows, headline=headline(found))


def change_in_words(found: DaysTogether) -> str:
    """Return what was changed: ``Less lower-leg oil, front (by 10 to 14 ml)``."""
    change = found.change
    spec = KEYS.get(change.key)
    if change.more is None:
        before, after = change.between
        return f"{upper_first(with_end(change.words, change.end))}: {before} to {after}"
    way = "more" if change.more else "less"
    own = "" if spec is None else spec.more if change.more else spec.less
    words = upper_first(with_end(own or f"{way} {change.words}", change.end))
    least, most = f"{change.least:g}", f"{change.most:g}"
    size = least if least == most else f"{least} to {most}"
    return f"{words} (by {size} {change.unit})".replace(" )", ")")


def days_in_words(found: DaysTogether) -> str:
    """Return on how many days of how many bikes: ``5 days of 4 bikes``."""
    bikes = counted(len(found.bikes), "bike")
    return f"{counted(len(found.days), 'day')} of {bikes}"


def headline(found: DaysTogether) -> str:
    """Return the finding in a line; of days on which something else was open it names no cause."""
    told = [row for row in found.rows if row.verdict == "changed"]
    told = [row for row in told if row.focus] or told
    words = [_happened(row) for row in told[:MOST_IN_HEADLINE]]
    if not words:
        same = [row for row in found.rows if row.verdict == "unchanged"]
        words = [_happened(row) for row in ([row for row in same if row.focus] or same)[:MOST_IN_HEADLINE]]
    if not words:
        words = ["nothing is decided" if any(row.verdict for row in found.rows) else "side by side, nothing is decided"]
    where = days_in_words(found)
    if not found.fair:
        differing = with_end(found.change.words, found.change.end)
        return f"Setups that differ in {differing}, something else open, {where}: {', '.join(words)}"
    return f"{change_in_words(found)}, {where}: {', '.join(words)}"


def _happened(row: TogetherRow) -> str:
    """Return what became of a measure: ``front sits deeper while riding``."""
    spec = SPECS[row.measure]
    if row.verdict == "unchanged":
        words = spec.same or "as it was"
        return f"{short_name(row.measure, row.end)} unchanged" if words == "as it was" else _of_end(row, words)
    more = (row.difference or 0) > 0
    words = spec.more if more else spec.less
    return _of_end(row, words) if words else f"{short_name(row.measure, row.end)} {'up' if more else 'down'}"


def _of_end(row: TogetherRow, words: str) -> str:
    return words if row.end == "both" else f"{row.end} {words}"


def places_of_row(row: TogetherRow) -> int:
    """Return decimals for a row's differences."""
    return 1 if row.unit == "%" else max(decimals(row.unit), 1)


def amount(row: TogetherRow, value: float | None, *, signed: bool = True) -> str:
    """Return a figure of a row with its unit."""
    if value is None:
        return ABSENT
    return f"{figure(value, places_of_row(row), signed=signed)} {row.unit}".strip()


def shown_interval(row: TogetherRow) -> Interval | None:
    """Return the interval a row is told with: "unchanged" rests on the 90 % one, as on a single day."""
    outer = row.interval
    return outer.inner if outer is not None and row.verdict == "unchanged" else outer


def between_in_words(row: TogetherRow, interval: Interval | None) -> str:
    """Return an interval's ends: ``−0.4 and +1.2``; empty where it is so wide that it says nothing."""
    return "" if interval is None else ends_in_words(row, interval.low, interval.high)


def ends_in_words(row: TogetherRow, low: float | None, high: float | None, word: str = "and") -> str:
    """Return both ends of an interval in a row's unit; empty where they say nothing."""
    if low is None or high is None or (row.scale != "raw" and 100 + high > WIDEST_RATIO * (100 + low)):
        return ""
    ends = (figure(end, places_of_row(row), signed=True) for end in (low, high))
    return f" {word} ".join(ends)


def sentence(found: DaysTogether, row: TogetherRow) -> str:
    """Return a row as plain sentences: mean and interval, the next one, how far days differ, verdict."""
    name = named(row.measure, row.end)
    if row.difference is None or row.interval is None:
        apart = "; ".join(f"{own.day} {amount(row, own.difference)}" for own in islice(row.of_days, MOST_DAYS_NAMED))
        return f"{name}: {apart}. Side by side: {row.reason}."
    shown = shown_interval(row)
    between = between_in_words(row, shown)
    sure = "" if shown is None else sure_in_words(shown.level)
    how = f", between {between} ({sure})" if between else ", too few days to say between what"
    mean = f"{name}: {amount(row, row.difference)} on {counted(row.n_days, 'day')}{how}"
    verdict = upper_first(row.verdict or "none") + (f": {row.reason}" if row.reason else "")
    return ". ".join([mean, *filter(None, [_next(found, row), spread_in_words(row)]), verdict]) + "."


def next_words(found: DaysTogether, row: TogetherRow) -> tuple[str, str]:
    """Return what comes next, ``A next bike`` where each day is another's, and between what it would lie."""
    own = "bike" if len(found.bikes) == len(found.days) else "day"
    return f"A next {own}", between_in_words(row, row.next_interval)


def day_in_words(row: TogetherRow, own: OfDay) -> str:
    """Return one day's difference with its own interval and its share in the mean."""
    between = ends_in_words(row, own.low, own.high)
    share = "" if own.share is None else f"; {100 * own.share:.0f} % of the mean"
    return f"{own.day}: {amount(row, own.difference)}{f', between {between} (95 %)' if between else ''}{share}"


def bikes_by_day(found: DaysTogether) -> dict[str, str]:
    """Return each day's bike."""
    return {own.day: own.bike for own in found.days}


def one_is_in_words(row: TogetherRow) -> str:
    """Return what 1 on the axis is: ``1 = 2 points``."""
    if row.smallest_change_high is None:
        return ""
    text = f"{row.smallest_change_high:.2f}".rstrip("0").rstrip(".")
    return f"1 = {text} {'point' if (text, row.unit) == ('1', 'points') else row.unit}"


def when_in_words(found: DaysTogether) -> str:
    """Return what was put together, in a line: change, days, bikes, from when to when."""
    dates = sorted(own.date for own in found.days)
    when = dates[0] if dates[0] == dates[-1] else f"{dates[0]} to {dates[-1]}"
    return f"{change_in_words(found)} · {days_in_words(found)} · {when}"


def _next(found: DaysTogether, row: TogetherRow) -> str:
    between = between_in_words(row, row.next_interval)
    if not between or row.next_interval is None or (row.verdict == "unchanged" and row.between == 0):
        return ""
    words, _ = next_words(found, row)
    return f"{words} would lie between {between} ({sure_in_words(row.next_interval.level)})"


def spread_in_words(row: TogetherRow) -> str:
    """Return how far days differ beyond what their runs explain."""
    most, alike = row.between_most, "The days agree within what their runs explain"
    untold = most is None or (row.unit == "%" and most > MOST_SPREAD_PCT)
    if row.p_alike is not None and row.p_alike < DIFFER and row.between:
        up_to = "" if untold else f" (up to {amount(row, most, signed=False)})"
        return f"The days differ: by {amount(row, row.between, signed=False)} beyond what their runs explain{up_to}"
    if untold:
        return f"{alike}; by how much they may differ can't be told from {row.n_days}"
    return f"{alike}; they may differ by up to {amount(row, most, signed=False)}"


def carrying(found: DaysTogether) -> tuple[TogetherRow, ...]:
    """Return the rows that carry the finding: in focus, then what changed; else what was decided, else all."""
    focus = [row for row in found.rows if row.focus]
    changed = [row for row in found.rows if row.verdict == "changed" and not row.focus]
    decided = [row for row in found.rows if row.verdict == "unchanged" and not row.focus]
    return tuple([*focus, *changed] or decided or found.rows)


def looked_at(found: DaysTogether) -> str:
    """Return how many rows were looked at, and what that does to the intervals."""
    named_before = sum(family.m for family in found.families if family.group == "focus")
    m = sum(family.m for family in found.families)
    if not m:
        return "No row is told by three days: they stand side by side"
    told = f"{counted(m, 'row')} looked at together: each interval is widened for that"
    return f"{told}; {named_before} of them in focus on every day, named before riding" if named_before else told


def remarks(found: DaysTogether) -> Iterator[str]:
    """Yield what a reader has to know: rows looked at, sizes, days of one bike, what is open, what is left out."""
    yield looked_at(found)
    yield from _of_sizes_and_bikes(found)
    yield from _open(found)
    yield from _left_out(found)
    apart: dict[str, list[str]] = {}
    for row in found.refused:
        apart.setdefault(row.reason, []).append(short_name(row.measure, row.end))
    for reason, names in apart.items():
        yield f"Not put together: {', '.join(names)}: {reason}"


def _open(found: DaysTogether) -> Iterator[str]:
    opened: dict[str, list[str]] = {}
    for own in found.days:
        if own.open:
            opened.setdefault(", ".join(own.open), []).append(own.day)
    for codes, days in opened.items():
        leave = "leaves" if len(days) == 1 else "leave"
        yield f"{shortlist(days, MOST_DAYS_NAMED)} {leave} something open ({codes}): no cause is named"


def _left_out(found: DaysTogether) -> Iterator[str]:
    left: dict[str, list[str]] = {}
    for day in found.left_out:
        left.setdefault(day.reason, []).append(day.day)
    for reason, days in islice(left.items(), MOST_LEFT_TOLD):
        yield f"Left out: {shortlist(days, MOST_DAYS_NAMED)}, {reason}"
    if len(left) > MOST_LEFT_TOLD:
        yield f"Left out: more days, for {counted(len(left) - MOST_LEFT_TOLD, 'other reason')} (--json names all)"


def _of_sizes_and_bikes(found: DaysTogether) -> Iterator[str]:
    change = found.change
    if change.taken_as is not None:
        yield (
            f"Each day's difference is put to a change of {change.taken_as:g} {change.unit}".rstrip()
            + ", as if twice the change did twice as much"
        )
    several = {bike: days for bike, days in found.bikes.items() if days > 1}
    if several and len(found.days) > len(found.bikes):
        listed = ", ".join(f"{days} of {bike}" for bike, days in list(several.items())[:MOST_LEFT_TOLD])
        yield f"Several days are of one bike ({listed}): other bikes may differ by more than these days do"


def days_table(found: DaysTogether) -> Table:
    """Return the days put together."""
    unit = f", {found.change.unit}" if found.change.unit else ""
    rows = [
        [
            own.day,
            own.bike or ABSENT,
            own.against,
            own.setup,
            ABSENT if own.size is None else f"{own.size:+g}".replace("-", "−"),
        ]
        for own in found.days[:MOST_DAYS_NAMED]
    ]
    more = len(found.days) - len(rows)
    title = "Days put together" + (f" (the first {len(rows)}; {more} more)" if more else "")
    return table(["day", "bike", "before", "after", f"changed by{unit}"], rows, title=title, right_from=4)


def rows_table(found: DaysTogether) -> Table:
    """Return every row: mean, interval, where the next would lie, days, verdict."""
    columns = ["measure", "mean", "between", "a next one", "days", "verdict"]
    cells: list[list[str]] = []
    for end in PLACES:
        own = [_cells(row) for row in found.rows if row.end == end]
        cells.extend([[f"{TITLES[end]}:", *[""] * (len(columns) - 1)], *own] if own else [])
    return table(columns, cells, right_from=len(columns))


def _cells(row: TogetherRow) -> list[str]:
    label = SPECS[row.measure].label
    shown = shown_interval(row)
    between = between_in_words(row, shown).replace(" and ", " to ")
    told = f"{between} ({sure_in_words(shown.level)})" if between and shown is not None else "too few days"
    following = between_in_words(row, row.next_interval).replace(" and ", " to ") or "too few days"
    verdict = row.verdict or "side by side"
    return [label, amount(row, row.difference), told, following, str(row.n_days), verdict]


def one_row_table(row: TogetherRow) -> Table:
    """Return one row's days: each with its own interval, and its share in the mean."""
    cells = [_day_cells(row, own) for own in islice(row.of_days, MOST_DAYS_NAMED)]
    title = f"{named(row.measure, row.end)}, day by day"
    return table(["day", "difference", "between (95 %)", "share in the mean"], cells, title=title, right_from=4)


def _day_cells(row: TogetherRow, own: OfDay) -> list[str]:
    between = ends_in_words(row, own.low, own.high, "to")
    share = ABSENT if own.share is None else f"{100 * own.share:.0f} %"
    return [own.day, amount(row, own.difference), between or "too few runs", share]


def together_sheet(found: DaysTogether) -> Sheet:
    """Return all of it for a terminal: the finding first."""
    carried = [row for row in carrying(found) if row.focus or row.verdict == "changed" or row.verdict is None]
    lines = [f"{sign_of(row)} {row.sentence}" for row in carrying(found)[:MOST_LINES]]
    tables = [one_row_table(row) for row in carried[:MOST_BY_DAY]]
    return (found.headline, *lines, rows_table(found), days_table(found), *tables, *remarks(found))
