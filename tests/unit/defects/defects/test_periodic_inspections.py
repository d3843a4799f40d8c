"""Which open faults speak against a periodic inspection passed over them."""

import pytest

from defects.enums import Authority, Severity
from defects.rules.catalogue.closed_sets import System
from defects.rules.defects.periodic_inspections import speaks_against_passing
from tests.support.rule_facts import point


@pytest.mark.parametrize(
    ("system", "authority", "severity", "speaks"),
    [
        (System.BRAKES, Authority.STATUTORY, Severity.DO_NOT_MOVE, True),
        (System.CAB, Authority.STATUTORY, Severity.BEFORE_NEXT_USE, True),
        (System.BRAKES, Authority.STATUTORY, Severity.NEXT_SHOP_VISIT, False),
        (System.EMERGENCY, Authority.STATUTORY, Severity.BEFORE_NEXT_USE, False),
        (System.DOCUMENTS, Authority.STATUTORY, Severity.BEFORE_NEXT_USE, False),
        (System.BODY, Authority.CARRIER, Severity.DO_NOT_MOVE, False),
        (None, Authority.CARRIER, Severity.BEFORE_NEXT_USE, True),
        (None, Authority.STATUTORY, Severity.WATCH, False),
    ],
)
def test_system_authority_and_severity__decide(
    system: System | None, authority: Authority, severity: Severity, speaks: bool
) -> None:
    assert speaks_against_passing(system, authority, severity) is speaks


@pytest.mark.parametrize("name", ["documents.tractor.aboard", "documents.trailer.aboard"])
def test_proof_that_is_not_aboard__does_not_speak_against_the_inspection_that_gives_a_new_one(name: str) -> None:
    asked = point(name)
    assert not speaks_against_passing(asked.system, asked.authority, asked.default_finding.severity)
