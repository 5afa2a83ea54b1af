"""What is told beside the verdicts and decides none: drift through the day, who differs from whom, equal speed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import combinations

from scipy import special

from telemetry.model.arrays import Floats
from telemetry.model.comparison import FamilyRow
from telemetry.model.interval import Interval, about
from telemetry.model.second_looks import Drift, PairDifference, SecondLooks
from telemetry.statistics.difference import drift_fit, riding_of
from telemetry.statistics.family import Chosen, select
from telemetry.statistics.scale import in_shown_unit, shown_unit_of

from .equal_speed import equal_speed
from .judging import Judged, compares, judge
from .values import sample_of, usable_values

FEWEST_RUNS_FOR_DRIFT = 5
DRIFT_LEVEL = 0.10
FEWEST_SETUPS = 3


def second_looks(
    rows: Sequence[FamilyRow],
    *,
    baseline: str,
    candidates: Sequence[str],
    q: float,
    speeds_m_s: Mapping[str, Floats],
) -> SecondLooks:
    """Return drift, differences at equal ground speed, and who differs from whom, wherever they can be told.

    Parameters
    ----------
    rows : sequence of FamilyRow
        Those that get no verdict whatever they show are left out.
    baseline : str
    candidates : sequence of str
    q : float
        False discovery rate of the drifts, and of the pairs.
    speeds_m_s : mapping of run to float array, shape (S,)
        Ground speed within each kept section; empty without a speed sensor.
    """
    rows = [row for row in rows if not row.withheld]
    every = [(row, baseline, candidate) for candidate in candidates for row in rows]
    each = [one for one in every if compares(*one)]
    return SecondLooks(
        drift=_standing([found for one in each if (found := drift(*one)) is not None], q),
        equal_speed=tuple(same for one in each if (same := equal_speed(*one, speeds_m_s)) is not None),
        pairs=pair_differences(rows, (baseline, *candidates), q),
    )


def drift(row: FamilyRow, baseline: str, candidate: str) -> Drift | None:
    """Return a measure's slope per run with its 90 % interval; None for counts, and under 5 runs.

    Parameters
    ----------
    row : FamilyRow
    baseline, candidate : str

    Notes
    -----
    Ordinary least squares on setup and order ridden, fitted whether or not the verdict's own fit has the order in it.
    "No drift seen" is no evidence of none: the order ridden is the protection.
    """
    scale = row.spec.scale
    runs_a, runs_b = usable_values(row, baseline), usable_values(row, candidate)
    if scale == "count" or not runs_a or not runs_b or len(runs_a) + len(runs_b) < FEWEST_RUNS_FOR_DRIFT:
        return None
    a, b = sample_of(runs_a, scale), sample_of(runs_b, scale)
    fit = drift_fit(a, b)
    if fit is None:
        return None
    error = fit.slope_error(0)
    half = -float(special.stdtrit(fit.nu, DRIFT_LEVEL / 2)) * error
    slope, shift = float(fit.slopes[0]), float(riding_of(a.ridden, b.ridden).shift)
    return Drift(
        candidate=candidate,
        measure=row.spec.name,
        end=row.end,
        unit=shown_unit_of(row.spec),
        slope=in_shown_unit(slope, scale),
        interval=Interval(low=slope - half, high=slope + half, level=DRIFT_LEVEL).map(
            lambda end: in_shown_unit(end, scale)
        ),
        order_shift=shift,
        could_move=in_shown_unit(abs(shift) * (abs(slope) + half), scale),
        p=2 * float(special.stdtr(fit.nu, -abs(slope) / error)) if error > 0 else None,
    )


def _standing(drifts: Sequence[Drift], q: float) -> tuple[Drift, ...]:
    """Return the drifts, those marked that pass among so many looked at: each by itself one in ten does by chance."""
    family = select([found.p for found in drifts], q)
    return tuple(replace(found, stands=bool(chosen.selected)) for found, chosen in zip(drifts, family, strict=True))


def _pair(judged: Judged, first: str, chosen: Chosen) -> PairDifference:
    found, measuring = judged.found, judged.measuring

    def back(value: float) -> float | None:
        return None if measuring is None else measuring.back(value)

    interval = None if found is None else about(found.d, found.half_width(chosen.level), chosen.level)
    return PairDifference(
        first=first,
        second=judged.candidate,
        measure=judged.row.spec.name,
        end=judged.row.end,
        unit=judged.row.spec.unit,
        difference=None if found is None else back(found.d),
        interval=interval and interval.map(back),
        p=None if found is None else found.p,
        differs=chosen.selected,
        reason=judged.barred,
    )


def pair_differences(rows: Sequence[FamilyRow], setups: Sequence[str], q: float) -> tuple[PairDifference, ...]:
    """Return every row of every pair of setups; none for two setups, where the verdicts say it all.

    Parameters
    ----------
    rows : sequence of FamilyRow
    setups : sequence of str
    q : float
        False discovery rate over all pairs, no row weighing more than another. Nobody is said to be the same as
        another here.
    """
    if len(setups) < FEWEST_SETUPS:
        return ()
    every = [(row, first, second) for first, second in combinations(setups, 2) for row in rows]
    each = [(first, judge(row, first, second)) for row, first, second in every if compares(row, first, second)]
    family = select([judged.p for _, judged in each], q)
    return tuple(_pair(judged, first, chosen) for (first, judged), chosen in zip(each, family, strict=True))
