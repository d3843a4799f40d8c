"""Which open faults speak against a periodic inspection passed over them."""

import pytest

from defects.enums import Severity, Standing
from defects.rules.inspections import speaks_against_passing
from defects.rules.vocabulary import System


@pytest.mark.parametrize(
    ("system", "standing", "severity", "speaks"),
    [
        (System.BRAKES, Standing.STATUTORY, Severity.DO_NOT_MOVE, True),
        (System.CAB, Standing.STATUTORY, Severity.BEFORE_NEXT_USE, True),
        (System.BRAKES, Standing.STATUTORY, Severity.NEXT_SHOP_VISIT, False),
        (System.EMERGENCY, Standing.STATUTORY, Severity.BEFORE_NEXT_USE, False),
        (System.BODY, Standing.CARRIER, Severity.DO_NOT_MOVE, False),
        (None, Standing.CARRIER, Severity.BEFORE_NEXT_USE, True),
        (None, Standing.STATUTORY, Severity.WATCH, False),
    ],
)
def test_system_standing_and_severity__decide(
    system: System | None, standing: Standing, severity: Severity, speaks: bool
) -> None:
    assert speaks_against_passing(system, standing, severity) is speaks
