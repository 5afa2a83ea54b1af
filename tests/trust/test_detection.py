"""A few of the faults and clean runs; ``python -m tests.benchmarks.detection`` tries two hundred runs."""

from __future__ import annotations

from tests.benchmarks.detection import FAULTS, clean_and_caught


def test_every_fault_is_caught_and_no_clean_run_is_accused() -> None:
    clean, found = clean_and_caught(8, 9000, FAULTS)
    assert [codes for codes in clean if codes] == []
    missed = [fault.words for fault in FAULTS if not all(found[fault.words])]
    assert missed == []
    assert all(len(found[fault.words]) == 2 for fault in FAULTS)
