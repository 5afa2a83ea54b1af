"""Rides on paper beside the server's loop: begun when a page first asks, one at a time, kept with the day as read."""

from __future__ import annotations

import threading

from dashboards.pages.view import OnPaper
from telemetry.errors import clean_text
from telemetry.model.prediction import Predicted
from telemetry.pipeline import Selection, Study, expected

from .complaints import what_went_wrong

_ONE_AT_A_TIME = threading.Lock()
"""Of all days: each takes a processor for half a minute, and memory for its rides."""
BEGINNING, WAITING = "Beginning", "Another setup is ridden first"


class _Ride:
    """One candidate's ride on paper, on a thread of its own from the start."""

    def __init__(self, done: Study, baseline: str | None, candidate: str | None) -> None:
        self._done, self._baseline, self._candidate = done, baseline, candidate
        self.at = WAITING if _ONE_AT_A_TIME.locked() else BEGINNING
        self.predicted: Predicted | None = None
        self.trouble = ""
        threading.Thread(target=self._work, name="on paper", daemon=True).start()

    @property
    def is_over(self) -> bool:
        return self.predicted is not None or self.trouble != ""

    def _work(self) -> None:
        with _ONE_AT_A_TIME:
            try:
                self.predicted = expected(
                    self._done, Selection(baseline=self._baseline), self._candidate, self._progress
                )
            except Exception as error:  # noqa: BLE001 - the page tells it and the others stand
                self.trouble = what_went_wrong(error)

    def _progress(self, name: str) -> None:
        self.at = f"Riding {clean_text(name, longest=80)}"


class RidesOnPaper:
    """Those of one day as it was read: each begun once, when it is first asked for.

    Parameters
    ----------
    done : Study
        Its logs, read: they aren't read again.
    """

    def __init__(self, done: Study) -> None:
        self._done = done
        self._rides: dict[tuple[str | None, str | None], _Ride] = {}

    def ask(self, baseline: str | None, candidate: str | None) -> OnPaper:
        """Return how far a ride is; begins it, never waits for it."""
        done = self.done
        ride = self._rides.get((baseline, candidate))
        if ride is None:
            ride = self._rides[baseline, candidate] = _Ride(self._done, baseline, candidate)
        return OnPaper(predicted=ride.predicted, trouble=ride.trouble, at=ride.at, done=done)

    def known(self, baseline: str, candidate: str) -> Predicted | None:
        """Return a ride's answer where it is there by now; begins nothing."""
        ride = self._rides.get((baseline, candidate))
        return None if ride is None else ride.predicted

    @property
    def done(self) -> int:
        """How many are over."""
        return sum(ride.is_over for ride in list(self._rides.values()))

    @property
    def at(self) -> str:
        """What is being ridden; nothing where nothing is."""
        return next((ride.at for ride in list(self._rides.values()) if not ride.is_over), "")
