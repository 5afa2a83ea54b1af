"""Every judgement of fairness, gathered: fatal first, then warnings, then notes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from telemetry.model.comparison import Withheld
from telemetry.model.conditions import ComparisonConditions
from telemetry.model.finding import Finding

from .bike import adjusters_at_end, full_travel_differs, geometry_differs, load_differs, tyre_pressure_differs
from .days import day_differs, order_confounded
from .design import (
    false_readings,
    false_readings_at_an_end,
    one_run_each,
    run_not_usable,
    same_readings,
    same_setup,
    several_changes,
)
from .installations import put_on_once
from .opening import opened_only_once
from .pair import pair_of
from .recording import bottoming_untold, rate_differs, sensors_differ, zero_unchecked
from .riding import airborne_share_differs, duration_differs, ground_speed_differs, pace_contradicted
from .stated import focus_named, not_judged, unplanned_looks
from .surroundings import (
    day_temperature,
    lever_differs,
    rider_confounded,
    rider_differs,
    temperature_differs,
    trail_state_confounded,
    trail_state_differs,
)
from .workshop import friction_differs, lower_legs_closed_away, lower_legs_closed_differently, pressure_lost

OF_A_PAIR = (
    same_setup,
    same_readings,
    false_readings,
    false_readings_at_an_end,
    day_differs,
    rider_confounded,
    trail_state_confounded,
    one_run_each,
    order_confounded,
    put_on_once,
    several_changes,
    opened_only_once,
    ground_speed_differs,
    pace_contradicted,
    duration_differs,
    airborne_share_differs,
    temperature_differs,
    lever_differs,
    geometry_differs,
    full_travel_differs,
    tyre_pressure_differs,
    load_differs,
    friction_differs,
    lower_legs_closed_differently,
)
"""Judged of each candidate beside the baseline."""
OF_THE_DAY = (
    run_not_usable,
    rider_differs,
    trail_state_differs,
    day_temperature,
    rate_differs,
    sensors_differ,
    zero_unchecked,
    bottoming_untold,
    pressure_lost,
    adjusters_at_end,
    lower_legs_closed_away,
    focus_named,
    unplanned_looks,
    not_judged,
)
"""Judged of all runs and setups that take part."""
SEVERITIES = ("error", "warning", "note")


def fairness(conditions: ComparisonConditions) -> tuple[tuple[Finding, ...], dict[Withheld, str]]:
    """Return what speaks against the comparison, and which candidates' verdicts that forbids.

    Parameters
    ----------
    conditions : ComparisonConditions

    Returns
    -------
    findings : tuple of Finding
        Fatal first, then warnings, then notes; each once.
    withheld : dict of candidate, or of candidate and place, to reason
    """
    conditions = replace(conditions, runs=tuple(sorted(conditions.runs, key=lambda run: run.order)))
    pairs = [pair_of(conditions, candidate) for candidate in conditions.candidates]
    found = [finding for pair in pairs for judge in OF_A_PAIR for finding in judge(pair)]
    found += [finding for judge in OF_THE_DAY for finding in judge(conditions)]
    once: dict[str, Finding] = {}
    for finding in found:
        once.setdefault(finding.message, finding)
    findings = gravest_first(once.values())
    withheld: dict[Withheld, str] = {}
    for finding in findings:
        if finding.severity != "error" or finding.candidate is None:
            continue
        why = f"{finding.code}: {finding.withheld}"
        if finding.end is None:
            withheld.setdefault(finding.candidate, why)
        else:
            withheld.setdefault((finding.candidate, finding.end), why)
            withheld.setdefault((finding.candidate, "both"), why)
    return findings, withheld


def gravest_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings, fatal ones first, then warnings, then notes."""
    return tuple(sorted(findings, key=lambda finding: SEVERITIES.index(finding.severity)))
