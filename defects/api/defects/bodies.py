"""What is sent to do something with a defect."""

from datetime import date
from decimal import Decimal
from typing import Annotated

from pydantic import Field

from common.api.bodies import ABSENT, Body
from common.api.values import Day, DecimalText, Flag, Instant, Sha256, Text, Uuid
from defects.api.records import OwnSignature
from defects.enums import Authority, Bars, CertificateKind, Severity
from defects.services.defects.evidence import Statement, Until
from defects.services.records.measurements import Measured
from fleet.models import Person

Long = Annotated[str, Text(2000, multiline=True)]
Distance = Annotated[Decimal, DecimalText(12, 1)]


class MeasuredSinceBody(Body):
    """One value that was measured since the defect was found."""

    value: Annotated[Decimal, DecimalText(12, 4)]
    unit_of_measure: Annotated[str, Text(16)]
    measured_at: Instant

    @property
    def measured(self) -> Measured:
        return Measured(self.value, self.unit_of_measure, self.measured_at)


class SupersedeBody(Body):
    """A certificate. A measured defect needs a value within limits: `measured`, or one on record since it was found."""

    statement: Long
    signature: OwnSignature
    measured: MeasuredSinceBody = ABSENT
    photo: Sha256 = ""
    agent_reason: Annotated[str, Text(600, multiline=True)] = ""
    worked_by: Annotated[list[Uuid], Field(max_length=20)] = []
    limit_on: Day = Field(default=ABSENT, description="the last day, included")
    limit_mi: Distance = Field(default=ABSENT, description="odometer total")
    limit_engine_h: Distance = Field(default=ABSENT, description="engine hours in total")

    def statement_by(self, person: Person) -> Statement:
        """Return the certificate, signed by the person."""
        limits: tuple[date | None, Decimal | None, Decimal | None] = (self.limit_on, self.limit_mi, self.limit_engine_h)
        return Statement(
            text=self.statement,
            signing=self.signature.signing(person),
            measured=self.measured.measured if self.measured else None,
            photo=self.photo,
            agent_reason=self.agent_reason,
            until=Until(*limits),
            worked_by=self.worked_by,
        )


class CertifyBody(SupersedeBody):
    """A certificate of one kind. `repair_unnecessary` needs a limit; `repaired` may have none."""

    kind: CertificateKind


class RegradeBody(Body):
    """Another grade, and why."""

    severity: Severity
    bars: Bars
    reason: Long


class GradeBody(Body):
    """The first grade of a fault told in free text. With a point, the point says whether it is statutory."""

    severity: Severity
    bars: Bars
    authority: Authority
    point: Annotated[str, Text(80)] = ""
    place: Annotated[str, Text(40)] = ""
    finding: Annotated[str, Text(40)] = ""
    reason: Long = ""


class ReopenBody(Body):
    """Why."""

    reason: Long


class InErrorBody(Body):
    """Why it never was a defect, and what a second person measured or photographed; a test repeated is on record."""

    reason: Long
    signature: OwnSignature
    measured: MeasuredSinceBody = ABSENT
    photo: Sha256 = ""


class RepeatedTestBody(Body):
    """A test that you repeated, and how it came out."""

    passed: Flag
    tested_at: Instant
    note: Long = ""
