"""What measuring kept days anew has changed: per measure how many days and by how much, and verdicts that turned."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, field
from typing import TypeAlias

from telemetry.library import KeptResults

Row: TypeAlias = tuple[str, str, str]
"""Measure, end, unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """One setup's mean on one day, before and after."""

    day: str
    setup: str
    old: float
    new: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureChanged:
    """A measure at an end: on how many days it is another, came, or is there no more; `largest` in its unit."""

    measure: str
    end: str
    unit: str
    days: int
    came: int
    went: int
    largest: Moved | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Turned:
    """A verdict that is another; None where there was, or is, none."""

    day: str
    setup: str
    measure: str
    end: str
    old: str | None
    new: str | None


@dataclass(slots=True)
class _Counted:
    days: int = 0
    came: int = 0
    went: int = 0
    largest: Moved | None = None


@dataclass(slots=True)
class Changes:
    """What changed, gathered day by day."""

    measured: int = 0
    alike: int = 0
    turned: list[Turned] = field(default_factory=list)
    _rows: dict[Row, _Counted] = field(default_factory=dict)

    def add(self, day: str, old: KeptResults, new: KeptResults) -> None:
        """Add a day."""
        before, after = _means(old), _means(new)
        differ = [self._add_row(row, day, before.get(row, {}), after.get(row, {})) for row in {**before, **after}]
        turned = list(_turned(day, old, new))
        self.turned += turned
        self.measured += 1
        self.alike += not (any(differ) or turned)

    def _add_row(self, row: Row, day: str, before: Mapping[str, float], after: Mapping[str, float]) -> bool:
        """Add one measure's means by setup; return whether anything is other than it was."""
        if before == after:
            return False
        both = [name for name in before if name in after and before[name] != after[name]]
        moved = [Moved(day=day, setup=name, old=before[name], new=after[name]) for name in both]
        counted = self._rows.setdefault(row, _Counted())
        counted.days += bool(moved)
        counted.came += bool(after.keys() - before.keys())
        counted.went += bool(before.keys() - after.keys())
        largest = ([] if counted.largest is None else [counted.largest]) + moved
        counted.largest = max(largest, key=lambda item: abs(item.new - item.old), default=None)
        return True

    @property
    def measures(self) -> tuple[MeasureChanged, ...]:
        """Measures of which something changed, by name and end."""
        return tuple(
            MeasureChanged(
                measure=measure,
                end=end,
                unit=unit,
                days=own.days,
                came=own.came,
                went=own.went,
                largest=own.largest,
            )
            for (measure, end, unit), own in sorted(self._rows.items())
        )

    def to_dict(self) -> dict[str, object]:
        """Return what changed as it stands in JSON."""
        return {
            "measured": self.measured,
            "alike": self.alike,
            "measures": [asdict(row) for row in self.measures],
            "verdicts": [asdict(row) for row in self.turned],
        }


def _means(results: KeptResults) -> dict[Row, dict[str, float]]:
    found: dict[Row, dict[str, float]] = {}
    for means in results.setups:
        for own in means.values:
            found.setdefault((own.measure, own.end, own.unit), {})[means.setup] = own.value
    return found


def _turned(day: str, old: KeptResults, new: KeptResults) -> Iterator[Turned]:
    before, after = _verdicts(old), _verdicts(new)
    for key in dict.fromkeys((*before, *after)):
        was, now = before.get(key), after.get(key)
        if was != now:
            setup, measure, end = key
            yield Turned(day=day, setup=setup, measure=measure, end=end, old=was, new=now)


def _verdicts(results: KeptResults) -> dict[tuple[str, str, str], str]:
    return {(means.setup, own.measure, own.end): own.verdict for means in results.setups for own in means.verdicts}
