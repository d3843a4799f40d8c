"""Which required documents nobody has recorded, of units and of the carrier itself. Writes nothing.

Those by State are required in the States that the carrier says it runs in (`states_run`). Those of people are not
reminded of: they stand on the expiry list, by each person's own roles and scopes.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from common.messages import Message
from fleet.enums import MISSING, NotificationKind, UnitKind
from fleet.messages.documents.reminders import kind_code
from fleet.models import Carrier, Document, Unit
from fleet.rules.documents.kinds import DocumentNeed, documents_needed
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.reminders import missing_step
from fleet.selectors.carrier.carrier import effective_policies
from fleet.selectors.documents.status import DocumentDay
from fleet.services.documents.reminders.wording import whose
from fleet.services.notifications.create import NotificationDraft

CARRIER = "carrier"

Needs = Mapping[str, Sequence[DocumentNeed]]
"""By subject, what each such subject should have."""


def needs_in_force(*, now: datetime) -> Needs:
    """What the carrier's conditions ask of its units and of itself, in one statement; NotFound `carrier_missing`."""
    decided = effective_policies(now=now).policies
    conditions: Any = decided.get("document_conditions") or {}
    states: Any = decided.get("states_run") or []
    kinds = load_document_kinds().values()
    return {
        subject: documents_needed(kinds, subject, frozenset(conditions.get(subject, ())), frozenset(states))
        for subject in (*UnitKind, CARRIER)
    }


def missing_of_units(
    units: Sequence[Unit], needs: Needs, day: DocumentDay, compliance: Mapping[UUID | None, Sequence[UUID]]
) -> list[NotificationDraft]:
    """What these units should have and have not; in one statement."""
    current = Document.objects.filter(unit__in=units, superseded_at__isnull=True)
    held = set(current.order_by("pk").values_list("unit_id", "kind", "us_state"))
    held |= {(unit, kind, "") for unit, kind, _ in held}
    return [
        _draft(need, day, unit.pk, unit, compliance[unit.home_site_id])
        for unit in units
        for need in needs.get(unit.kind, ())  # a newer release may have stored a kind that is unknown here
        if (unit.pk, need.kind.name, need.state) not in held
    ]


def missing_of_carrier(needs: Needs, day: DocumentDay, people: Sequence[UUID]) -> list[NotificationDraft]:
    """What the carrier itself should have and has not; in two statements."""
    current = Document.objects.filter(unit=None, person=None, superseded_at=None)
    held = set(current.order_by("kind").values_list("kind", flat=True))
    carrier = Carrier.objects.values_list("pk", flat=True).get()
    return [_draft(need, day, carrier, None, people) for need in needs[CARRIER] if need.kind.name not in held]


def _draft(
    need: DocumentNeed, day: DocumentDay, subject: UUID, unit: Unit | None, people: Sequence[UUID]
) -> NotificationDraft:
    document = Message(kind_code(need.kind.name))
    if need.state:
        document = Message("document_of_state", {"document": document, "us_state": need.state})
    bars = need.kind.bars_clearance and need.kind.missing_bars
    return NotificationDraft(
        kind=NotificationKind.DOCUMENT_ENDING,
        code=MISSING,
        subject=subject,
        people=people,
        facts={
            "document": document,
            "effect": Message("document_bars" if bars else "document_bars_nothing"),
            "whose": whose(unit),
        },
        unit=None if unit is None else unit.pk,
        step=missing_step(need.kind.name, need.state, day.today),
    )
