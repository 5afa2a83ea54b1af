"""Small ride days for the tests: rows with run and section values, made from what a test says."""

from collections.abc import Sequence
from types import MappingProxyType

import numpy as np

from telemetry.model.catalogue import SPECS
from telemetry.model.comparison import FamilyRow, RunValue, UsedRun
from telemetry.statistics.difference import Sample

NO_SECTIONS = np.empty(0)


def with_moments(n, mean, sd):
    """Return n values with exactly this mean and standard deviation."""
    z = np.arange(n, dtype=float)
    return mean + sd * (z - z.mean()) / z.std(ddof=1)


def sample(values, orders=None, sections=None, days=None):
    values = np.asarray(values, dtype=float)
    return Sample(
        values=values,
        orders=np.arange(1, values.size + 1, dtype=float) if orders is None else np.asarray(orders, dtype=float),
        sections=np.empty((values.size, 0)) if sections is None else np.asarray(sections, dtype=float),
        days=np.ones(values.size) if days is None else np.asarray(days, dtype=float),
    )


def wave(sections=20, height=1.0):
    """Return a shape along the trail with mean zero."""
    shape = np.cos(np.arange(sections) * 2.4)
    return height * (shape - shape.mean())


def row(
    setups: str | Sequence[str],
    values,
    *,
    measure="dynamic_sag",
    end="front",
    sections=20,
    orders=None,
    change=None,
    focus=False,
    noise=0.0,
    seed=0,
):
    """Return a row; `setups` names each run's setup in the order ridden, None among `values` is a run without it.

    Every run's sections follow the same wave around the run's value, so that they add nothing to the spread of the
    difference unless `noise` does.
    """
    rng = np.random.default_rng(seed)
    spec = SPECS[measure]
    runs = []
    for place, (setup, value) in enumerate(zip(setups, values, strict=True), start=1):
        shares = np.exp(wave(sections, 0.1)) if spec.scale == "log" else wave(sections)
        shape = np.full(sections, np.nan)
        if value is not None:
            along = value * shares if spec.scale == "log" else value + shares
            shape = along + noise * rng.normal(size=sections)
        order = place if orders is None else orders[place - 1]
        runs.append(
            RunValue(
                run=UsedRun(run=f"run_{order}", setup=setup, order=order),
                value=value,
                sections=shape,
                reason="" if value is not None else "3 hits, at least 5 needed",
                count=None if spec.scale != "count" or value is None else round(3 * value),
                minutes=3.0,
            )
        )
    return FamilyRow(
        spec=spec,
        end=end,
        smallest_change=change or spec.smallest_change,
        focus=focus,
        runs=tuple(runs),
        full_travel_mm=MappingProxyType({"a": 160.0, "b": 160.0} if spec.unit == "%" else {}),
    )
