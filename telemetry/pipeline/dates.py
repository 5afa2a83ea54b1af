"""On which date each run was ridden, and in which place of that date."""

from __future__ import annotations

from datetime import date

from telemetry.model.comparison import UsedRun
from telemetry.model.day import RideDay, RunEntry


class Dates:
    """The dates of a day's runs; a day's comparison may reach over several.

    Parameters
    ----------
    day : RideDay
    """

    def __init__(self, day: RideDay) -> None:
        self._day = day
        self._ridden = sorted({self.of(run) for run in day.runs})

    def of(self, run: RunEntry) -> date:
        """Return a run's date: its own, else that of its start, else the day's."""
        if run.date is not None:
            return run.date
        return self._day.date if run.started_at is None else run.started_at.date()

    def order_in_day(self, run: RunEntry) -> int:
        """Return a run's place among all runs of its date, from 1."""
        own = self.of(run)
        return sum(self.of(other) == own and other.order <= run.order for other in self._day.runs)

    def used(self, run: RunEntry) -> UsedRun:
        """Return a run that takes part, with its date counted from 1."""
        return UsedRun(
            run=run.name,
            setup=run.setup,
            order=run.order,
            day=self._ridden.index(self.of(run)) + 1,
            order_in_day=self.order_in_day(run) if len(self._ridden) > 1 else None,
        )
