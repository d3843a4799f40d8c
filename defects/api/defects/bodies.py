"""What is sent to do something with a defect."""

from typing import Any
from uuid import UUID

from rest_framework import serializers

from common.api.fields import DecimalString, FlagField, InstantField, Sha256Field, TextField, UuidField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.api.signatures import OwnSignatureIn, own_signing
from defects.enums import Authority, Bars, CertificateKind, Severity
from defects.services.defects.evidence import Statement, Until
from defects.services.measurements import Measured
from fleet.models import Person

LONG = 2000


class MeasuredIn(StrictSerializer):
    """One value that was measured since the defect was found."""

    value = DecimalString(max_digits=12, decimal_places=4)
    unit_of_measure = TextField(max_length=16)
    measured_at = InstantField()


class SupersedeBody(StrictSerializer):
    """A certificate. A measured defect needs a value within limits: `measured`, or one on record since it was found."""

    statement = TextField(max_length=LONG, multiline=True)
    signature = OwnSignatureIn()
    measured = MeasuredIn(required=False)
    photo = Sha256Field(required=False)
    agent_reason = TextField(max_length=600, required=False, multiline=True)
    worked_by = serializers.ListField(child=UuidField(), required=False, max_length=20)
    limit_on = serializers.DateField(required=False, help_text="the last day, included")
    limit_mi = DecimalString(max_digits=12, decimal_places=1, required=False, help_text="odometer total")
    limit_engine_h = DecimalString(max_digits=12, decimal_places=1, required=False, help_text="engine hours in total")

    def statement_by(self, person: Person) -> Statement:
        """The validated certificate, signed by the person."""
        given: dict[str, Any] = self.validated_data
        worked_by: list[UUID] = given.get("worked_by", [])
        return Statement(
            text=given["statement"],
            signing=own_signing(given["signature"], person),
            measured=measured_of(given),
            photo=given.get("photo", ""),
            agent_reason=given.get("agent_reason", ""),
            until=Until(given.get("limit_on"), given.get("limit_mi"), given.get("limit_engine_h")),
            worked_by=worked_by,
        )


class CertifyBody(SupersedeBody):
    """A certificate of one kind. `repair_unnecessary` needs a limit; `repaired` may have none."""

    kind = serializers.ChoiceField(choices=choices(CertificateKind))


class RegradeBody(StrictSerializer):
    """Another grade, and why."""

    severity = serializers.ChoiceField(choices=choices(Severity))
    bars = serializers.ChoiceField(choices=choices(Bars))
    reason = TextField(max_length=LONG, multiline=True)


class GradeBody(StrictSerializer):
    """The first grade of a fault told in free text. With a point, the point says whether it is statutory."""

    severity = serializers.ChoiceField(choices=choices(Severity))
    bars = serializers.ChoiceField(choices=choices(Bars))
    standing = serializers.ChoiceField(choices=choices(Authority))
    point = TextField(max_length=80, required=False)
    place = TextField(max_length=40, required=False)
    finding = TextField(max_length=40, required=False)
    reason = TextField(max_length=LONG, multiline=True, required=False)


class ReasonBody(StrictSerializer):
    """Why."""

    reason = TextField(max_length=LONG, multiline=True)


class InErrorBody(StrictSerializer):
    """Why it never was a defect, and what a second person measured or photographed; a test repeated is on record."""

    reason = TextField(max_length=LONG, multiline=True)
    signature = OwnSignatureIn()
    measured = MeasuredIn(required=False)
    photo = Sha256Field(required=False)


class TestBody(StrictSerializer):
    """A test that you repeated, and how it came out."""

    passed = FlagField()
    tested_at = InstantField()
    note = TextField(max_length=LONG, multiline=True, required=False)


def measured_of(given: dict[str, Any]) -> Measured | None:
    """The value measured, if one was given."""
    measured = given.get("measured")
    if measured is None:
        return None
    return Measured(measured["value"], measured["unit_of_measure"], measured["measured_at"])
