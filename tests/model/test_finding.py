"""A finding takes its severity from the catalogue, which knows every code and every severity it has."""

from __future__ import annotations

import pytest

from telemetry.model.finding import Finding


def test_a_finding_has_its_codes_usual_severity() -> None:
    assert [Finding(code=code, message="m").severity for code in ("no_clock", "gap", "stuck")] == [
        "note",
        "warning",
        "error",
    ]


def test_a_graver_case_says_so() -> None:
    assert Finding(code="gap", message="m", severity="error").severity == "error"


@pytest.mark.parametrize(("code", "severity"), [("no_clock", "error"), ("stuck", "note"), ("gab", "warning")])
def test_a_code_or_a_severity_that_the_catalogue_lacks_is_refused(code: str, severity: str) -> None:
    with pytest.raises(ValueError, match=f"no finding '{code}' of severity '{severity}'"):
        Finding(code=code, message="m", severity=severity)


def test_only_a_code_that_may_withhold_a_verdict_says_so() -> None:
    assert Finding(code="clipped", message="m", no_verdict=True).no_verdict
    with pytest.raises(ValueError, match="'spikes' withholds no verdict by itself"):
        Finding(code="spikes", message="m", no_verdict=True)


def test_without_its_place_a_finding_says_what_it_is() -> None:
    finding = Finding(code="stuck", message="m", end="rear", row=3, second=0.25)
    assert finding.in_short() == {"severity": "error", "code": "stuck", "message": "m"}
    assert finding.to_dict() == finding.in_short() | {"end": "rear", "row": 3, "second": 0.25}
