"""Where on the trail each sample lies: the same place in every run has the same number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from telemetry.model.arrays import Floats, read_only
from telemetry.model.motion import Stretch

from .sections import ridden_distance_m, ridden_samples
from .view import RunMotion


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """The places of one run's samples.

    Attributes
    ----------
    place : float array, shape (n,)
        Never falling; NaN outside of every section. What isn't ridden takes no place.
    """

    place: Floats


def borders_of(reference: RunMotion, sections: Sequence[Stretch]) -> tuple[Floats, str]:
    """Return where the sections begin and the last one ends, in the run that gives the course its measure.

    Parameters
    ----------
    reference : RunMotion
    sections : sequence of (start, stop)
        One after the other.

    Returns
    -------
    float array, shape (S + 1,)
        From 0: metres ridden where the run tells them, else seconds ridden.
    unit : {"m", "s"}
    """
    metres = ridden_distance_m(reference)
    passed = ridden_samples(reference) / reference.time.rate_hz if metres is None else metres
    samples = np.array([sections[0][0], *(stop for _, stop in sections)])
    before = np.concatenate([[0.0], passed])[samples]
    return read_only(before - before[0]), "s" if metres is None else "m"


def course(run: RunMotion, sections: Sequence[Stretch], borders: Floats) -> Course:
    """Return a run's places: within each section, as far as it has come of what it rides there.

    Parameters
    ----------
    run : RunMotion
    sections : sequence of (start, stop)
        The run's own, as many as the course has.
    borders : float array, shape (S + 1,)
    """
    metres = ridden_distance_m(run)
    passed = np.concatenate([[0.0], ridden_samples(run).astype(float) if metres is None else metres])
    place = np.full(run.time.riding.shape[0], np.nan)
    for number, (start, stop) in enumerate(sections):
        whole = passed[stop] - passed[start]
        share = (passed[start:stop] - passed[start]) / whole if whole > 0 else np.zeros(stop - start)
        place[start:stop] = borders[number] + share * (borders[number + 1] - borders[number])
    return Course(place=read_only(place))
