"""What stored documents amount to on a day: their last day and status under the carrier's decisions."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import cast

from django.db.models import OuterRef, Q, QuerySet

from common.clock import day_in_zone
from fleet.enums import DocumentRecordState, InspectionProgram
from fleet.models import Document, Qualification
from fleet.rules.carrier.policies import POLICIES
from fleet.rules.documents.as_stored import kind_on_record
from fleet.rules.documents.filings import use_tax_due
from fleet.rules.documents.kinds import DocumentKind
from fleet.rules.documents.periods import PeriodEnd, Reading, UseTaxYear, stored_end
from fleet.rules.documents.states import state_on
from fleet.rules.records.history_retention import document as document_retention
from fleet.rules.records.retention import RECORD_KINDS, Happened, retained_until
from fleet.selectors.carrier.carrier import EffectivePolicies, effective_policies

REPLACED = DocumentRecordState.SUPERSEDED


@dataclass(frozen=True)
class DocumentDay:
    """A day of the carrier's on which documents are looked at, how it reads ends and when it wants to be reminded."""

    today: date
    zone: str
    reading: Reading
    lead_times: Mapping[str, Sequence[int]]

    def last_day(self, document: Document) -> date | None:
        """Return the last day on which the document serves, a grace included; None without an end."""
        return end_of(document).last_day(self.reading)

    def status(self, document: Document) -> str:
        """Return a `DocumentState`, or `superseded` for a document that the next one has followed."""
        if document.superseded_at is not None:
            return REPLACED
        return self.state(kind_on_record(document.kind), end_of(document))

    def state(self, kind: DocumentKind, end: PeriodEnd | None) -> str:
        """Return what a document of a kind is on this day; `end` None where there is none."""
        lead = self.lead_times.get(kind.name, kind.lead_days)
        return state_on(end, self.today, reading=self.reading, lead_days=lead)

    def retained_until(self, document: Document) -> date | None:
        """Return the last day on which the document must be kept, as far as its days say so now; None without one.

        A unit's is part of its maintenance file as well; what is kept for a person's work counts from its end.
        """
        kind = kind_on_record(document.kind)
        if document.person_id is not None and kind.keep in RECORD_KINDS and RECORD_KINDS[kind.keep].until_over:
            return None if document.person is None else retained_until(kind.keep, document.person.left_on).until
        said = {name: getattr(document, name) for name in ("kind", "issued_on", "starts_on", "ends_on")}
        return document_retention(Happened(day_in_zone(document.recorded_at, self.zone), said)).until


def file_by(kind: DocumentKind, starts_on: date | None) -> date | None:
    """Return the last day to file the return that a use-tax document proves, by its month of first use."""
    return use_tax_due(starts_on) if isinstance(kind.rule, UseTaxYear) and starts_on is not None else None


def document_day(*, now: datetime) -> DocumentDay:
    """Return the carrier's present day, in one statement; NotFound `carrier_missing`."""
    return document_day_under(effective_policies(now=now), now=now)


def document_day_under(effective: EffectivePolicies, *, now: datetime) -> DocumentDay:
    """Return the carrier's present day under decisions that were read already."""
    keys = ("periodic_inspection_reading", "lead_times")
    decided = {key: effective.policies.get(key, POLICIES[key].default) for key in keys}
    return DocumentDay(
        today=day_in_zone(now, effective.zone),
        zone=effective.zone,
        reading=Reading(str(decided["periodic_inspection_reading"])),
        lead_times=cast("Mapping[str, Sequence[int]]", decided["lead_times"]),
    )


def end_of(document: Document) -> PeriodEnd:
    """Return where a stored document ends, with its grace where its kind has one."""
    under_state = document.program == InspectionProgram.STATE
    rule = kind_on_record(document.kind).rule
    return stored_end(rule, document.ends_on, document.ends_on_month, under_state_program=under_state)


def newer_qualifications() -> QuerySet[Qualification]:
    """Return, for a query over qualifications, those of the same person and scope that end later or never."""
    return Qualification.objects.filter(person=OuterRef("person"), scope=OuterRef("scope")).filter(
        Q(ends_on__isnull=True)
        | Q(ends_on__gt=OuterRef("ends_on"))
        | Q(ends_on=OuterRef("ends_on"), pk__gt=OuterRef("pk"))
    )


def document_state(document: Document) -> DocumentRecordState:
    """Return `current` or `superseded`; whether a current one has run out follows from its days."""
    return DocumentRecordState.CURRENT if document.superseded_at is None else DocumentRecordState.SUPERSEDED
