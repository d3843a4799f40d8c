"""Gaps in units' files: each app contributes its finder, and fleet's is here. Judging is in the apps' rules."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.utils.translation import get_language

from fleet.enums import InspectionProgram, Scope
from fleet.models import Axle, Document, Qualification, Unit
from fleet.rules.documents.kinds import documents_needed
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.states import DocumentState
from fleet.rules.records.rehearsal import WHEELED, Gap, Identity, Inspected, identity_gaps, inspection_gaps
from fleet.selectors.carrier.carrier import effective_policies
from fleet.selectors.documents.status import DocumentDay, document_day_under


@dataclass(frozen=True)
class Audited:
    """The units that were pulled, the instant, and the day and zone of the carrier."""

    units: Sequence[Unit]
    now: datetime
    today: date
    zone: str


@dataclass(frozen=True)
class AuditGaps:
    """What an app finds; it reads in a number of statements that does not grow with the units."""

    find: Callable[[Audited], Iterable[Gap]]


INSPECTION = "periodic_inspection"


def find(audited: Audited) -> Iterator[Gap]:
    """Every gap of fleet's, unit by unit, in four statements."""
    keys = [unit.pk for unit in audited.units]
    effective = effective_policies(now=audited.now)
    day = document_day_under(effective, now=audited.now)
    documents = list(Document.objects.filter(unit__in=keys, superseded_at__isnull=True).order_by("pk"))
    sizes = dict(Axle.objects.filter(unit__in=keys).exclude(tire_size="").values_list("unit_id", "tire_size"))
    skilled = list(Qualification.objects.filter(scope=Scope.PERIODIC_INSPECTION).select_related("person"))
    conditions: Any = effective.policies.get("document_conditions") or {}
    for unit in audited.units:
        size = unit.tire_size or sizes.get(unit.pk, "")
        serial = unit.vin or unit.serial
        yield from identity_gaps(Identity(unit.pk, unit.kind, unit.make, serial, unit.model_year, size))
        held = {document.kind: document for document in documents if document.unit_id == unit.pk}
        if unit.kind in WHEELED:
            yield from inspection_gaps(unit.pk, _inspected(unit.pk, held.get(INSPECTION), day, skilled))
        yield from _document_gaps(unit.pk, unit.kind, held, day, frozenset(conditions.get(unit.kind, ())))


def _inspected(
    unit: UUID, document: Document | None, day: DocumentDay, skilled: list[Qualification]
) -> Inspected | None:
    if document is None:
        return None
    evidence = None
    if document.program == InspectionProgram.SELF and document.starts_on is not None:
        evidence = any(
            row.person.name.casefold() == document.inspector.casefold()
            and row.starts_on <= document.starts_on
            and (row.ends_on is None or document.starts_on <= row.ends_on)
            for row in skilled
        )
    state, last = DocumentState(day.status(document)), day.last_day(document)
    return Inspected(unit, state, document.starts_on, last, document.inspector, document.file_id is not None, evidence)


def _document_gaps(
    unit: UUID, kind: str, held: Mapping[str, Document], day: DocumentDay, conditions: frozenset[str]
) -> Iterator[Gap]:
    """Required documents that are missing or past their last day; those of single States are left to the trip."""
    for need in documents_needed(load_document_kinds().values(), kind, conditions, frozenset()):
        document = held.get(need.kind.name)
        if need.kind.name == INSPECTION:
            continue
        link = f"/api/v1/documents?unit={unit}&kind={need.kind.name}"
        facts = {"document": need.kind.text.get((get_language() or "en")[:2], need.kind.text["en"])}
        if document is None:
            yield Gap(unit, "gap_document_missing", need.kind.source.text, link, facts)
        elif day.status(document) == DocumentState.EXPIRED:
            facts["day"] = str(day.last_day(document))
            yield Gap(unit, "gap_document_expired", need.kind.source.text, link, facts)
