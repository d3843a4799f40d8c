"""An officer's report as it was handed over. Holds no row."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from fleet.models import Unit


@dataclass(frozen=True)
class Violation:
    """One line of a report: a point of the catalogue with its place, the officer's own words, or both.

    `section` is the rule that the officer named.
    """

    unit: Unit
    out_of_service: bool
    point: str = ""
    place: str = ""
    finding: str = ""
    section: str = ""
    text: str = ""
    value: Decimal | None = None
    unit_of_measure: str = ""


@dataclass(frozen=True)
class OfficersReport:
    """The units it names and every violation on one of them; none makes it clean. `us_state` has two letters."""

    report_number: str
    inspected_at: datetime
    officer: str
    us_state: str
    level: int
    units: Sequence[Unit]
    violations: Sequence[Violation]
