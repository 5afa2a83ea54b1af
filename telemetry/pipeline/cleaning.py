"""How a day's signals were cleaned."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from telemetry import measures
from telemetry.telling.cleaning import (
    bounds_in_words,
    cleaned_in_words,
    ends_in_words,
    load_in_words,
    shaking_in_words,
    stretches_in_words,
)

from .studied import Study, facts_for


def conditioning_of(done: Study) -> Mapping[str, object]:
    """Return how the day's signals were cleaned.

    Parameters
    ----------
    done : Study

    Returns
    -------
    mapping
        Figures that hold for all runs; `ends`, a line for each end's zero, noise and full travel; `shaking`,
        of days with inertial sensors, a line for each rate on what figures of acceleration rest on; `bounds`, a line on
        where each run starts and ends; `stretches`, one on
        where each rode the named stretches of trail; `runs`, every step each run went through.
    """
    low_pass, histories = done.rides.low_pass, {run.entry.name: run.history for run in done.runs}
    return MappingProxyType(
        {
            "cutoff_hz": low_pass.cutoff_hz,
            "cutoff_lowered_by": list(low_pass.by),
            "filter": "Butterworth, order 4, forward and backward; −3 dB after both passes at cutoff_hz",
            "speed": "five-point derivative of filtered travel",
            "spikes": "1 to 3 samples further than 3 x 1.4826 MAD from the median of 7, stepping faster than 10 m/s",
            "glitches": (
                "where 10 m/s is over a fifth of full travel a row: 1 to 3 readings that jump over a fifth of it away "
                "and back, while those around go on as if nothing had been"
            ),
            "rate_hz": {run.entry.name: run.rate_hz for run in done.runs},
            "words": cleaned_in_words(done.day, low_pass.words),
            "ends": ends_in_words(histories),
            **_shaking(done),
            "bounds": bounds_in_words(histories),
            "stretches": stretches_in_words(histories),
            "runs": {run: [step.to_dict() for step in steps] for run, steps in histories.items()},
        }
    )


def _shaking(done: Study) -> dict[str, object]:
    if not done.day.inertial_ends:
        return {}
    runs = [run for run in done.runs if run.motion is not None]
    shares = [facts_for(done.day, run.entry.setup).bike_share for run in runs]
    found = dict.fromkeys(measures.shaking_basis(run.rate_hz, own) for run, own in zip(runs, shares, strict=True))
    lines = [
        shaking_in_words(
            band_hz=(one.lowest_hz, one.highest_hz),
            load=load_in_words(one.bike_share, one.rider_hz, stated=one.masses_stated),
            hands_to_hz=one.hands_to_hz,
            body_to_hz=one.body_to_hz,
        )
        for one in found
    ]
    return {"shaking": lines, "shaking_basis": [one.to_dict() for one in found]}
