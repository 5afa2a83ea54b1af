"""What a row of a comparison has to agree in: with itself, and with the sentence printed of it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping

NUMBER = r"[+−]?\d+(?:\.\d+)?"
TOLD = re.compile(
    rf": (?P<a>{NUMBER}) to (?P<b>{NUMBER})(?! ?to)(?: [^(,\d]*)?(?:\([^)]*\))?(?:, [^,\d]*taken out)?"
    rf", (?P<d>{NUMBER}) (?P<unit>[^,.]*?)"
    rf"(?:, between (?P<low>{NUMBER}) and (?P<high>{NUMBER}) \((?P<sure>[\d.]+) %\))?"
    r"(?:, too few runs[^.]*)?\. "
)
KEYS = {
    *("candidate", "measure", "end", "unit", "scale", "baseline_value", "candidate_value", "difference", "low", "high"),
    *("inner_low", "inner_high", "smallest_change_low", "smallest_change_high", "percent", "n_baseline"),
    *("n_candidate", "p", "level", "verdict", "reason", "more_runs", "more_runs_upper", "sentence"),
}


def _number(text: str) -> float:
    return float(text.replace("−", "-"))


def _rounding(text: str) -> float:
    """Return half a unit of the last place printed."""
    return 0.5 * 10.0 ** -len(text.partition(".")[2])


def _close(a: float, b: float) -> bool:
    return math.isclose(a, b, rel_tol=1e-7, abs_tol=1e-9)


def contradictions(row: Mapping[str, object]) -> Iterator[str]:
    """Yield in what a row of ``compare --json`` contradicts itself.

    Parameters
    ----------
    row : mapping
        An entry of its ``results``.
    """
    if set(row) != KEYS:
        yield f"keys {sorted(KEYS ^ set(row))}"
        return
    if row["verdict"] in (None, "undecided") and not (row["reason"] or row["more_runs"]):
        yield "undecided without a reason"
    if row["difference"] is not None:
        yield from _of_numbers(row)
    yield from _of_words(row)


def _of_numbers(row: Mapping[str, object]) -> Iterator[str]:
    a, b, d, view = row["baseline_value"], row["candidate_value"], row["difference"], row["percent"]
    if row["scale"] != "count" and not _close(b - a, d):  # of counts a rate that never is 0 is compared
        yield f"{a} to {b} but {d}"
    if row["scale"] == "log" and not _close(100 * (b / a - 1), view["difference"]):
        yield f"{a} to {b} but {view['difference']} %"
    yield from _of_interval(row)
    yield from _of_interval(view or {"low": None})
    if row["verdict"] == "changed" and row["low"] <= 0 <= row["high"]:
        yield "changed, and no change is within its interval"
    if row["verdict"] == "unchanged" and not (
        row["smallest_change_low"] < row["inner_low"] and row["inner_high"] < row["smallest_change_high"]
    ):
        yield "unchanged, and more than the smallest change is within its interval"


def _of_interval(shown: Mapping[str, float]) -> Iterator[str]:
    low, high = shown["low"], shown.get("high")
    if low is None:
        return
    if not low <= shown["difference"] <= high:
        yield f"{shown['difference']} not within {low} to {high}"
    if shown["inner_low"] is not None and not low <= shown["inner_low"] <= shown["inner_high"] <= high:
        yield f"inner {shown['inner_low']} to {shown['inner_high']} not within {low} to {high}"


def _of_words(row: Mapping[str, object]) -> Iterator[str]:
    sentence = str(row["sentence"])
    if "between" in sentence.partition(". ")[0] and not re.search(r"between \S+ and \S+ \([\d.]+ %\)", sentence):
        yield f"an interval without its level: {sentence}"
    found = TOLD.search(sentence)
    if found is None:
        return
    if not _printed_agree(row, found):
        yield f"printed {found['a']} to {found['b']} but {found['d']}: {sentence}"
    if found["low"] is not None:
        yield from _of_printed_interval(row, found)


def _printed_agree(row: Mapping[str, object], found: re.Match[str]) -> bool:
    """Tell whether a printed difference is that of the printed values, as far as rounding lets it be told."""
    a, b, d = (_number(found[name]) for name in "abd")
    value, slack = _rounding(found["a"]), _rounding(found["d"]) + 1e-9
    if row["scale"] == "count":
        return (b - a) * d >= 0
    if row["scale"] == "raw":
        return abs(b - a - d) <= 2 * value + slack
    if a <= value:
        return True
    return 100 * ((b - value) / (a + value) - 1) - slack <= d <= 100 * ((b + value) / (a - value) - 1) + slack


def _of_printed_interval(row: Mapping[str, object], found: re.Match[str]) -> Iterator[str]:
    low, d, high = (_number(found[name]) for name in ("low", "d", "high"))
    if not low <= d <= high:
        yield f"printed {d} not between {low} and {high}"
    if row["scale"] == "raw" and row["unit"].startswith("%") and high - low > 100:
        yield f"printed wider than travel: {low} to {high}"
    if row["verdict"] != "unchanged" and abs(100 * (1 - row["level"]) - float(found["sure"])) > 0.051:
        yield f"told with {found['sure']} %, is {100 * (1 - row['level'])} %"  # unchanged is told with the inner one
    if float(found["sure"]) >= 100:
        yield "told as if it were certain"
