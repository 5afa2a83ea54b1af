"""Measures within a part of the ride: their ids, words and rows."""

from __future__ import annotations

import pytest

from telemetry.model.catalogue import CATALOGUE, FAMILY, IN_MM, SPECS, in_mm, named_rows, share_of
from telemetry.model.phase import PHASES
from telemetry.model.within import parted, place_in_words, within


@pytest.mark.parametrize("phase", PHASES)
@pytest.mark.parametrize("spec", FAMILY, ids=lambda spec: spec.name)
def test_every_measure_is_the_same_one_in_every_phase_with_a_word_on_where(spec, phase: str) -> None:
    own = SPECS[within(spec.name, phase)]
    assert parted(own.name) == (spec.name, phase)
    assert (own.unit, own.ends, own.scale, own.smallest_change) == (
        spec.unit,
        spec.ends,
        spec.scale,
        spec.smallest_change,
    )
    where = place_in_words(phase)
    assert own.label == f"{spec.label} {where}"
    assert own.more.endswith(where)
    assert own.less.endswith(where)
    assert own.same.endswith(where)


def test_any_name_of_stretches_is_told_by_itself() -> None:
    assert SPECS["dynamic_sag@braking bumps"].label == "Dynamic sag in braking bumps"
    assert SPECS["travel_max@landing"].more == ""


@pytest.mark.parametrize("measure", ["nothing", "nothing@braking", "dynamic_sag@", "dynamic_sag@a@", "@braking"])
def test_what_is_no_measure_stays_none(measure: str) -> None:
    assert measure not in SPECS
    if measure == "dynamic_sag@a@":  # a name may hold the sign
        assert SPECS[measure].label == "Dynamic sag in a@"
        return
    with pytest.raises(KeyError, match=measure):
        SPECS[measure]


def test_millimetres_and_shares_go_together_within_a_phase_too() -> None:
    for name, spec in IN_MM.items():
        assert in_mm(name) is spec
        assert share_of(spec.name) == name
        inner = in_mm(f"{name}@braking")
        assert inner is not None
        assert inner.unit == "mm"
        assert share_of(inner.name) == f"{name}@braking"
    assert in_mm("packing@braking") is None
    assert share_of("packing@braking") is None


def test_only_rows_within_a_part_of_the_ride_are_added_by_name() -> None:
    named = (("dynamic_sag", "front"), ("dynamic_sag@braking", None), ("packing@landing", "rear"))
    rows = [(spec.name, end) for spec, end in named_rows(named)]
    assert rows == [("dynamic_sag@braking", "front"), ("dynamic_sag@braking", "rear"), ("packing@landing", "rear")]
    assert not any("@" in spec.name for spec in CATALOGUE)
